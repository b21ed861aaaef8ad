"""A zener in the lead of the centre tap, and before the first node: what flows there loses its volts.

Reference: the charging loop with the zener's volts and differential resistance in it. Only one half conducts
at a time, so that both places come to the same.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.accuracy import Accuracy
from tests.reference.comparing import DIODE, HERTZ, LEAKAGE, check_arm, check_node, crest, diode, idle, supply
from tests.reference.laws import valve_amps
from tests.reference.shooting import Array, settled
from tests.tolerances import within

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
