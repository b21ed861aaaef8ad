"""A valve with silicon in series with each anode, and with an anode that has grown tired.

Reference: the loop of winding, diode, valve and node, solved for its current at every instant, half by half.
"""

from __future__ import annotations

import numpy as np
import pytest

from tests.accuracy import Accuracy
from tests.reference.comparing import HERTZ, LEAKAGE, check_node, crest, supply
from tests.reference.comparing import idle as run_idle
from tests.reference.laws import backed_valve_amps, valve_amps
from tests.reference.shooting import Array, settled
from tests.tolerances import within

TEXT = """
[windings]
ht = "300-0-300 V off load at 230 V, 60 + 60 ohm"
[rectifiers.rail]
circuit = "centre-tapped"
winding = "ht"
device = {{ kind = "valve", drop = "20 V at 150 mA"{more} }}
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
BACKUP = ', backup = { drop = "1 V at 1 A", in_series = 2 }'
FARADS, ESR, LOAD = 16e-6, 12.0, 3000.0
CONDUCTANCE = 1 / ESR + 1 / LOAD + LEAKAGE * FARADS
PERVEANCE = 0.150 / 20**1.5


@pytest.mark.parametrize(
    ("backed", "unequal"),
    [(True, 0.0), (True, 0.4), (False, 0.4)],
    ids=["with silicon", "tired, with silicon", "tired"],
)
def test_a_valve_with_silicon_and_a_tired_anode(backed: bool, unequal: float, accuracy: Accuracy) -> None:
    tired = f', unequal = "{100 * unequal:g} %"' if unequal else ""
    filled = supply(TEXT.format(more=(BACKUP if backed else "") + tired))
    ohms = 60.0 + 1 / CONDUCTANCE
    backup = filled.devices["rail"].backup
    assert (backup is not None) == backed

    def arm(t: float, x: Array, sign: float = 1.0) -> float:
        perveance = PERVEANCE * (1.0 if sign > 0 else 1.0 - unequal)
        volts = sign * crest(300.0, t) - x[0] / ESR / CONDUCTANCE
        if backup is None:
            return valve_amps(volts, ohms, perveance)
        own = 2 * backup.series_ohms
        return backed_valve_amps(volts, ohms + own, perveance, backup.saturation_amps, 2 * backup.emission)

    def node(t: float, x: Array) -> float:
        return float((arm(t, x) + arm(t, x, -1.0) + x[0] / ESR) / CONDUCTANCE)

    def flow(t: float, x: Array) -> list[float]:
        return [(node(t, x) - x[0]) / ESR / FARADS]

    cycle = settled(flow, [350.0], HERTZ)
    figures = run_idle(filled)
    at_node = cycle.each(node)
    says = f"valve{' with silicon behind it' if backed else ''}, one anode {100 * unequal:g} % down"
    check_node(figures.nodes["node"], cycle, at_node, rows=(accuracy, says))
    arms = [cycle.each(arm), cycle.each(lambda t, x: arm(t, x, -1.0))]
    rail = figures.rectifiers["rail"]
    assert rail.mean_current == within("mean-current", sum(cycle.mean(amps) for amps in arms))
    assert rail.arm_mean_current == within("mean-current", max(cycle.mean(amps) for amps in arms))
    assert rail.arm_rms_current == within("rms-current", max(cycle.rms(amps) for amps in arms))
    assert rail.peak_current == within("peak-current", max(float(amps.max()) for amps in arms))
    # Over the arm, valve and silicon together: the node's volts and the winding's crest the other way.
    reverse = max(
        float((at_node - sign * cycle.each(lambda t, _: crest(300.0, t))).max()) for sign in (1.0, -1.0)
    )
    assert rail.reverse_voltage == within("dc", reverse)
    charge = (at_node - cycle.states[0]) / ESR
    at_50_hz = np.abs(np.fft.rfft(charge[:-1])[1]) * np.sqrt(2) / (charge.size - 1)
    found = dict(figures.capacitors["node"].ripple_spectrum)[HERTZ]
    if unequal:
        assert at_50_hz > 0.005, "the halves are so much alike that nothing is tested"
        assert found == within("harmonic", float(at_50_hz))
        assert cycle.mean(arms[1]) < 0.97 * cycle.mean(arms[0])
    else:
        assert found < 1e-3
