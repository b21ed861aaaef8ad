"""Transformers in general: what psucheck supposes of one that nobody measured, against measured ones."""

from __future__ import annotations

import pytest

from psucheck.supply.fill import fill
from psucheck.supply.filled import FilledSupply
from psucheck.supply.model import Supply
from tests.accuracy import Accuracy
from tests.published.reading import rows

ELLIOTT = "measurements by R. Elliott, quoted in a public file (68569926113)"
SHEETS = [row for row in rows("transformer_sheets") if row["max_excitation_A"]]


def _bare(volts: float, hertz: float, core: str, **windings: str) -> FilledSupply:
    """A transformer of which the label alone is known."""
    return fill(
        Supply.model_validate(
            {
                "title": "label",
                "mains": {"voltage": f"{volts:g} V", "frequency": f"{hertz:g} Hz", "impedance": "0 ohm"},
                "transformer": {"core": core, "primary": f"{volts:g} V"},
                "windings": windings,
                "rectifiers": {},
                "filter": {},
            }
        )
    )


def _no_load_over_rated(volt_amperes: float) -> float:
    filled = _bare(230.0, 50.0, "laminated", ht=f"250 V {volt_amperes / 250.0:.9g} A")
    return filled.windings["ht"].ratios[0] * 230.0 / 250.0 - 1


@pytest.mark.parametrize(
    ("volt_amperes", "published", "differs"),
    [(20.0, 15.0, (-0.30, -0.20)), (50.0, 13.0, (-0.20, -0.08)), (120.0, 10.0, (0.05, 0.20))],
)
def test_regulation(
    volt_amperes: float, published: float, differs: tuple[float, float], accuracy: Accuracy
) -> None:
    """No-load over rated volts, less one; psucheck supposes the same whatever the size."""
    accuracy(
        ELLIOTT, f"transformer of {volt_amperes:g} VA", "regulation", published,
        100 * _no_load_over_rated(volt_amperes), "%", None, "second-hand",
        "where the copper is not given psucheck supposes 5 % of the volts in the primary and 5 % in the "
        "winding, whatever the size, and says so; small transformers are softer", differs=differs,
    )  # fmt: skip


@pytest.mark.parametrize("row", SHEETS, ids=lambda row: row["part"])
def test_no_load_current(row: dict[str, str], accuracy: Accuracy) -> None:
    """What is supposed stays below the most that the maker states."""
    windings = {
        f"w{at}": f"{one['rated_loaded_V']} V {one['rated_A']} A"
        for at, one in enumerate(one for one in rows("transformer_sheets") if one["part"] == row["part"])
    }
    filled = _bare(120.0, 60.0, "laminated", **windings)
    supposed = next(one for one in filled.assumptions if one.key == "transformer.no_load_current")
    accuracy(
        "Hammond part sheets, cited in public files", row["part"], "no-load current, supposed",
        (None, 1e3 * float(row["max_excitation_A"])), 1e3 * float(supposed.value), "mA", None, "second-hand",
        "the sheet's is the most it may be",
    )  # fmt: skip


def test_no_load_current_of_a_toroid_at_half_volts(accuracy: Accuracy) -> None:
    """300 VA at 240 V: 42 mA and 2.88 W; at 120 V 7.3 mA. The law's linear share was taken from this pair."""
    filled = _bare(240.0, 50.0, "toroidal", ht="250 V 1.2 A")
    core = filled.core
    assert core is not None
    # At half the flux the power's part is gone: what is left is linear, and the loss.
    linear = core.rated_amps * core.linear_share / 2 / 2**0.5
    loss = 120.0 / core.loss_ohms
    accuracy(
        ELLIOTT, "toroid of 300 VA at 120 V", "no-load current", 7.3, 1e3 * (linear**2 + loss**2) ** 0.5,
        "mA", "textbook", "second-hand", "no test of the law: its linear share comes from this measurement",
    )  # fmt: skip
