"""A zener in the lead of the centre tap, before the first node, and across a node behind its dropper.

Reference: the charging loop with the zener's volts and differential resistance in it. Only one half conducts
at a time, so that both places come to the same. Across a node it takes whatever would lift that beyond its
volts.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.accuracy import Accuracy
from tests.reference.comparing import DIODE, HERTZ, LEAKAGE, check_arm, check_node, crest, diode, idle, supply
from tests.reference.laws import valve_amps
from tests.reference.shooting import Array, settled
from tests.tolerances import share, within

TEXT = """
[windings]
ht = "300-0-300 V off load at 230 V, 60 + 60 ohm"
[rectifiers.rail]
circuit = "centre-tapped"
winding = "ht"
{device}
[series]
"{place}" = {{ zener = "50 V", power = "10 W", resistance = "15 ohm" }}
[filter.node]
from = "rectifiers.rail"
[filter.node.capacitor]
value = "16 uF"
voltage = "500 V"
esr = "0 ohm"
[loads.all]
node = "node"
resistance = "3k"
"""
VALVE = 'device = { kind = "valve", drop = "20 V at 150 mA" }'
FARADS, LOAD, ZENER, DIFFERENTIAL = 16e-6, 3000.0, 50.0, 15.0


@pytest.mark.parametrize("place", ["centre tap ht", "before node"])
@pytest.mark.parametrize("kind", ["valve", "silicon"])
def test_a_zener_takes_its_volts_from_the_rail(place: str, kind: str, accuracy: Accuracy) -> None:
    filled = supply(TEXT.format(device=VALVE if kind == "valve" else DIODE, place=place))
    ohms = 60.0 + DIFFERENTIAL
    amps: Callable[[float], float]
    if kind == "valve":
        perveance = 0.150 / 20**1.5
        amps = lambda volts: valve_amps(volts, ohms, perveance)  # noqa: E731 - one law of two
    else:
        amps = diode(filled, "rail", ohms)

    def arm(t: float, x: Array, sign: float = 1.0) -> float:
        return max(amps(sign * crest(300.0, t) - x[0] - ZENER), 0.0)

    def flow(t: float, x: Array) -> list[float]:
        return [(arm(t, x) + arm(t, x, -1.0) - x[0] / LOAD - LEAKAGE * FARADS * x[0]) / FARADS]

    cycle = settled(flow, [300.0], HERTZ)
    figures = idle(filled)
    rows = accuracy, f"zener of 50 V, {place}, {kind}"
    check_node(figures.nodes["node"], cycle, cycle.states[0], rows=rows)
    check_arm(figures.rectifiers["rail"], cycle, cycle.each(arm))
    charging = cycle.each(lambda t, x: arm(t, x) + arm(t, x, -1.0))
    zener = figures.resistors[place]
    assert zener.watts == within("rms-current", cycle.mean(charging * (ZENER + DIFFERENTIAL * charging)))
    assert zener.rms_current == within("rms-current", cycle.rms(charging))
    assert zener.max_volts == within("dc", ZENER + DIFFERENTIAL * float(charging.max()))


ACROSS = """
[windings]
ht = "300-0-300 V off load at 230 V, 60 + 60 ohm"
[rectifiers.rail]
circuit = "centre-tapped"
winding = "ht"
{device}
[filter.node]
from = "rectifiers.rail"
capacitor = {{ value = "16 uF", voltage = "500 V", esr = "0 ohm" }}
[filter.held]
from = "node"
resistor = "4k7 10 W"
capacitor = {{ value = "4.7 uF", voltage = "350 V", esr = "0 ohm" }}
zener = {{ zener = "250 V", power = "10 W", resistance = "60 ohm" }}
[loads.all]
node = "held"
resistance = "{load}"
"""


@pytest.mark.parametrize(("load", "ohms"), [("100k", 100e3), ("4k7", 4.7e3)])
def test_a_zener_across_a_node_holds_it(load: str, ohms: float, accuracy: Accuracy) -> None:
    """At 100k it takes nearly all that comes through the dropper; at 4k7 there is too little to hold."""
    filled = supply(ACROSS.format(device=DIODE, load=load))
    amps = diode(filled, "rail", 60.0)
    first, second, dropper = 16e-6, 4.7e-6, 4.7e3

    def arm(t: float, x: Array, sign: float = 1.0) -> float:
        return max(amps(sign * crest(300.0, t) - x[0]), 0.0)

    def through(t: float, x: Array) -> float:
        return max(float(x[1]) - 250.0, 0.0) / 60.0

    def flow(t: float, x: Array) -> list[float]:
        onwards = (x[0] - x[1]) / dropper
        return [
            (arm(t, x) + arm(t, x, -1.0) - onwards - LEAKAGE * first * x[0]) / first,
            (onwards - x[1] / ohms - through(t, x) - LEAKAGE * second * x[1]) / second,
        ]

    cycle = settled(flow, [400.0, 250.0], HERTZ)
    figures = idle(filled)
    case = f"zener of 250 V across a node, {load} beside it"
    for number, node in enumerate(("node", "held")):
        check_node(figures.nodes[node], cycle, cycle.states[number], rows=(accuracy, f"{case}, {node}"))
    taken = cycle.each(through)
    zener = figures.resistors["held zener"]
    watts = cycle.mean(taken * (250.0 + 60.0 * taken))
    assert zener.watts == pytest.approx(watts, rel=share("rms-current"), abs=0.01)
