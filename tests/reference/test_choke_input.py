"""Choke input, above and below the border of continuous current, and a choke that saturates.

Reference: the choke's flux is the state; the cathode's volts are those at which the two halves together
pass the choke's current, found by bisection at every instant (both conduct while the current changes over).
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
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
from tests.reference.laws import valve_amps
from tests.reference.shooting import Array, settled
from tests.tolerances import within

TEXT = """
[windings]
ht = "300-0-300 V off load at 230 V, 60 + 60 ohm"
low = "5 V off load at 230 V, 0.1 ohm"
[rectifiers.rail]
circuit = "centre-tapped"
winding = "ht"
{device}
[filter.node]
from = "rectifiers.rail"
choke = "{henries:g} H 90 ohm {rated}"
[filter.node.capacitor]
value = "22 uF"
voltage = "500 V"
esr = "0 ohm"
[loads.all]
node = "node"
resistance = "{load:g} ohm"
"""
FARADS = 22e-6
INSULATION = 1e7
"""Across the choke, so that the cathode has volts while nothing conducts; it passes some 30 uA at most
[ohm].
"""
VALVE = 'device = { kind = "valve", drop = "50 V at 125 mA", reverse_voltage = "1400 V" }'


def _choke_amps(flux: float, henries: float, knee: float) -> float:
    """Current of a choke of ``henries`` up to its knee and a twentieth of that beyond."""
    size = abs(flux)
    amps = size / henries if size < henries * knee else knee + (size - henries * knee) / (henries / 20)
    return float(np.copysign(amps, flux))


@pytest.mark.parametrize("kind", ["valve", "silicon"])
@pytest.mark.parametrize(
    ("henries", "rated", "load"),
    [(8.0, "1 A", 2500.0), (2.0, "1 A", 4000.0), (4.0, "40 mA", 2500.0)],
    ids=["continuous", "discontinuous", "saturating"],
)
def test_choke_input(kind: str, henries: float, rated: str, load: float, accuracy: Accuracy) -> None:
    filled = supply(
        TEXT.format(device=VALVE if kind == "valve" else DIODE, henries=henries, rated=rated, load=load)
    )
    knee = 2 * (1.0 if rated == "1 A" else 0.040)
    half: Callable[[float], float]
    if kind == "valve":
        perveance = 0.125 / 50**1.5
        half = lambda volts: valve_amps(volts, 60.0, perveance)  # noqa: E731 - one law of two
    else:
        half = diode(filled, "rail", 60.0)

    def cathode(t: float, x: Array) -> float:
        """Volts at which the halves pass the choke's current."""
        e, amps = crest(300.0, t), _choke_amps(x[0], henries, knee)
        behind = x[1] + 90.0 * amps

        def excess(volts: float) -> float:
            return float(half(e - volts) + half(-e - volts) - amps - (volts - behind) / INSULATION)

        return float(brentq(excess, -1000.0 - 200.0 * abs(amps), 2000.0 + INSULATION * abs(amps), xtol=1e-9))

    def flow(t: float, x: Array) -> list[float]:
        amps = _choke_amps(x[0], henries, knee)
        return [cathode(t, x) - 90.0 * amps - x[1], (amps - x[1] / load - LEAKAGE * FARADS * x[1]) / FARADS]

    cycle = settled(flow, [henries * 0.08, 230.0], HERTZ)
    figures = idle(filled)
    rows = accuracy, f"choke input, {kind}, {henries:g} H of {rated}, {load:g} ohm"
    check_node(figures.nodes["node"], cycle, cycle.states[1], rows=rows)
    check_arm(
        figures.rectifiers["rail"], cycle, cycle.each(lambda t, x: half(crest(300.0, t) - cathode(t, x)))
    )
    amps = cycle.each(lambda t, x: _choke_amps(x[0], henries, knee))
    choke = figures.chokes["node"]
    assert choke.dc == within("mean-current", cycle.mean(amps))
    assert choke.rms_current == within("rms-current", cycle.rms(amps))
    record(rows, "highest current of the choke", float(amps.max()), choke.peak_current, "A", "choke-current")
    assert choke.min_current == within("choke-current", float(amps.min()))
