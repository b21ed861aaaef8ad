"""The valves' current after a transformer swap: with the bias from the same transformer, held, and set anew.

Reference: the supply as found, drawing what was read, tells where pot and idle point stand; the law then runs
on the new windings. With the pot turned, the grids get what the law asks for on the rails that the idle
current leaves.
"""

from __future__ import annotations

import math

import pytest

from psucheck.circuit.condition import Condition, Readings
from psucheck.conditions.run import place_readings, reset_bias, run_conditions
from psucheck.engine.here import Here
from psucheck.figures.measure import measure
from psucheck.figures.model import Figures
from psucheck.supply.fill import fill
from psucheck.supply.filled import FilledSupply
from psucheck.supply.reader import parse_description
from tests.accuracy import Accuracy
from tests.reference.comparing import DIODE, HEAD, HERTZ, LEAKAGE, MAINS, crest, diode, record
from tests.reference.shooting import Array, Cycle, settled

TEXT = """
[windings]
ht = "250-0-250 V off load at 230 V, 90 + 90 ohm"
[rectifiers.rail]
circuit = "centre-tapped"
winding = "ht"
{device}
[filter.reservoir]
capacitor = {{ value = "32 uF", voltage = "450 V", esr = "0 ohm" }}
[filter.screens]
resistor = "1k 2 W"
capacitor = {{ value = "10 uF", voltage = "450 V", esr = "0 ohm" }}
[loads.output]
valves = "2 x EL84"
anodes = "reservoir"
screens = "screens"
bias = {bias}
idle = {{ anode = "34 mA", screen = "4 mA" }}
[new.windings]
ht = "290-0-290 V off load at 230 V, 110 + 110 ohm"
"""
BIAS = """
[rectifiers.bias]
circuit = "half-wave"
polarity = "negative"
winding = "ht"
{device}
feed = "47k 2 W"
[filter.bias]
from = "rectifiers.bias"
capacitor = {{ value = "10 uF", voltage = "100 V", esr = "0 ohm" }}
was = "-30 V"
set = "-11 V"
"""
ANODE_AMPS, SCREEN_AMPS, GRID, HELD = 0.068, 0.008, -11.0, 30.0
DROPPER, FEED, FIRST, SECOND, THIRD = 1000.0, 47e3, 32e-6, 10e-6, 10e-6
OLD, NEW = (250.0, 90.0), (290.0, 110.0)


def _bias_load() -> float:
    """Of pot and padding, so that the old winding holds 30 V there through the feed resistor."""
    peak = math.sqrt(2) * OLD[0]
    a = HELD / peak
    return HELD / (peak / (math.pi * FEED) * (math.sqrt(1 - a * a) - a * math.acos(a)))


class _Reference:
    """The supply on one of the two windings."""

    def __init__(self, filled: FilledSupply, winding: tuple[float, float], mu: float) -> None:
        self.volts, copper = winding
        self.mu = mu
        self.arm = diode(filled, "rail", copper)
        biased = "bias" in filled.devices
        self.bias_arm = diode(filled, "bias", FEED + copper) if biased else None

    def run(self, share: float, fixed: float, drive_then: float | None) -> Cycle:
        """On its periodic state; ``drive_then`` None draws just what was read."""
        load = _bias_load()

        def flow(t: float, x: Array) -> list[float]:
            f = 1.0
            if drive_then is not None:
                f = (max(x[1] / self.mu + share * x[2] + fixed, 0.0) / drive_then) ** 1.5
            e = crest(self.volts, t)
            down = (x[0] - x[1]) / DROPPER
            bias = self.bias_arm(-e + x[2]) if self.bias_arm is not None else 0.0
            charging = self.arm(e - x[0]) + self.arm(-e - x[0])
            return [
                (charging - ANODE_AMPS * f - down - LEAKAGE * FIRST * x[0]) / FIRST,
                (down - SCREEN_AMPS * f - LEAKAGE * SECOND * x[1]) / SECOND,
                (-bias - x[2] / load - LEAKAGE * THIRD * x[2]) / THIRD,
            ]

        return settled(flow, [1.3 * self.volts, 1.25 * self.volts, -30.0], HERTZ)


def _idle(filled: FilledSupply, readings: Readings) -> Figures:
    return measure(run_conditions(filled, [Condition("idle", "nominal", MAINS)], readings, Here())[0])


@pytest.mark.parametrize("way", ["tracking", "held", "reset"])
def test_the_law_after_a_swap(way: str, accuracy: Accuracy) -> None:
    bias = '"-11 V"' if way == "held" else '"bias"'
    parts = TEXT.format(device=DIODE, bias=bias)
    if way != "held":
        found_part, new_part = parts.split("[new.windings]")
        parts = found_part + BIAS.format(device=DIODE) + "[new.windings]" + new_part
    description = parse_description(HEAD.format(primary="0 ohm") + parts, "test")
    assert description.proposed is not None
    found = fill(description.found)
    proposed = fill(description.proposed, loads_of=found)
    mu = found.outputs["output"].mu
    assert mu is not None

    old, new = _Reference(found, OLD, mu), _Reference(proposed, NEW, mu)
    read = old.run(0.0, 0.0, None)
    drive_then = read.mean(read.states[1]) / mu + GRID
    share, fixed = (0.0, GRID) if way == "held" else (GRID / read.mean(read.states[2]), 0.0)
    readings = place_readings(found, Here())
    if way == "reset":
        at_idle = new.run(0.0, 0.0, None)
        grid = drive_then - at_idle.mean(at_idle.states[1]) / mu
        share = grid / at_idle.mean(at_idle.states[2])
        readings = reset_bias(proposed, readings, Here())
    cycle = new.run(share, fixed, drive_then)

    figures = _idle(proposed, readings)
    rows = accuracy, f"250 V winding swapped for 290 V, bias {way}"
    for row, name in enumerate(("reservoir", "screens")):
        record(rows, f"DC, {name}", cycle.mean(cycle.states[row]), figures.nodes[name].dc, "V", "dc")
    drive = cycle.states[1] / mu + share * cycle.states[2] + fixed
    drawn = cycle.mean((drive.clip(0.0) / drive_then) ** 1.5)
    valves = figures.valves["output"]
    at_grids = cycle.mean(share * cycle.states[2] + fixed)
    record(rows, "bias at the grids", at_grids, valves.bias, "V", "dc-small")
    record(rows, "anode current", ANODE_AMPS / 2 * drawn, valves.anode_current, "A", "mean-current")
    if way == "reset":
        assert drawn == pytest.approx(1.0, abs=0.01)
    else:
        assert drawn > (1.1 if way == "tracking" else 1.3), "the swap hardly moves the current"
