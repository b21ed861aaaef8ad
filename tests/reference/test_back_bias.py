"""Back bias: the grids get what the supply's whole current drops over a resistor in the centre tap's lead.

Reference: the charging loop with the centre tap below the chassis, the smoothing of what stands there, and
the three-halves law on it. The idle point belongs to the volts that the supply has when the valves draw just
what was read; that run is made here as well.
"""

from __future__ import annotations

import pytest

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
from tests.reference.shooting import Array, Cycle, settled
from tests.tolerances import within

TEXT = """
[windings]
ht = "250-0-250 V off load at 230 V, 90 + 90 ohm"
[rectifiers.rail]
circuit = "centre-tapped"
winding = "ht"
{device}
[series]
"centre tap ht" = "120 ohm 5 W"
[filter.reservoir]
capacitor = {{ value = "32 uF", voltage = "450 V", esr = "0 ohm" }}
was = "320 V"
[filter.screens]
resistor = "1k 2 W"
capacitor = {{ value = "4.7 uF", voltage = "450 V", esr = "0 ohm" }}
was = "312 V"
[filter.bias]
from = "centre tap ht"
resistor = "10k 0.5 W"
capacitor = {{ value = "22 uF", voltage = "50 V", esr = "0 ohm" }}
{node}
[loads.output]
valves = "2 x EL84"
anodes = "reservoir"
screens = "screens"
bias = "bias"
idle = {{ anode = "34 mA", screen = "4 mA" }}
"""
ANODE_AMPS, SCREEN_AMPS = 2 * 0.034, 2 * 0.004
RETURN, SMOOTHING = 120.0, 10e3
FIRST, SECOND, THIRD = 32e-6, 4.7e-6, 22e-6


@pytest.mark.parametrize(
    ("node", "bleeder", "grid"),
    [("", None, None), ('bleeder = "47k 0.5 W"', 47e3, None), ('set = "-8 V"', None, -8.0)],
    ids=["whole", "bled", "set"],
)
def test_back_bias(node: str, bleeder: float | None, grid: float | None, accuracy: Accuracy) -> None:
    filled = supply(TEXT.format(device=DIODE, node=node))
    mu = filled.outputs["output"].mu
    assert mu is not None
    # The centre tap: -w/RETURN + (bias - w)/SMOOTHING = what the windings take.
    conductance = 1 / RETURN + 1 / SMOOTHING
    amps = diode(filled, "rail", 90.0 + 1 / conductance)
    drain = LEAKAGE * THIRD + (1 / bleeder if bleeder else 0.0)

    def arm(t: float, x: Array, sign: float = 1.0) -> float:
        return amps(x[2] / SMOOTHING / conductance + sign * crest(250.0, t) - x[0])

    def centre_tap(t: float, x: Array) -> float:
        return float((x[2] / SMOOTHING - arm(t, x) - arm(t, x, -1.0)) / conductance)

    def run(share: float, drive_then: float | None) -> Cycle:
        def drawn(x: Array) -> float:
            """Over the current that was read; just that where no law is known yet."""
            return (max(x[1] / mu + share * x[2], 0.0) / drive_then) ** 1.5 if drive_then else 1.0

        def flow(t: float, x: Array) -> list[float]:
            f, down = drawn(x), (x[0] - x[1]) / 1000.0
            charging = arm(t, x) + arm(t, x, -1.0)
            return [
                (charging - ANODE_AMPS * f - down - LEAKAGE * FIRST * x[0]) / FIRST,
                (down - SCREEN_AMPS * f - LEAKAGE * SECOND * x[1]) / SECOND,
                ((centre_tap(t, x) - x[2]) / SMOOTHING - drain * x[2]) / THIRD,
            ]

        return settled(flow, [300.0, 290.0, -9.0], HERTZ)

    read = run(0.0, None)
    bias_then = read.mean(read.states[2])
    share = 1.0 if grid is None else grid / bias_then
    cycle = run(share, 312.0 / mu + share * bias_then)
    figures = idle(filled)
    kind = "bled" if bleeder else "set by the pot" if grid else "whole"
    rows = accuracy, f"back bias, {kind}"
    check_node(figures.nodes["reservoir"], cycle, cycle.states[0], rows=rows)
    check_node(figures.nodes["screens"], cycle, cycle.states[1])
    check_node(figures.nodes["bias"], cycle, cycle.states[2], "dc-small")
    check_arm(figures.rectifiers["rail"], cycle, cycle.each(arm))
    dropped = cycle.each(centre_tap)
    assert figures.resistors["centre tap ht"].watts == within("rms-current", cycle.rms(dropped) ** 2 / RETURN)
    valves = figures.valves["output"]
    record(rows, "bias at the grids", share * cycle.mean(cycle.states[2]), valves.bias, "V", "dc-small")
    f = cycle.each(lambda _, x: max(x[1] / mu + share * x[2], 0.0)) / (312.0 / mu + share * bias_then)
    assert abs(cycle.mean(f**1.5) - 1) > 0.02, "the supply reads what the idle point says: nothing is tested"
    amps_each = ANODE_AMPS / 2 * cycle.mean(f**1.5)
    record(rows, "anode current", amps_each, valves.anode_current, "A", "mean-current")
