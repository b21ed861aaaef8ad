"""Rectifying devices with a resistance in series, their current explicit in the voltage over both.

Written from the devices' equations alone, apart from psucheck's networks.
"""

from __future__ import annotations

import math

from scipy.optimize import brentq
from scipy.special import wrightomega

THERMAL_VOLTS = 8.617333262e-5 * 300.15
"""kT/q at 27 degC [V]."""


def silicon_amps(volts: float, ohms: float, saturation: float, emission: float) -> float:
    """Current [A] at ``volts`` over a junction and ``ohms`` in series with it.

    v = N Vt ln(1 + i/Is) + i R is solved by i = (N Vt/R) omega(ln(Is R/(N Vt)) + (v + Is R)/(N Vt)) - Is,
    with omega the Wright function, omega(z) + ln omega(z) = z.
    """
    scale = emission * THERMAL_VOLTS
    z = math.log(saturation * ohms / scale) + (volts + saturation * ohms) / scale
    return scale / ohms * float(wrightomega(z).real) - saturation


def valve_amps(volts: float, ohms: float, perveance: float) -> float:
    """Current [A] at ``volts`` over a valve, i = K v^1.5, and ``ohms`` in series with it; none backwards.

    With u = i^(1/3) the loop is R u^3 + K^(-2/3) u^2 = v, solved by Newton's method from above.
    """
    if volts <= 0:
        return 0.0
    curve = perveance ** (-2 / 3)
    u = math.sqrt(volts / curve)
    for _ in range(60):
        step = (ohms * u**3 + curve * u * u - volts) / (3 * ohms * u * u + 2 * curve * u)
        u -= step
        if abs(step) < 1e-13 * u:
            break
    return u**3


def backed_valve_amps(
    volts: float, ohms: float, perveance: float, saturation: float, emission: float
) -> float:
    """Current [A] at ``volts`` over a valve, a junction and ``ohms``, all in series; none backwards.

    (i/K)^(2/3) + N Vt ln(1 + i/Is) + i R = v, solved between nothing and the valve's own current.
    """
    if volts <= 0:
        return 0.0
    scale = emission * THERMAL_VOLTS

    def excess(amps: float) -> float:
        junction = scale * math.log1p(amps / saturation)
        return float((amps / perveance) ** (2 / 3) + junction + ohms * amps - volts)

    return float(brentq(excess, 0.0, valve_amps(volts, ohms, perveance), xtol=1e-12))
