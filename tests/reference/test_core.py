"""The saturating transformer at switch-on: by phase and residual flux.

Reference: leakage current and flux as states, and the core's volts those at which it, its loss and the
rectifier on the winding take the leakage's current. The magnetising current's constants come from the no-load
reading anew.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq

from psucheck.circuit.build import build_network
from psucheck.circuit.condition import Condition, Readings
from psucheck.circuit.network import Core, Mains
from psucheck.figures.trace import i2t
from psucheck.supply.filled import FilledSupply
from tests.accuracy import Accuracy
from tests.engine_runs import described, figures_of, transient
from tests.reference.comparing import DIODE, HERTZ, LEAKAGE, MAINS, diode, record
from tests.reference.shooting import Array

TEXT = """
title = "Inrush"
[mains]
voltage = "230 V"
frequency = "50 Hz"
impedance = "0.4 ohm"
high = "253 V"
[transformer]
primary = "230 V, 4 ohm"
core = "{core}"
power = "150 VA"
no_load_current = "60 mA"
no_load_power = "6 W"
leakage = "10 mH"
[windings]
ht = "250 V off load at 230 V, 45 ohm"
[rectifiers.rail]
circuit = "bridge"
winding = "ht"
{device}
[filter.node]
from = "rectifiers.rail"
[filter.node.capacitor]
value = "22 uF"
voltage = "450 V"
esr = "0 ohm"
[loads.all]
node = "node"
resistance = "8k"
"""
SERIES_OHMS, LOSS_OHMS, LEAK = 4.4, 230.0**2 / 6.0, 10e-3
RATIO, COPPER, FARADS, LOAD = 250.0 / 230.0, 45.0, 22e-6, 8e3
RATED_FLUX = math.sqrt(2) * 230.0 / (2 * math.pi * HERTZ)
SHAPES = {"laminated": (0.5, 9), "toroidal": (0.12, 15)}
"""Linear share of the magnetising current at rated flux, and the power of the rest: docs/physics.md."""
SECONDS = 0.2


def _magnetising(core: str) -> tuple[float, float, int]:
    share, power = SHAPES[core]
    rms = math.sqrt(0.060**2 - (6.0 / 230.0) ** 2)
    shape = quad(lambda a: (share * math.sin(a) + (1 - share) * math.sin(a) ** power) ** 2, 0, math.pi)[0]
    return rms / math.sqrt(shape / math.pi), share, power


def _switched_on(
    filled: FilledSupply, core: str, volts: float, degrees: float, residual: float, seconds: float
) -> tuple[Array, Array]:
    """Times [s] and the mains' current [A]."""
    peak_amps, share, power = _magnetising(core)
    arm = diode(filled, "rail", COPPER, in_series=2)

    def magnetising(flux: float) -> float:
        x = flux / RATED_FLUX
        return peak_amps * (share * x + (1 - share) * x**power)

    def secondary(e: float, rail: float) -> float:
        return arm(RATIO * e - rail) - arm(-RATIO * e - rail)

    def core_volts(amps: float, flux: float, rail: float) -> float:
        """At which the leakage's current goes somewhere."""
        left = amps - magnetising(flux)

        def excess(e: float) -> float:
            return e / LOSS_OHMS + RATIO * secondary(e, rail) - left

        edge = LOSS_OHMS * abs(left) + 1.0
        return float(brentq(excess, -edge, edge, xtol=1e-9))

    def flow(t: float, x: Array) -> list[float]:
        amps, flux, rail = x
        e = core_volts(amps, flux, rail)
        v = math.sqrt(2) * volts * math.sin(2 * math.pi * HERTZ * t + math.radians(degrees))
        charging = abs(secondary(e, rail))
        return [
            (v - SERIES_OHMS * amps - e) / LEAK,
            e,
            (charging - rail / LOAD - LEAKAGE * FARADS * rail) / FARADS,
        ]

    start = [0.0, residual * RATED_FLUX, 0.0]
    time = np.linspace(0.0, seconds, int(seconds * 50_000) + 1)
    # With the leakage into the core's loss the equations are stiff (a microsecond against a cycle).
    solved = solve_ivp(
        flow, (0.0, seconds), start, method="LSODA", rtol=1e-6, atol=1e-7, max_step=2e-4, t_eval=time
    )
    assert solved.success, solved.message
    return solved.t, solved.y[0]


@pytest.mark.parametrize("core", ["laminated", "toroidal"])
@pytest.mark.parametrize(("degrees", "residual"), [(0.0, 0.0), (90.0, 0.0), (0.0, 0.5), (180.0, 0.5)])
def test_switch_on(core: str, degrees: float, residual: float, accuracy: Accuracy) -> None:
    filled = described(TEXT.format(core=core, device=DIODE))
    condition = Condition("switch-on", "nominal", MAINS)
    network = build_network(filled, condition, Readings(), degrees)
    start = [residual * RATED_FLUX if isinstance(state, Core) else 0.0 for state in network.states]
    run = transient(network, SECONDS, start=start)
    wall = next(element.name for element in network.elements if isinstance(element, Mains))
    amps = run.amps(wall)
    time, expected = _switched_on(filled, core, MAINS, degrees, residual, SECONDS)
    rows = accuracy, f"150 VA {core}, switch-on at {degrees:g} deg, residual flux {residual:g}"
    record(rows, "peak", float(np.abs(expected).max()), float(np.abs(amps).max()), "A", "inrush")
    record(rows, "I2t, 0.2 s", float(np.trapezoid(expected**2, time)), i2t(run.time, amps), "A2s", "i2t")


def test_the_phase_that_is_run_is_the_worst_or_next_to_it(accuracy: Accuracy) -> None:
    filled = described(TEXT.format(core="laminated", device=DIODE))
    assert filled.core is not None
    figures = figures_of(filled, Condition("switch-on", "high", 253.0))[0]
    assert figures.mains_supply is not None
    peaks = [
        float(np.abs(_switched_on(filled, "laminated", 253.0, degrees, filled.core.residual, 0.02)[1]).max())
        for degrees in range(0, 360, 15)
    ]
    rows = accuracy, "150 VA laminated, worst of 24 phases, supposed residual flux"
    record(rows, "peak", max(peaks), figures.mains_supply.peak_current, "A", "inrush")
