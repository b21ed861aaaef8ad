import math

import pytest

from psucheck.supply import guesses
from psucheck.supply.fill_core import crest_factor
from psucheck.supply.filled import FilledCore
from tests.supply.sketch import filled, notes


def _core(more: str, **sections: str) -> FilledCore:
    core = filled(transformer=f'[transformer]\nprimary = "230 V, 8 ohm"\n{more}', **sections).core
    assert core is not None
    return core


def test_the_crest_of_a_sine_and_of_its_cube() -> None:
    assert crest_factor(1.0, 9) == pytest.approx(math.sqrt(2))
    # The mean of sin^6 is 5/16.
    assert crest_factor(0.0, 3) == pytest.approx(math.sqrt(16 / 5))


def test_no_load_current_is_split_into_loss_and_magnetising() -> None:
    core = _core('no_load_current = "50 mA"\nno_load_power = "6.9 W"\npower = "150 VA"')
    assert core.loss_ohms == pytest.approx(230.0**2 / 6.9)
    share, exponent = guesses.CORE_LINEAR_SHARE["laminated"], guesses.CORE_EXPONENT["laminated"]
    # 30 mA in phase and 40 mA in quadrature.
    assert core.rated_amps == pytest.approx(0.040 * crest_factor(share, exponent))


def test_rated_flux_is_the_design_frequencys() -> None:
    at_50 = _core("")
    assert at_50.rated_flux == pytest.approx(math.sqrt(2) * 230.0 / (2 * math.pi * 50.0))
    assert _core('design_frequency = "60 Hz"').rated_flux == pytest.approx(at_50.rated_flux * 50 / 60)


def test_an_ideal_core_is_none() -> None:
    supply = filled(transformer='[transformer]\nprimary = "230 V, 8 ohm"\ncore = "ideal"')
    assert supply.core is None
    assert not [key for key in notes(supply) if key.startswith("transformer.")]


@pytest.mark.parametrize("kind", ["laminated", "toroidal"])
def test_what_is_not_given_is_usual_for_its_kind(kind: str) -> None:
    core = f'core = "{kind}"\npower = "200 VA"'
    supply = filled(transformer=f'[transformer]\nprimary = "230 V, 8 ohm"\n{core}')
    found = notes(supply)
    assert supply.core is not None
    assert found["transformer.no_load_power"].value == pytest.approx(
        guesses.CORE_LOSS_SHARE[kind].value * 200
    )
    assert found["transformer.no_load_current"].value == pytest.approx(
        guesses.NO_LOAD_SHARE[kind].value * 200 / 230
    )
    reactance = guesses.LEAKAGE_SHARE[kind].value * 230**2 / 200
    assert supply.core.leakage_henries == pytest.approx(reactance / (2 * math.pi * 50))
    assert supply.core.residual == guesses.RESIDUAL_FLUX[kind].value
    for key in ("no_load_power", "no_load_current", "leakage", "residual_flux"):
        assert found[f"transformer.{key}"].kind == "guess"


def test_what_is_given_is_taken_and_not_noted() -> None:
    given = 'no_load_current = "50 mA"\nno_load_power = "6.9 W"\nleakage = "9 mH"'
    supply = filled(transformer=f'[transformer]\nprimary = "230 V, 8 ohm"\n{given}')
    assert supply.core is not None
    assert supply.core.leakage_henries == pytest.approx(9e-3)
    assert {key for key in notes(supply) if key.startswith("transformer.")} == {"transformer.residual_flux"}


def test_a_loss_larger_than_the_current_allows_still_leaves_some_magnetising() -> None:
    core = _core('no_load_current = "20 mA"\nno_load_power = "10 W"')
    assert core.rated_amps > 0
