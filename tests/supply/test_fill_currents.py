import pytest

from psucheck.supply.filled import FilledSupply
from tests.supply.sketch import filled, notes

IDLE = 'idle = { cathode = "38 mA", screen = "4 mA" }'
"""8 mA of screen current in all, 68 mA of anode current: round numbers to calculate with."""


def _filter(*nodes: str, **sections: str) -> FilledSupply:
    output = (
        '[loads.output]\nvalves = "2 x EL34"\nanodes = "reservoir"\nscreens = "screens"\nbias = "-36 V"\n'
        + IDLE
    )
    return filled(filter="\n".join(("[filter]", *nodes)), **({"output": output} | sections))


def _amps(supply: FilledSupply) -> dict[str, float]:
    return {load.node: load.amps for load in supply.currents.values()}


def test_every_node_read_gives_every_current() -> None:
    supply = _filter(
        'reservoir = "50 uF 500 V, was 400 V"',
        'screens = "choke 10 H 100 ohm 180 mA, 50 uF 500 V, was 398 V"',
        'splitter = "10k 1 W, 22 uF 450 V, was 318 V"',
        'preamp = "20k 1 W, 22 uF 450 V, was 258 V"',
    )
    # 60 V over 20k; 80 V over 10k less that; 2 V over 100 ohm less both and the screens.
    assert _amps(supply) == pytest.approx({"preamp": 3e-3, "splitter": 5e-3, "screens": 4e-3})
    assert all(load.at_volts == supply.nodes[load.node].was for load in supply.currents.values())
    found = notes(supply)
    assert found["filter.preamp.current"].kind == "derived"
    assert found["filter.preamp.current"].value == pytest.approx(3e-3)
    assert "reservoir" not in _amps(supply)


def test_a_node_that_was_not_read_between_two_that_were() -> None:
    supply = _filter(
        'reservoir = "50 uF 500 V, was 400 V"',
        'screens = "1k 5 W, 50 uF 500 V"',
        'splitter = "10k 1 W, 22 uF 450 V, was 326 V"',
        'preamp = "20k 1 W, 22 uF 450 V, was 266 V"',
    )
    # 74 V = 1k (8 mA + I) + 10k I for what flows on, I = 6 mA; the screens stand at 386 V.
    assert _amps(supply) == pytest.approx({"preamp": 3e-3, "splitter": 3e-3})


def test_two_branches_from_one_node() -> None:
    supply = _filter(
        'reservoir = "50 uF 500 V, was 400 V"',
        'screens = "500 ohm 5 W, 50 uF 500 V, was 390 V"',
        'splitter = "10k 1 W, 22 uF 450 V, was 360 V"',
        'preamp = { from = "screens", resistor = "20k 1 W", capacitor = "22 uF 450 V", was = "330 V" }',
    )
    # Both branches take 3 mA; 10 V over 500 ohm are 20 mA, 8 mA of them the screens'.
    assert _amps(supply) == pytest.approx({"splitter": 3e-3, "preamp": 3e-3, "screens": 6e-3})


def test_two_branches_behind_a_node_that_was_not_read() -> None:
    supply = _filter(
        'reservoir = "50 uF 500 V, was 400 V"',
        'screens = "500 ohm 5 W, 50 uF 500 V"',
        'splitter = "10k 1 W, 22 uF 450 V, was 350 V"',
        'preamp = { from = "screens", resistor = "20k 1 W", capacitor = "22 uF 450 V", was = "350 V" }',
    )
    # v: (400 - v)/500 = 8 mA + (v - 350)/10k + (v - 350)/20k.
    volts = (400 / 500 - 8e-3 + 350 / 10e3 + 350 / 20e3) / (1 / 500 + 1 / 10e3 + 1 / 20e3)
    assert _amps(supply) == pytest.approx({"splitter": (volts - 350) / 10e3, "preamp": (volts - 350) / 20e3})


def test_a_bleeder_takes_its_part_of_the_current() -> None:
    supply = _filter(
        'reservoir = "50 uF 500 V, was 400 V"',
        'screens = "1k 5 W, 50 uF 500 V, was 380 V"',
        'preamp = "10k 1 W, 22 uF 450 V, bleeder 110k 2 W, was 330 V"',
    )
    # 5 mA through the dropper, 3 mA of them through the bleeder.
    assert _amps(supply) == pytest.approx({"preamp": 2e-3, "screens": 7e-3})


