import math
from dataclasses import replace

import pytest

from psucheck.supply import guesses
from psucheck.supply.fill_transformer import on_tap
from psucheck.supply.filled import FilledSupply
from psucheck.supply.winding_ratings import volt_amperes
from tests.supply.sketch import SECTIONS, filled, notes

NO_HEATERS = 'title = "A sketch"'


def _windings(*lines: str, primary: str = "230 V, 8 ohm", more: str = "", **sections: str) -> FilledSupply:
    return filled(
        top=NO_HEATERS,
        windings="\n".join(("[windings]", *lines)),
        transformer=f'[transformer]\nprimary = "{primary}"\n{more}',
        **sections,
    )


def test_a_winding_read_off_load_gives_its_ratio_and_no_note() -> None:
    supply = _windings('ht = "300-0-310 V off load at 240 V, 36 + 38 ohm"')
    assert supply.windings["ht"].ratios == pytest.approx((300 / 240, 310 / 240))
    assert supply.windings["ht"].ohms == (36.0, 38.0)
    assert not [key for key in notes(supply) if key.startswith("windings.ht")]


def test_a_rated_winding_reads_its_rated_volts_at_its_rated_current() -> None:
    volts, amps, ohms, primary, mains = 250.0, 0.2, 50.0, 10.0, 230.0
    supply = _windings(
        'ht = "250-0-250 V 200 mA, 50 + 50 ohm"', primary="230 V, 10 ohm"
    )  # each half carries the label's current
    # The halves take turns: n (V - sqrt 2 n i Rp) = v + i R, a quadratic in n.
    a, b, c = math.sqrt(2) * amps * primary, -mains, volts + amps * ohms
    expected = (-b - math.sqrt(b * b - 4 * a * c)) / (2 * a)
    assert supply.windings["ht"].ratios == pytest.approx((expected, expected), rel=1e-6)
    note = notes(supply)["windings.ht.off_load_volts"]
    assert (note.kind, note.unit) == ("derived", "V")
    assert note.value == pytest.approx(expected * mains)
    assert "0.2 A" in note.why


def test_rated_windings_share_the_drop_in_the_primary() -> None:
    supply = _windings(
        'ht = "250-0-250 V 200 mA, 50 + 50 ohm"', 'low = "6.3 V 5 A, 0.05 ohm"', primary="230 V, 10 ohm"
    )
    ht, low = supply.windings["ht"].ratios[0], supply.windings["low"].ratios[0]
    core = 230.0 - 10.0 * (math.sqrt(2) * ht * 0.2 + low * 5.0)
    assert ht * core - 0.2 * 50.0 == pytest.approx(250.0, rel=1e-6)
    assert low * core - 5.0 * 0.05 == pytest.approx(6.3, rel=1e-6)


def test_a_winding_without_a_current_is_taken_as_read_off_load() -> None:
    supply = _windings('ht = "300-0-300 V, 36 + 38 ohm"')
    assert supply.windings["ht"].ratios == pytest.approx((300 / 230, 300 / 230))
    note = notes(supply)["windings.ht.off_load_volts"]
    assert note.kind == "guess"
    assert (note.value, note.low, note.high) == pytest.approx((300.0, 300.0, 330.0))


@pytest.mark.parametrize("percent", [6.0, 15.0])
def test_a_regulation_figure_settles_the_off_load_volts(percent: float) -> None:
    supply = _windings('ht = "250-0-250 V 200 mA"', primary="230 V", more=f'regulation = "{percent} %"')
    off_load = supply.windings["ht"].ratios[0] * 230.0
    assert off_load == pytest.approx(250.0 * (1 + percent / 100), rel=0.01)


def test_regulation_goes_half_into_the_primary() -> None:
    supply = _windings(
        'ht = "250-0-250 V 200 mA"', primary="230 V", more='regulation = "8 %"\npower = "100 VA"'
    )
    # Half of it: 1 - 1/sqrt(1.08) of the volts at the 1.08 times 100 VA that the primary then takes.
    assert supply.primary_ohms == pytest.approx((1 - 1.08**-0.5) / 1.08 * 230.0**2 / 100.0)
    note = notes(supply)["transformer.primary.resistance"]
    assert note.value == pytest.approx(supply.primary_ohms)


def test_copper_that_was_not_measured_is_a_share_of_the_rated_volts() -> None:
    supply = _windings('ht = "250-0-260 V 200 mA"', 'low = "6.3 V 5 A"', primary="230 V")
    share = guesses.WINDING_SHARE.value
    assert supply.windings["ht"].ohms == pytest.approx((share * 250 / 0.2, share * 260 / 0.2))
    assert supply.windings["low"].ohms == pytest.approx((guesses.HEATER_WINDING_SHARE.value * 6.3 / 5.0,))
    power = 510.0 / math.sqrt(2) * 0.2 + 6.3 * 5.0  # halves that take turns
    assert supply.primary_ohms == pytest.approx(guesses.PRIMARY_SHARE.value * 230.0**2 / power)
    found = notes(supply)
    for key in ("windings.ht.resistance", "windings.low.resistance", "transformer.primary.resistance"):
        note = found[key]
        assert note.kind == "guess"
        assert note.source
        assert note.low is not None
        assert note.high is not None
        assert note.low < note.value < note.high


