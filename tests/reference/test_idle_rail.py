"""Rails on which nothing draws: silicon charges them until what it passes is what leaks away.

Reference: a capacitor that hardly moves within a cycle stands where the mean of the diodes' current over a
cycle, at those volts, is its leakage. That is found by quadrature and bisection; nothing is stepped in time.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from psucheck.supply.filled import FilledSupply
from tests.reference.comparing import DIODE, HERTZ, LEAKAGE, crest, diode, idle, supply
from tests.tolerances import within

TEXT = """
[windings]
ht = "250-0-250 V off load at 230 V, 60 + 60 ohm"
low = "{volts} V off load at 230 V, 0.1 ohm"
[rectifiers.ht]
circuit = "centre-tapped"
winding = "ht"
{device}
[filter.reservoir]
from = "rectifiers.ht"
capacitor = "47 uF 450 V"
[loads.all]
node = "reservoir"
resistance = "5k"
[rectifiers.low]
circuit = "{circuit}"
winding = "low"
{device}
[filter.low]
from = "rectifiers.low"
capacitor = {{ value = "{farads}", voltage = "25 V", esr = "0 ohm" }}
"""


def _settled(filled: FilledSupply, volts: float, farads: float, circuit: str) -> float:
    """Volts at which the mean of the charging current is the leakage."""
    bridge = circuit == "bridge"
    arms = diode(filled, "low", 0.1, in_series=2 if bridge else 1)
    times = np.linspace(0.0, 1 / HERTZ, 4001)

    def gains(rail: float) -> float:
        waves = [crest(volts, t) for t in times]
        charging = [arms((abs(wave) if bridge else wave) - rail) for wave in waves]
        return float(np.trapezoid(charging, times) * HERTZ) - LEAKAGE * farads * rail

    return float(brentq(gains, 0.3 * volts, math.sqrt(2) * volts))


@pytest.mark.parametrize("circuit", ["bridge", "half-wave"])
@pytest.mark.parametrize(("volts", "farads"), [(6.3, 4700e-6), (6.3, 100e-6), (12.6, 1000e-6)])
def test_a_low_rail_with_nothing_on_it(circuit: str, volts: float, farads: float) -> None:
    text = TEXT.format(device=DIODE, volts=volts, farads=f"{1e6 * farads:g} uF", circuit=circuit)
    filled = supply(text)
    found = idle(filled).nodes["low"]
    assert found.dc == within("dc-small", _settled(filled, volts, farads, circuit))
