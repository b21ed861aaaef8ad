"""Output valves by their law on a live supply: cathode bias, and fixed grid volts that do not track.

Reference: the three-halves law of screen and grid volts, written out with the cathode's and the screen's
resistor and solved for its one unknown at every instant. The idle point is given at volts that the supply
does not reach, so that the law has to move the current.
"""

from __future__ import annotations

import pytest
from scipy.optimize import brentq

from tests.accuracy import Accuracy
from tests.reference.comparing import (
    DIODE,
    HERTZ,
    LEAKAGE,
    check_arm,
    check_node,
    crest,
    diode,
    idle,
    record,
    supply,
)
from tests.reference.shooting import Array, settled
from tests.tolerances import within

TEXT = """
[windings]
ht = "250-0-250 V off load at 230 V, 90 + 90 ohm"
[rectifiers.rail]
circuit = "centre-tapped"
winding = "ht"
{device}
[filter.reservoir]
capacitor = {{ value = "32 uF", voltage = "450 V", esr = "0 ohm" }}
was = "330 V"
[filter.screens]
resistor = "1k 2 W"
capacitor = {{ value = "4.7 uF", voltage = "450 V", esr = "0 ohm" }}
was = "322 V"
[loads.output]
valves = "2 x EL84"
anodes = "reservoir"
screens = "screens"
{bias}
idle = {{ anode = "34 mA", screen = "4 mA" }}
output_transformer = "100 + 120 ohm"
screen_resistors = "470 ohm 1 W"
"""
CATHODE_BIAS = 'bias = "cathode"\ncathode_resistor = "130 ohm 5 W"'
ANODE_AMPS, SCREEN_AMPS = 2 * 0.034, 2 * 0.004
SCREEN_OHMS = 470.0 / 2


@pytest.mark.parametrize(
    ("bias", "changes", "read_ohms", "read_grid"),
    [
        (CATHODE_BIAS, {}, 130.0, 0.0),
        ('bias = "-11 V"', {}, 0.0, -11.0),
        (CATHODE_BIAS, {"loads.output.cathode_resistor": "180 ohm 5 W"}, 130.0, 0.0),
        ('bias = "-11 V"', {"loads.output.bias": "-12 V"}, 0.0, -11.0),
    ],
    ids=["cathode bias", "fixed volts", "another cathode resistor", "other fixed volts"],
)
def test_output_valves(
    bias: str, changes: dict[str, str], read_ohms: float, read_grid: float, accuracy: Accuracy
) -> None:
    """Also of a proposal, where the law still passes through the point read in the supply as found."""
    filled = supply(TEXT.format(device=DIODE, bias=bias), changes)
    cathode_ohms = 180.0 if "loads.output.cathode_resistor" in changes else read_ohms
    grid = -12.0 if "loads.output.bias" in changes else read_grid
    mu = filled.outputs["output"].mu
    assert mu is not None
    together = ANODE_AMPS + SCREEN_AMPS
    cathode_then = read_ohms * together
    drive_then = (322.0 - SCREEN_OHMS * SCREEN_AMPS - cathode_then) / mu + read_grid - cathode_then
    amps = diode(filled, "rail", 90.0)
    first, second = 32e-6, 4.7e-6

    def share(screens: float) -> float:
        """Currents over those of the idle point, at ``screens`` volts on the screens' node."""

        def excess(f: float) -> float:
            cathode = cathode_ohms * together * f
            drive = (screens - SCREEN_OHMS * SCREEN_AMPS * f - cathode) / mu + grid - cathode
            return float(f - (max(drive, 0.0) / drive_then) ** 1.5)

        return float(brentq(excess, 0.0, 20.0, xtol=1e-12))

    def arm(t: float, x: Array, sign: float = 1.0) -> float:
        return amps(sign * crest(250.0, t) - x[0])

    def flow(t: float, x: Array) -> list[float]:
        f = share(x[1])
        down = (x[0] - x[1]) / 1000.0
        charging = arm(t, x) + arm(t, x, -1.0)
        return [
            (charging - ANODE_AMPS * f - down - LEAKAGE * first * x[0]) / first,
            (down - SCREEN_AMPS * f - LEAKAGE * second * x[1]) / second,
        ]

    cycle = settled(flow, [310.0, 300.0], HERTZ)
    figures = idle(filled)
    kind = "cathode bias" if cathode_ohms else "fixed volts"
    rows = accuracy, f"output valves by their law, {kind}{', changed' if changes else ''}"
    check_node(figures.nodes["reservoir"], cycle, cycle.states[0], rows=rows)
    check_node(figures.nodes["screens"], cycle, cycle.states[1])
    check_arm(figures.rectifiers["rail"], cycle, cycle.each(arm))
    f = cycle.each(lambda _, x: share(x[1]))
    assert abs(cycle.mean(f) - 1) > 0.02, "the supply reads what the idle point says, so nothing is tested"
    valves = figures.valves["output"]
    amps_each = ANODE_AMPS / 2 * cycle.mean(f)
    record(rows, "anode current", amps_each, valves.anode_current, "A", "mean-current")
    assert valves.screen_current == within("mean-current", SCREEN_AMPS / 2 * cycle.mean(f))
    cathode = cathode_ohms * together * f
    assert valves.bias == within("dc", cycle.mean(grid - cathode))
    # Half of the valves' current through each half of the output transformer.
    anode = cycle.states[0] - (100.0 + 120.0) / 2 / 2 * ANODE_AMPS * f - cathode
    assert valves.anode_volts == within("dc", cycle.mean(anode))
    assert valves.anode_watts == within("rms-current", cycle.mean(anode * ANODE_AMPS / 2 * f))