def test_an_unrated_winding_is_taken_to_be_meant_for_what_stands_on_it() -> None:
    supply = filled(windings='[windings]\nht = "300-0-300 V off load at 240 V"\nheaters = "6.3 V"')
    # Two EL34 and three ECC83; what all draw at full output, one for one in each half (Hammond's guide).
    assert supply.windings["heaters"].ohms == pytest.approx((0.04 * 6.3 / 3.9,))
    output = supply.outputs["output"]
    full = output.full_anode_amps + output.full_screen_amps
    drawn = sum(load.amps for load in supply.currents.values()) + full
    assert full > 0.15
    assert supply.windings["ht"].ohms[0] == pytest.approx(0.05 * 300 / drawn)


@pytest.mark.parametrize(("circuit", "volts", "ratio"), [
    ("centre-tapped", "250-0-250 V", 1.0),
    ("bridge", "250 V", 1 / 0.62),
    ("half-wave", "250 V", 1 / 0.28),
    ("full-wave doubler", "250 V", 1.6),
])  # fmt: skip
def test_what_a_label_in_dc_means_in_amperes_of_ac(circuit: str, volts: str, ratio: float) -> None:
    """By a maker's guide for the circuit; 1.6 where it has none."""
    standing = f'[rectifiers.ht]\ncircuit = "{circuit}"\nwinding = "ht"\ndevice = "1N4007"\n'
    if circuit == "full-wave doubler":
        standing += 'capacitors = ["220 uF 350 V", "220 uF 350 V"]'
    as_ac, as_dc = (
        _windings(f'ht = "{volts} 200 mA{label}"', rectifiers=standing).windings["ht"].ohms[0]
        for label in ("", " DC")
    )
    assert as_ac / as_dc == pytest.approx(ratio)


def test_a_choke_before_the_first_capacitor_needs_less_copper() -> None:
    """The guide prints 1.54 for the centre-tapped circuit; each half has 0.707 of the DC at the least."""
    choke = '[filter]\nreservoir = "choke 5 H 60 ohm, 50 uF 500 V, was 260 V"'
    output = SECTIONS["output"].replace('screens = "screens"', 'screens = "reservoir"')
    as_ac, as_dc = (
        _windings(f'ht = "250-0-250 V 200 mA{label}"', filter=choke, output=output).windings["ht"].ohms[0]
        for label in ("", " DC")
    )
    assert as_dc / as_ac == pytest.approx(math.sqrt(2))


def test_halves_count_twice_where_they_do_not_take_turns() -> None:
    """A heater winding's halves carry their current together, a centre-tapped rectifier's in turns."""
    supply = _windings('ht = "250-0-250 V 200 mA"', 'heaters = "3.15-0-3.15 V 4 A"').supply
    assert volt_amperes(supply, "heaters", 4.0) == pytest.approx(6.3 * 4.0)
    assert volt_amperes(supply, "ht", 0.2) == pytest.approx(500.0 / math.sqrt(2) * 0.2)


def test_a_tap_has_its_share_of_turns_and_copper() -> None:
    supply = _windings('ht = "300-0-300 V off load at 240 V, 36 + 38 ohm, taps bias 50 V half 150 V 20 ohm"')
    taps = supply.windings["ht"].taps
    assert taps["bias"].ratio == pytest.approx(50 / 240)
    assert taps["bias"].ohms == pytest.approx(36 * 50 / 300)
    assert taps["half"].ratio == pytest.approx(150 / 240)
    assert taps["half"].ohms == 20.0
    found = notes(supply)
    assert found["windings.ht.taps.bias.resistance"].kind == "derived"
    assert "windings.ht.taps.half.resistance" not in found


def test_on_another_primary_tap_turns_go_with_its_volts() -> None:
    supply = _windings('ht = "300-0-300 V off load at 240 V, 36 + 38 ohm, tap bias 50 V"')
    other = on_tap(supply, 250.0, 9.0)
    assert other.primary_ohms == 9.0
    assert other.windings["ht"].ratios[0] == pytest.approx(supply.windings["ht"].ratios[0] * 230 / 250)
    assert other.windings["ht"].taps["bias"].ratio == pytest.approx(50 / 240 * 230 / 250)
    assert other.windings["ht"].ohms == supply.windings["ht"].ohms
    assert supply.core is not None
    assert other.core is not None
    # The same iron: the same ampere-turns and volts a turn.
    assert other.core.rated_amps * other.core.rated_flux == pytest.approx(
        supply.core.rated_amps * supply.core.rated_flux
    )
    assert other.core.rated_flux == pytest.approx(supply.core.rated_flux * 250 / 230)


def test_back_on_the_first_tap_all_is_as_it_was() -> None:
    supply = _windings('ht = "300-0-300 V off load at 240 V, 36 + 38 ohm"')
    there = on_tap(supply, 250.0, 9.0)
    there = replace(
        there,
        supply=there.supply.model_copy(
            update={
                "transformer": there.supply.transformer.model_copy(
                    update={"primary": there.supply.transformer.primary.model_copy(update={"voltage": 250.0})}
                )
            }
        ),
    )
    back = on_tap(there, 230.0, supply.primary_ohms)
    assert back.windings["ht"].ratios == pytest.approx(supply.windings["ht"].ratios)
    assert back.core is not None
    assert supply.core is not None
    assert back.core.rated_flux == pytest.approx(supply.core.rated_flux)
    assert back.core.loss_ohms == pytest.approx(supply.core.loss_ohms)
