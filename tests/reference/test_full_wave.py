"""Full-wave rectifiers with capacitor input: centre tap (valve and silicon) and bridge.

Reference: the conducting half's loop solved for its current at every instant; what the other windings draw
and the primary's copper are folded into that loop by hand.
"""

from __future__ import annotations

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
from tests.reference.laws import valve_amps
from tests.reference.shooting import Array, settled

CENTRE_TAPPED = """
[windings]
ht = "300-0-300 V off load at 230 V, 60 + 60 ohm"
low = "5 V off load at 230 V, 0.1 ohm"
[rectifiers.rail]
circuit = "centre-tapped"
winding = "ht"
{device}
{heater}
[filter.node]
from = "rectifiers.rail"
[filter.node.capacitor]
value = "16 uF"
voltage = "500 V"
esr = "12 ohm"
[loads.all]
node = "node"
resistance = "3k"
"""
VALVE = 'device = { kind = "valve", drop = "20 V at 150 mA", reverse_voltage = "1300 V", heater = "5 V 2 A" }'
FARADS, ESR, LOAD = 16e-6, 12.0, 3000.0
DRAIN = 1 / LOAD
LEAK = LEAKAGE * FARADS


@pytest.mark.parametrize("primary", [0.0, 20.0])
@pytest.mark.parametrize("heated", [False, True])
def test_centre_tapped_valve(primary: float, heated: bool, accuracy: Accuracy) -> None:
    """With the primary's copper, the capacitor's ESR and a heater that shares the primary's drop."""
    filled = supply(
        CENTRE_TAPPED.format(
            device=VALVE,
            heater='heater = "low"' if heated else "",
        ),
        primary=f"{primary:g} ohm",
    )
    perveance = 0.150 / 20**1.5
    ratio, low = 300.0 / MAINS, 5.0 / MAINS
    # The heater is 2.5 ohm behind 0.1: on the core it stands in parallel with the source behind the primary.
    across = low**2 / 2.6 if heated else 0.0
    source = primary / (1 + primary * across)
    share = 1 / (1 + primary * across)
    # Node: v (1/ESR + drain + leak) = i + x/ESR.
    conductance = 1 / ESR + DRAIN + LEAK
    ohms = 60.0 + ratio**2 * source + 1 / conductance

    def arm(t: float, x: Array, sign: float = 1.0) -> float:
        at_node = x[0] / ESR / conductance
        return valve_amps(sign * crest(300.0 * share, t) - at_node, ohms, perveance)

    def node(t: float, x: Array) -> float:
        return float(arm(t, x) + arm(t, x, -1.0) + x[0] / ESR) / conductance

    def flow(t: float, x: Array) -> list[float]:
        return [(node(t, x) - x[0]) / ESR / FARADS]

    cycle = settled(flow, [350.0], HERTZ)
    figures = idle(filled)
    rows = accuracy, f"centre-tapped valve, primary {primary:g} ohm{', heater on the core' if heated else ''}"
    check_node(figures.nodes["node"], cycle, cycle.each(node), rows=rows)
    check_arm(figures.rectifiers["rail"], cycle, cycle.each(arm), rows)
    assert figures.rectifiers["rail"].source_resistance == pytest.approx(60.0 + ratio**2 * primary, abs=0.1)


def test_centre_tapped_silicon(accuracy: Accuracy) -> None:
    filled = supply(CENTRE_TAPPED.format(device=DIODE, heater=""))
    conductance = 1 / ESR + DRAIN + LEAK
    amps = diode(filled, "rail", 60.0 + 1 / conductance)

    def arm(t: float, x: Array, sign: float = 1.0) -> float:
        return amps(sign * crest(300.0, t) - x[0] / ESR / conductance)

    def node(t: float, x: Array) -> float:
        return float(arm(t, x) + arm(t, x, -1.0) + x[0] / ESR) / conductance

    def flow(t: float, x: Array) -> list[float]:
        return [(node(t, x) - x[0]) / ESR / FARADS]

    cycle = settled(flow, [350.0], HERTZ)
    figures = idle(filled)
    rows = accuracy, "centre-tapped silicon"
    check_node(figures.nodes["node"], cycle, cycle.each(node), rows=rows)
    check_arm(figures.rectifiers["rail"], cycle, cycle.each(arm), rows)


BRIDGE = """
[windings]
ht = "300 V off load at 230 V, 45 ohm"
[rectifiers.rail]
circuit = "bridge"
winding = "ht"
{device}
[filter.node]
from = "rectifiers.rail"
[filter.node.capacitor]
value = "16 uF"
voltage = "500 V"
esr = "12 ohm"
[loads.all]
node = "node"
resistance = "3k"
"""


def test_bridge(accuracy: Accuracy) -> None:
    """Two diodes in the loop, the whole winding, and the primary's copper seen through the whole ratio."""
    filled = supply(BRIDGE.format(device=DIODE), primary="10 ohm")
    conductance = 1 / ESR + DRAIN + LEAK
    amps = diode(filled, "rail", 45.0 + 10.0 * (300.0 / MAINS) ** 2 + 1 / conductance, in_series=2)

    def arm(t: float, x: Array, sign: float = 1.0) -> float:
        return amps(sign * crest(300.0, t) - x[0] / ESR / conductance)

    def node(t: float, x: Array) -> float:
        return float(arm(t, x) + arm(t, x, -1.0) + x[0] / ESR) / conductance

    def flow(t: float, x: Array) -> list[float]:
        return [(node(t, x) - x[0]) / ESR / FARADS]

    cycle = settled(flow, [380.0], HERTZ)
    figures = idle(filled)
    rows = accuracy, "bridge, primary 10 ohm"
    check_node(figures.nodes["node"], cycle, cycle.each(node), rows=rows)
    check_arm(figures.rectifiers["rail"], cycle, cycle.each(arm), rows)
    both = cycle.each(lambda t, x: arm(t, x) - arm(t, x, -1.0))
    assert figures.windings["ht"].rms_current[0] == pytest.approx(cycle.rms(both), rel=0.02)
    assert figures.mains_supply is not None
    assert figures.mains_supply.rms_current == pytest.approx(cycle.rms(both) * 300.0 / MAINS, rel=0.02)
