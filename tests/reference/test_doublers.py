"""Doublers, and the bridge whose winding's centre tap is joined to the middle of two capacitors.

Reference: each capacitor's own charging loop. Capacitors without ESR, so that their voltages are the nodes'.
"""

from __future__ import annotations

import numpy as np
import pytest

from tests.accuracy import Accuracy
from tests.reference.comparing import (
    DIODE,
    HERTZ,
    LEAKAGE,
    MAINS,
    check_arm,
    check_node,
    crest,
    diode,
    idle,
    supply,
)
from tests.reference.shooting import Array, settled
from tests.tolerances import within

DOUBLER = """
[windings]
ht = "150 V off load at 230 V, 20 ohm"
[rectifiers.rail]
circuit = "{circuit}"
winding = "ht"
{device}
capacitors = [
    {{ value = "{first}", voltage = "250 V", esr = "0 ohm" }},
    {{ value = "{second}", voltage = "500 V", esr = "0 ohm" }},
]
[filter.node]
from = "rectifiers.rail"
resistor = "500 ohm 2 W"
[filter.node.capacitor]
value = "10 uF"
voltage = "500 V"
esr = "0 ohm"
[loads.all]
node = "node"
resistance = "4k"
"""
DROPPER, FILTER, LOAD = 500.0, 10e-6, 4000.0


def test_full_wave_doubler(accuracy: Accuracy) -> None:
    """Unequal capacitors, each charged on its own half wave; both are drained by what leaves the top."""
    filled = supply(DOUBLER.format(circuit="full-wave doubler", device=DIODE, first="22 uF", second="33 uF"))
    upper, lower = 22e-6, 33e-6
    amps = diode(filled, "rail", 20.0)

    def flow(t: float, x: Array) -> list[float]:
        volts = crest(150.0, t)
        drawn = (x[0] + x[1] - x[2]) / DROPPER
        return [
            (amps(volts - x[0]) - drawn - LEAKAGE * upper * x[0]) / upper,
            (amps(-volts - x[1]) - drawn - LEAKAGE * lower * x[1]) / lower,
            (drawn - x[2] / LOAD - LEAKAGE * FILTER * x[2]) / FILTER,
        ]

    cycle = settled(flow, [180.0, 180.0, 330.0], HERTZ)
    figures = idle(filled)
    rows = accuracy, "full-wave doubler, unequal capacitors"
    check_node(figures.nodes["node"], cycle, cycle.states[2], rows=rows)
    arms = [
        cycle.each(lambda t, x: amps(crest(150.0, t) - x[0])),
        cycle.each(lambda t, x: amps(-crest(150.0, t) - x[1])),
    ]
    busiest = max(arms, key=cycle.rms)
    check_arm(figures.rectifiers["rail"], cycle, busiest, rows)
    for part, row in (("upper", 0), ("lower", 1)):
        assert figures.capacitors[f"rectifiers.rail {part}"].dc == within("dc", cycle.mean(cycle.states[row]))
    assert figures.windings["ht"].rms_current[0] == within("rms-current", cycle.rms(arms[0] - arms[1]))


def test_cascade_doubler(accuracy: Accuracy) -> None:
    """The pump capacitor is charged through the clamping arm and lifted by the winding into the output
    one.
    """
    filled = supply(DOUBLER.format(circuit="cascade doubler", device=DIODE, first="33 uF", second="22 uF"))
    pump, output = 33e-6, 22e-6
    amps = diode(filled, "rail", 20.0)

    def currents(t: float, x: Array) -> tuple[float, float]:
        """Clamping arm and output arm; x: pump (positive at the diodes), output, filter."""
        pumped = crest(150.0, t) + x[0]
        return amps(-pumped), amps(pumped - x[1])

    def flow(t: float, x: Array) -> list[float]:
        clamp, arm = currents(t, x)
        drawn = (x[1] - x[2]) / DROPPER
        return [
            (clamp - arm - LEAKAGE * pump * x[0]) / pump,
            (arm - drawn - LEAKAGE * output * x[1]) / output,
            (drawn - x[2] / LOAD - LEAKAGE * FILTER * x[2]) / FILTER,
        ]

    cycle = settled(flow, [190.0, 360.0, 330.0], HERTZ)
    figures = idle(filled)
    rows = accuracy, "cascade doubler"
    check_node(figures.nodes["node"], cycle, cycle.states[2], rows=rows)
    arms = [cycle.each(lambda t, x: currents(t, x)[0]), cycle.each(lambda t, x: currents(t, x)[1])]
    check_arm(figures.rectifiers["rail"], cycle, max(arms, key=cycle.rms))
    assert figures.capacitors["rectifiers.rail upper"].dc == within("dc", cycle.mean(cycle.states[0]))
    assert figures.capacitors["rectifiers.rail lower"].dc == within("dc", cycle.mean(cycle.states[1]))


