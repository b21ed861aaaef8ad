"""A branched ladder behind a bridge: a choke branch and two droppers from the reservoir.

Reference: the reservoir's charging loop, and the ladder's linear equations written out by hand.
"""

from __future__ import annotations

from tests.accuracy import Accuracy
from tests.reference.comparing import DIODE, HERTZ, LEAKAGE, check_arm, check_node, crest, diode, idle, supply
from tests.reference.shooting import Array, settled
from tests.tolerances import within

TEXT = """
[windings]
ht = "250 V off load at 230 V, 50 ohm"
[rectifiers.rail]
circuit = "bridge"
winding = "ht"
{device}
[filter.reservoir]
capacitor = {{ value = "22 uF", voltage = "450 V", esr = "0 ohm" }}
bleeder = "100k 3 W"
[filter.screens]
choke = "3 H 120 ohm 1 A"
capacitor = {{ value = "10 uF", voltage = "450 V", esr = "0 ohm" }}
[filter.splitter]
resistor = "3k3 2 W"
capacitor = {{ value = "4.7 uF", voltage = "450 V", esr = "0 ohm" }}
[filter.preamp]
from = "reservoir"
resistor = "6k8 2 W"
capacitor = {{ value = "4.7 uF", voltage = "450 V", esr = "0 ohm" }}
[loads.reservoir]
node = "reservoir"
resistance = "8k"
[loads.screens]
node = "screens"
resistance = "15k"
[loads.splitter]
node = "splitter"
resistance = "40k"
[loads.preamp]
node = "preamp"
resistance = "60k"
"""


def test_branched_ladder(accuracy: Accuracy) -> None:
    filled = supply(TEXT.format(device=DIODE))
    amps = diode(filled, "rail", 50.0, in_series=2)
    c0, c1, c2, c3 = 22e-6, 10e-6, 4.7e-6, 4.7e-6

    def arm(t: float, x: Array, sign: float = 1.0) -> float:
        return amps(sign * crest(250.0, t) - x[0])

    def flow(t: float, x: Array) -> list[float]:
        reservoir, screens, splitter, preamp, choke = x
        charging = arm(t, x) + arm(t, x, -1.0)
        to_splitter, to_preamp = (screens - splitter) / 3300.0, (reservoir - preamp) / 6800.0
        drained = reservoir * (1 / 8e3 + 1 / 100e3 + LEAKAGE * c0)
        return [
            (charging - choke - to_preamp - drained) / c0,
            (choke - to_splitter - screens * (1 / 15e3 + LEAKAGE * c1)) / c1,
            (to_splitter - splitter * (1 / 40e3 + LEAKAGE * c2)) / c2,
            (to_preamp - preamp * (1 / 60e3 + LEAKAGE * c3)) / c3,
            (reservoir - screens - 120.0 * choke) / 3.0,
        ]

    cycle = settled(flow, [320.0, 315.0, 290.0, 290.0, 0.03], HERTZ)
    figures = idle(filled)
    for row, name in enumerate(("reservoir", "screens", "splitter", "preamp")):
        rows = accuracy, f"branched ladder behind a bridge, {name}"
        check_node(figures.nodes[name], cycle, cycle.states[row], rows=rows)
    check_arm(figures.rectifiers["rail"], cycle, cycle.each(arm))
    charge = cycle.each(lambda t, x: flow(t, x)[0] * c0)
    assert figures.capacitors["reservoir"].ripple_current == within(
        "rms-current", cycle.rms(charge - cycle.mean(charge))
    )
    dropped = (cycle.states[1] - cycle.states[2]) / 3300.0
    assert figures.resistors["splitter dropper"].watts == within(
        "rms-current", 3300.0 * cycle.rms(dropped) ** 2
    )
    assert figures.chokes["screens"].dc == within("mean-current", cycle.mean(cycle.states[4]))
