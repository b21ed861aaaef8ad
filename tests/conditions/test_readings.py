import pytest

from psucheck.circuit.condition import Condition, Readings
from psucheck.conditions.run import place_readings, reset_bias, run_conditions
from psucheck.engine.here import Here
from psucheck.figures.measure import measure
from psucheck.figures.model import ValveFigures
from psucheck.supply.fill import fill
from psucheck.supply.filled import FilledSupply
from psucheck.supply.reader import parse_description
from tests.conditions.supplies import LADDER, SUPPLIES, describe
from tests.engine_runs import described, readings_of

UNREAD = describe("nothing read")
RESERVOIR, SCREENS, PREAMP = LADDER


def _read(*nodes: str) -> FilledSupply:
    return described(describe("read", ladder=nodes))


def test_without_a_reading_the_volts_are_those_computed() -> None:
    filled = described(UNREAD)
    readings = readings_of(filled)
    as_read = Condition("idle", "wall", 236.0, as_read=True)
    figures = measure(run_conditions(filled, [as_read], Readings(), Here())[0])
    assert readings.volts == pytest.approx({name: node.dc for name, node in figures.nodes.items()}, rel=1e-4)
    # Everything then draws just what was read.
    valves = figures.valves["output"]
    assert valves.anode_current + valves.screen_current == pytest.approx(36e-3, rel=1e-3)


def test_a_node_that_was_read_keeps_its_reading_and_those_below_follow() -> None:
    computed = readings_of(described(UNREAD)).volts
    placed = readings_of(_read(RESERVOIR.replace('V"', 'V, was 380 V"'), SCREENS, PREAMP)).volts
    assert placed["reservoir"] == pytest.approx(380.0)
    for name in ("screens", "preamp"):
        assert placed[name] == pytest.approx(computed[name] * 380.0 / computed["reservoir"], rel=2e-3)


def test_a_node_follows_the_nearest_reading_above_it() -> None:
    plain = readings_of(described(UNREAD)).volts
    filled = _read(RESERVOIR.replace('V"', 'V, was 380 V"'), SCREENS.replace('V"', 'V, was 400 V"'), PREAMP)
    placed = readings_of(filled).volts
    assert (placed["reservoir"], placed["screens"]) == pytest.approx((380.0, 400.0))
    assert placed["preamp"] == pytest.approx(400.0 * plain["preamp"] / plain["screens"], rel=5e-3)


def test_readings_below_the_first_node_do_not_move_those_above() -> None:
    plain = readings_of(described(UNREAD)).volts
    placed = readings_of(_read(RESERVOIR, SCREENS, PREAMP.replace('V"', 'V, was 300 V"'))).volts
    assert placed["preamp"] == pytest.approx(300.0)
    assert placed["reservoir"] == pytest.approx(plain["reservoir"], rel=2e-3)


def test_without_a_wall_voltage_readings_belong_to_the_nominal_one() -> None:
    text = UNREAD.replace('wall = "236 V"\n', "")
    at_nominal = readings_of(described(text)).volts["reservoir"]
    assert at_nominal == pytest.approx(
        readings_of(described(UNREAD)).volts["reservoir"] * 230 / 236, rel=5e-3
    )


@pytest.mark.parametrize("name", ["bias through a resistor", "bias from a tap"])
def test_the_pot_stands_where_set_comes_out(name: str) -> None:
    filled = described(SUPPLIES[name])
    readings = readings_of(filled)
    as_read = Condition("idle", "wall", 236.0, as_read=True)
    bias = measure(run_conditions(filled, [as_read], Readings(), Here())[0]).nodes["bias"].dc
    assert readings.grid_shares == pytest.approx({"output": -36.0 / bias}, rel=1e-3)
    assert not readings.reset


def test_a_fixed_bias_has_no_pot() -> None:
    assert readings_of(described(UNREAD)).grid_shares == {}


SWAPPED = SUPPLIES["bias through a resistor"] + (
    '[new.windings]\nht = "340-0-340 V off load at 236 V, 40 + 42 ohm, 250 mA"\n'
)


@pytest.fixture(scope="module")
def swapped() -> tuple[FilledSupply, FilledSupply, Readings]:
    description = parse_description(SWAPPED, "swap")
    assert description.proposed is not None
    found = fill(description.found)
    return found, fill(description.proposed, loads_of=found), place_readings(found, Here())


def _idle(filled: FilledSupply, readings: Readings) -> ValveFigures:
    wall = Condition("idle", "wall", 236.0)
    return measure(run_conditions(filled, [wall], readings, Here())[0]).valves["output"]


def _cathode(valves: ValveFigures) -> float:
    return valves.anode_current + valves.screen_current


def test_a_swap_moves_the_idle_current_and_a_reset_brings_it_back(
    swapped: tuple[FilledSupply, FilledSupply, Readings],
) -> None:
    found, proposed, readings = swapped
    assert _cathode(_idle(found, readings)) == pytest.approx(36e-3, rel=0.01)
    untouched = _idle(proposed, readings)
    assert _cathode(untouched) > 1.1 * 36e-3
    reset = reset_bias(proposed, readings, Here())
    assert reset.reset
    assert reset.volts == readings.volts
    again = _idle(proposed, reset)
    assert _cathode(again) == pytest.approx(36e-3, rel=0.02)
    assert again.bias < untouched.bias
    assert again.screen_volts > untouched.screen_volts


def test_a_reset_of_a_supply_as_found_changes_nothing(
    swapped: tuple[FilledSupply, FilledSupply, Readings],
) -> None:
    found, _, readings = swapped
    assert reset_bias(found, readings, Here()).grid_shares == pytest.approx(readings.grid_shares, rel=2e-3)


def test_without_a_law_the_bias_stays() -> None:
    text = SWAPPED.replace("2 x EL34", "2 x KT77")
    description = parse_description(text, "swap")
    assert description.proposed is not None
    found = fill(description.found)
    readings = place_readings(found, Here())
    proposed = fill(description.proposed, loads_of=found)
    reset = reset_bias(proposed, readings, Here())
    assert _idle(proposed, reset).bias == pytest.approx(-36.0, rel=0.01)