JOINED = """
[windings]
ht = "150-0-150 V off load at 230 V, 20 + 24 ohm"
[rectifiers.rail]
circuit = "bridge"
winding = "ht"
centre_tap = "node middle"
{device}
[filter.node]
from = "rectifiers.rail"
[filter.node.capacitor]
value = "33 uF"
voltage = "250 V"
in_series = 2
esr = "0 ohm"
[filter.half]
from = "node middle"
resistor = "2k 2 W"
[filter.half.capacitor]
value = "10 uF"
voltage = "250 V"
esr = "0 ohm"
[loads.top]
node = "node"
resistance = "6k"
[loads.side]
node = "half"
resistance = "8k"
"""


def test_bridge_with_its_centre_tap_on_the_joint_of_two_capacitors(accuracy: Accuracy) -> None:
    """Each half winding charges the upper capacitor on one half wave and the lower one on the other."""
    filled = supply(JOINED.format(device=DIODE))
    farads, behind = 33e-6, 10e-6
    halves = (diode(filled, "rail", 20.0), diode(filled, "rail", 24.0))

    def charging(t: float, x: Array) -> tuple[float, float, float, float]:
        """Half a to the upper, half b to the upper, half a to the lower, half b to the lower capacitor."""
        volts = crest(150.0, t)
        a, b = halves
        return a(volts - x[0]), b(-volts - x[0]), a(-volts - x[1]), b(volts - x[1])

    def flow(t: float, x: Array) -> list[float]:
        a_up, b_up, a_down, b_down = charging(t, x)
        top = (x[0] + x[1]) / 6000.0
        middle = (x[1] - x[2]) / 2000.0
        leak = LEAKAGE * farads
        return [
            (a_up + b_up - top - leak * x[0]) / farads,
            (a_down + b_down - top - middle - leak * x[1]) / farads,
            (middle - x[2] / 8000.0 - LEAKAGE * behind * x[2]) / behind,
        ]

    cycle = settled(flow, [190.0, 190.0, 150.0], HERTZ)
    figures = idle(filled)
    rows = accuracy, "bridge with its centre tap on the joint of two capacitors"
    check_node(figures.nodes["node"], cycle, cycle.states[0] + cycle.states[1], rows=rows)
    check_node(figures.nodes["half"], cycle, cycle.states[2])
    arms = np.array([charging(t, x) for t, x in zip(cycle.time, cycle.states.T, strict=True)]).T
    # The arm that carries most by RMS need not be that of the highest mean: each is its own maximum.
    rail = figures.rectifiers["rail"]
    assert rail.arm_rms_current == within("rms-current", max(cycle.rms(arm) for arm in arms))
    assert rail.arm_mean_current == within("mean-current", max(cycle.mean(arm) for arm in arms))
    assert rail.peak_current == within("peak-current", max(float(arm.max()) for arm in arms))
    mains = (arms[0] - arms[2] + arms[3] - arms[1]) * 150.0 / MAINS
    assert figures.mains_supply is not None
    assert figures.mains_supply.rms_current == pytest.approx(cycle.rms(mains), rel=0.02)