def test_a_bleeder_on_a_node_that_was_not_read() -> None:
    supply = _filter(
        'reservoir = "50 uF 500 V, was 400 V"',
        'screens = "1k 5 W, 50 uF 500 V, bleeder 100k 2 W"',
        'preamp = "10k 1 W, 22 uF 450 V, was 330 V"',
    )
    # v: (400 - v)/1k = 8 mA + v/100k + (v - 330)/10k.
    volts = (400 / 1e3 - 8e-3 + 330 / 10e3) / (1 / 1e3 + 1 / 100e3 + 1 / 10e3)
    assert _amps(supply) == pytest.approx({"preamp": (volts - 330) / 10e3})


def test_a_current_that_is_given_is_taken_and_counts_upstream() -> None:
    supply = _filter(
        'reservoir = "50 uF 500 V, was 400 V"',
        'screens = "1k 5 W, 50 uF 500 V, was 380 V"',
        'preamp = "10k 1 W, 22 uF 450 V"',
        more='[loads.preamp]\nnode = "preamp"\ncurrent = "4 mA"',
    )
    assert supply.currents["preamp"].amps == 4e-3
    assert supply.currents["preamp"].at_volts is None
    # 20 V over 1k less 8 mA of screens and 4 mA of preamp.
    assert _amps(supply)["screens"] == pytest.approx(8e-3)


def test_a_resistance_counts_with_the_volts_read_there() -> None:
    supply = _filter(
        'reservoir = "50 uF 500 V, was 400 V"',
        'screens = "1k 5 W, 50 uF 500 V, was 380 V"',
        'preamp = "10k 1 W, 22 uF 450 V, was 330 V"',
        more='[loads.preamp]\nnode = "preamp"\nresistance = "66k"',
    )
    assert supply.currents["preamp"].ohms == 66e3
    assert _amps(supply)["screens"] == pytest.approx(20e-3 - 8e-3 - 5e-3)


def test_a_constant_load_stays_constant() -> None:
    supply = _filter(
        'reservoir = "50 uF 500 V, was 400 V"',
        'screens = "1k 5 W, 50 uF 500 V"',
        more='[loads.relay]\nnode = "reservoir"\ncurrent = "20 mA"\nconstant = true',
    )
    assert supply.currents["relay"].constant
    assert supply.currents["relay"].at_volts == 400.0


def test_a_reading_against_a_given_current_meets_it_half_way() -> None:
    supply = _filter(
        'reservoir = "50 uF 500 V, was 400 V"',
        'screens = "1k 5 W, 50 uF 500 V, was 380 V"',
        'splitter = "10k 1 W, 22 uF 450 V, was 340 V"',
        'preamp = "20k 1 W, 22 uF 450 V, was 300 V"',
        more='[loads.screens]\nnode = "screens"\ncurrent = "5 mA"\n'
        '[loads.splitter]\nnode = "splitter"\ncurrent = "1 mA"',
    )
    # Of one unknown I three equations: 1k (14 mA + I) = 20 V, 10k (1 mA + I) = 40 V, 20k I = 40 V.
    ohms, volts = (1e3, 10e3, 20e3), (20.0 - 14.0, 40.0 - 10.0, 40.0)
    least_squares = sum(r * v for r, v in zip(ohms, volts, strict=True)) / sum(r * r for r in ohms)
    assert _amps(supply)["preamp"] == pytest.approx(least_squares)


def test_a_node_above_the_one_that_feeds_it_draws_nothing() -> None:
    supply = _filter(
        'reservoir = "50 uF 500 V, was 400 V"',
        'screens = "1k 5 W, 50 uF 500 V, was 380 V"',
        'preamp = "10k 1 W, 22 uF 450 V, was 385 V"',
    )
    assert "preamp" not in _amps(supply)
    assert notes(supply)["filter.preamp.current"].value < 0


