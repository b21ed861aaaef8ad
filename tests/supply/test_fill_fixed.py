from __future__ import annotations

import pytest

from psucheck.supply.filled import FilledSupply
from tests.supply.sketch import SECTIONS, filled, notes

_LOW = (
    '[rectifiers.low]\ncircuit = "bridge"\nwinding = "low"\ndevice = "1N5408"\n'
    '[filter.low]\nfrom = "rectifiers.low"\ncapacitor = "4700 uF 25 V"\n'
)


def _on_low(*load: str, volts: str = "12.5 V off load at 240 V, 0.3 ohm", **sections: str) -> FilledSupply:
    windings = f'{SECTIONS["windings"]}\nlow = "{volts}"'
    ht = SECTIONS["filter"].replace(
        '"50 uF 500 V, was 400 V"', '{ from = "rectifiers.ht", capacitor = "50 uF 500 V" }'
    )
    lines = "\n".join(("[loads.low]", 'node = "low"', *load))
    return filled(windings=windings, filter=ht, low=f"{_LOW}{lines}", **sections)


@pytest.mark.parametrize(
    ("at", "volts", "amps"),
    [('at = "6.3 V"', 6.3, 0.9), ('at = "12.6 V"', 12.6, 0.45), ('at = "18.9 V"', 18.9, 0.3)],
)
def test_heaters_take_the_same_watts_however_they_are_wired(at: str, volts: float, amps: float) -> None:
    load = _on_low('heaters = "3 x ECC83"', at).currents["low"]
    assert load.heats
    assert load.ohms == pytest.approx(volts / amps)


@pytest.mark.parametrize(
    ("winding", "volts"),
    [("6.5 V off load at 240 V, 0.1 ohm", 6.3), ("12.5 V off load at 240 V, 0.3 ohm", 12.6)],
)
def test_without_at_the_winding_tells_whether_two_are_in_series(winding: str, volts: float) -> None:
    supply = _on_low('heaters = "3 x ECC83"', volts=winding)
    assert notes(supply)["loads.low.at"].value == pytest.approx(volts)
    assert notes(supply)["loads.low.heater_amps"].value == pytest.approx(3 * 6.3 * 0.3 / volts)


def test_valves_heated_with_dc_are_no_load_on_the_ac_winding() -> None:
    supply = _on_low('heaters = "2 x 12AX7"', 'at = "12.6 V"')
    # Two EL34 of 1.5 A and the third ECC83 of 0.3 A are left.
    assert [(load.winding, round(load.amps, 6)) for load in supply.heaters] == [("heaters", 3.3)]


def test_what_readings_tell_of_the_ht_stays() -> None:
    supply = _on_low('relay = "12 V 360 ohm"')
    # From 396 V to 330 V over 10k.
    assert supply.currents["at preamp"].amps == pytest.approx(6.6e-3)
    assert supply.currents["low"].ohms == pytest.approx(360.0)


def test_a_winding_for_a_resistance_is_guessed_for_what_it_draws() -> None:
    supply = _on_low('resistance = "10 ohm"', volts="12.5 V")
    # sqrt(2) x 12.5 V over 10 ohm, times 1.6 for the RMS, drops 4 % of 12.5 V in the copper.
    assert supply.windings["low"].ohms[0] == pytest.approx(0.04 * 12.5 / (1.6 * 1.7678), rel=0.01)


def test_a_relay_pulls_in_at_a_share_of_its_nominal_volts_where_it_is_not_given() -> None:
    supply = _on_low('relay = "12 V 360 ohm"')
    note = notes(supply)["loads.low.relay.pull_in"]
    assert note.kind == "guess"
    assert [note.low, supply.relays["low"].pull_in, note.high] == pytest.approx([7.14, 8.4, 9.66])


def test_a_relay_as_given() -> None:
    supply = _on_low('relay = { pull_in = "8.4 V", holds = "4 V" }', 'resistance = "360 ohm"')
    relay = supply.relays["low"]
    assert (relay.node, relay.pull_in, relay.holds) == ("low", 8.4, 4.0)
    assert supply.currents["low"].ohms == 360.0


def test_what_small_valves_draw_is_put_on_the_last_ht_node_all_the_same() -> None:
    supply = filled(
        windings=f'{SECTIONS["windings"]}\nlow = "12.5 V off load at 240 V, 0.3 ohm"',
        filter=(
            '[filter]\nreservoir = { from = "rectifiers.ht", capacitor = "50 uF 500 V" }\n'
            'screens = "1k 5 W, 50 uF 500 V"\npreamp = "10k 1 W, 22 uF 450 V"'
        ),
        low=f'{_LOW}[loads.relay]\nnode = "low"\nrelay = "12 V 360 ohm"',
    )
    # Three ECC83, six halves of 1 mA.
    assert supply.currents["at preamp"].amps == pytest.approx(6e-3)


def test_the_common_winding_heats_the_valves_though_the_rectifier_is_on_it_too() -> None:
    supply = filled(
        windings=f'{SECTIONS["windings"]}\nspare = "5.2 V off load at 240 V, 2 A"',
        rectifiers=SECTIONS["rectifiers"].replace('"1N4007"', '"EZ81"\nheater = "heaters"'),
    )
    assert {load.winding for load in supply.heaters} == {"heaters"}
