"""Sag: output valves that go from idle to full output for a second, and back.

Reference: the ladder behind the rectifier, integrated through the burst from its periodic state at idle, and
the means over a mains cycle read off that.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from psucheck.circuit.condition import BURST, Condition
from tests.accuracy import Accuracy
from tests.engine_runs import figures_of
from tests.reference.comparing import DIODE, HERTZ, LEAKAGE, MAINS, crest, diode, record, supply
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
capacitor = {{ value = "100 uF", voltage = "450 V", esr = "0 ohm" }}
was = "325 V"
[filter.screens]
resistor = "2k2 2 W"
capacitor = {{ value = "47 uF", voltage = "450 V", esr = "0 ohm" }}
was = "307.4 V"
[loads.output]
valves = "2 x EL84"
anodes = "reservoir"
screens = "screens"
bias = "-11 V"
idle = {{ anode = "34 mA", screen = "4 mA", at = "325 V" }}
full = "110 mA"
full_screen = "16 mA"
"""
IDLE, FULL, FULL_AT, GRID = (0.068, 0.008), (0.110, 0.016), 325.0, -11.0
DROPPER, FIRST, SECOND = 2200.0, 100e-6, 47e-6
RAMP, SECONDS = 2e-3, 2.5
CYCLE = 1 / HERTZ


def _driven(t: float) -> float:
    """How far the stage is driven: nothing, all, with ramps."""
    rising = [min(max((t - edge) / RAMP, 0.0), 1.0) for edge in BURST]
    return rising[0] - rising[1]


def _mean_over_cycle(time: Array, volts: Array, ends: Array) -> Array:
    area = np.concatenate(([0.0], np.cumsum(np.diff(time) * (volts[1:] + volts[:-1]) / 2)))
    return (np.interp(ends, time, area) - np.interp(ends - CYCLE, time, area)) / CYCLE


def test_idle_full_output_idle(accuracy: Accuracy) -> None:
    filled = supply(TEXT.format(device=DIODE))
    mu = filled.outputs["output"].mu
    assert mu is not None
    amps = diode(filled, "rail", 90.0)
    drive_then = 307.4 / mu + GRID

    def flow(t: float, x: Array, driven: float) -> list[float]:
        quiet = (max(x[1] / mu + GRID, 0.0) / drive_then) ** 1.5
        loud = x[0] / FULL_AT
        anode, screen = (
            (1 - driven) * read * quiet + driven * full * loud for read, full in zip(IDLE, FULL, strict=True)
        )
        down = (x[0] - x[1]) / DROPPER
        charging = amps(crest(250.0, t) - x[0]) + amps(-crest(250.0, t) - x[0])
        return [
            (charging - anode - down - LEAKAGE * FIRST * x[0]) / FIRST,
            (down - screen - LEAKAGE * SECOND * x[1]) / SECOND,
        ]

    start = settled(lambda t, x: flow(t, x, 0.0), [320.0, 300.0], HERTZ).states[:, 0]
    time = np.linspace(0.0, SECONDS, 50001)
    solved = solve_ivp(
        lambda t, x: flow(t, x, _driven(t)), (0.0, SECONDS), start, method="LSODA", rtol=1e-7, atol=1e-6,
        max_step=CYCLE / 100, t_eval=time,
    )  # fmt: skip
    assert solved.success, solved.message

    level = Condition("idle", "nominal", MAINS), Condition("sag", "nominal", MAINS)
    figures = figures_of(filled, *level)[1]
    for row, name in enumerate(("reservoir", "screens")):
        volts = solved.y[row]
        assert figures.nodes[name].min == within("dc", float(volts.min()))
        assert figures.nodes[name].max == within("dc", float(volts.max()))
        sag = figures.sag[name]
        ends = np.arange(BURST[0], SECONDS, 1e-3)
        mean = _mean_over_cycle(time, volts, ends)
        idle, lowest = float(mean[0]), float(mean[ends <= BURST[1]].min())
        assert idle - lowest > 10.0, "it hardly sags, so that nothing is tested"
        rows = accuracy, f"idle, a second of full output, idle: {name}"
        record(rows, "DC at idle", idle, sag.idle, "V", "dc")
        record(rows, "lowest DC", lowest, sag.lowest, "V", "dc")
        assert sag.idle - sag.lowest == pytest.approx(idle - lowest, rel=0.01)
        fallen = mean <= idle - (1 - np.exp(-1)) * (idle - lowest)
        assert sag.seconds_down is not None
        assert sag.seconds_back is not None
        down = float(ends[np.argmax(fallen)] - BURST[0])
        record(rows, "time constant of the fall", down, sag.seconds_down, "s", "sag-time")
        back = (ends > BURST[1]) & (mean >= idle - 0.05 * (idle - lowest))
        up = float(ends[np.argmax(back)] - BURST[1])
        record(rows, "time to recover", up, sag.seconds_back, "s", "sag-time")