def test_no_readings_leave_it_to_the_line_up() -> None:
    supply = _filter(
        'reservoir = "50 uF 500 V"', 'screens = "1k 5 W, 50 uF 500 V"', 'preamp = "10k 1 W, 22 uF 450 V"'
    )
    # Three ECC83, two sections each, of 1 mA.
    assert _amps(supply) == pytest.approx({"preamp": 6e-3})
    note = notes(supply)["filter.preamp.current"]
    assert note.kind == "guess"
    assert note.source
    assert next(iter(supply.currents.values())).at_volts is None


def test_nothing_over_what_leads_to_a_node_tells_nothing() -> None:
    supply = _filter(
        'reservoir = "50 uF 500 V, was 400 V"',
        'screens = "0 ohm, 50 uF 500 V, was 400 V"',
        'preamp = "0 ohm, 22 uF 450 V, was 400 V"',
    )
    assert _amps(supply) == pytest.approx({"preamp": 6e-3})
    assert notes(supply)["filter.preamp.current"].kind == "guess"


def test_readings_below_a_root_that_was_not_read_are_no_closed_sum() -> None:
    supply = _filter(
        'reservoir = "50 uF 500 V"',
        'screens = "1k 5 W, 50 uF 500 V, was 380 V"',
        'preamp = "10k 1 W, 22 uF 450 V, was 340 V"',
    )
    # What flows into the screens' node cannot be told; what flows on to the preamp can: 40 V over 10k.
    assert _amps(supply) == pytest.approx({"preamp": 4e-3})


def test_a_bias_rail_is_no_part_of_it() -> None:
    bias = (
        '[rectifiers.bias]\ncircuit = "half-wave"\npolarity = "negative"\nwinding = "ht"\nfeed = "47k 2 W"\n'
        'device = "1N4007"\n[filter.bias]\nfrom = "rectifiers.bias"\ncapacitor = "10 uF 100 V"\n'
        'was = "-40 V"\n'
        '[filter."bias two"]\nfrom = "bias"\nresistor = "1k"\ncapacitor = "10 uF 100 V"\nwas = "-39 V"'
    )
    supply = _filter(
        'reservoir = "50 uF 500 V, was 400 V"', 'screens = "1k 5 W, 50 uF 500 V, was 380 V"', bias=bias
    )
    assert _amps(supply) == pytest.approx({"screens": 12e-3})


def test_two_rails_are_told_apart() -> None:
    rectifiers = (
        '[rectifiers.ht]\ncircuit = "centre-tapped"\nwinding = "ht"\ndevice = "1N4007"\n'
        '[rectifiers.low]\ncircuit = "bridge"\nwinding = "low"\ndevice = "1N4007"'
    )
    windings = (
        '[windings]\nht = "300-0-300 V off load at 240 V, 36 + 38 ohm, 320 mA"\n'
        'low = "250 V off load at 240 V, 60 ohm, 80 mA"\nheaters = "6.9 V off load at 240 V, 5 A"'
    )
    supply = _filter(
        'reservoir = { from = "rectifiers.ht", capacitor = "50 uF 500 V", was = "400 V" }',
        'screens = { from = "rectifiers.low", capacitor = "50 uF 500 V", was = "330 V" }',
        'preamp = "10k 1 W, 22 uF 450 V, was 300 V"',
        rectifiers=rectifiers,
        windings=windings,
    )
    assert _amps(supply) == pytest.approx({"preamp": 3e-3})


def test_what_a_zener_takes_is_no_load() -> None:
    supply = _filter(
        'reservoir = "50 uF 500 V, was 400 V"',
        'screens = "choke 10 H 100 ohm 180 mA, 50 uF 500 V, was 398 V"',
        'splitter = "10k 5 W, 22 uF 450 V, zener 300 V 10 W"',
        'preamp = "20k 1 W, 22 uF 450 V, was 240 V"',
    )
    # 9.8 mA come through 10k, 3 of them go on through 20k; what the zener takes of the rest nobody has read.
    assert _amps(supply) == pytest.approx({"preamp": 3e-3, "screens": 2.2e-3})


def test_a_node_with_a_zener_stands_where_it_was_read() -> None:
    supply = _filter(
        'reservoir = "50 uF 500 V, was 400 V"',
        'splitter = "10k 5 W, 22 uF 450 V, zener 300 V 10 W, was 306 V"',
        'preamp = "20k 1 W, 22 uF 450 V, was 246 V"',
        output="",
    )
    assert _amps(supply) == pytest.approx({"preamp": 3e-3})
