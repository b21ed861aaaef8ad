"""What a proposed supply takes over from the readings, and what is its own."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from psucheck.supply.changes import changed
from psucheck.supply.fill import fill
from psucheck.supply.filled import FilledSupply
from psucheck.supply.model import Description
from psucheck.supply.reader import parse_description

TEXT = """
title = "Carried over"
valves = "2 x EL84, 2 x ECC83"
mains = { voltage = "230 V", frequency = "50 Hz" }
transformer = { primary = "230 V, 9 ohm" }
[windings]
ht = "250-0-250 V off load at 230 V, 90 + 90 ohm"
heaters = "6.3 V 4 A"
[rectifiers.ht]
circuit = "centre-tapped"
winding = "ht"
device = "1N4007"
[filter]
reservoir = "32 uF 450 V, was 330 V"
screens = "1k 2 W, 32 uF 450 V, was 322 V"
preamp = "22k 1 W, 32 uF 450 V"
[loads.output]
valves = "2 x EL84"
anodes = "reservoir"
screens = "screens"
bias = "cathode"
cathode_resistor = "130 ohm 5 W"
idle = { anode = "34 mA", screen = "4 mA" }
screen_resistors = "470 ohm 1 W"
[loads.preamp]
node = "preamp"
current = "3 mA"
"""


def filled(changes: Mapping[str, object], text: str = TEXT) -> tuple[FilledSupply, FilledSupply]:
    """The supply as found, and as proposed with changes."""
    after: Description = changed(parse_description(text, "test"), changes, beside=True)
    found = fill(after.found)
    assert after.proposed is not None
    return found, fill(after.proposed, loads_of=found)


def test_the_idle_point_stays_the_one_that_was_read_with_the_old_resistors() -> None:
    changes = {"loads.output.cathode_resistor": "180 ohm 5 W", "loads.output.screen_resistors": "1k 2 W"}
    before, after = (each.outputs["output"] for each in filled(changes))
    assert (after.anode_amps, after.screen_amps, after.grid_volts) == (
        before.anode_amps,
        before.screen_amps,
        before.grid_volts,
    )
    assert (after.cathode_ohms, after.screen_ohms) == (180.0, 500.0)
    assert after.told_on == before
    assert before.told_on is None


def test_a_fixed_bias_of_other_volts_leaves_the_point_alone() -> None:
    text = TEXT.replace('bias = "cathode"\ncathode_resistor = "130 ohm 5 W"', 'bias = "-11 V"')
    _, after = filled({"loads.output.bias": "-13 V"}, text)
    output = after.outputs["output"]
    assert output.grid_volts == -13.0
    assert output.told_on is not None
    assert output.told_on.grid_volts == -11.0


@pytest.mark.parametrize(
    ("path", "value", "amps"),
    [
        ("loads.output.idle", '{ anode = "28 mA", screen = "3 mA" }', 0.056),
        ("loads.output.valves", "3 x EL84", 0.102),
    ],
)
def test_what_the_valves_draw_may_be_said_anew(path: str, value: str, amps: float) -> None:
    _, after = filled({path: value})
    assert after.outputs["output"].anode_amps == pytest.approx(amps)


def test_loads_that_are_taken_out_or_changed_are() -> None:
    before, after = filled({"loads.preamp.current": "5 mA"})
    assert (before.currents["preamp"].amps, after.currents["preamp"].amps) == (3e-3, 5e-3)
    before, after = filled({"loads.preamp": None})
    assert "preamp" not in after.currents
    _, after = filled({"loads.output": None})
    assert not after.outputs
    before, after = filled({"filter.preamp": "10k 1 W"})
    assert after.currents == before.currents
