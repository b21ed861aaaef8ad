"""Faults of a centre-tapped supply of 50 W: what the mains and the windings carry.

Reference: the winding's two halves, the shorted arm and the other diode written out with currents explicit in
the core's volts; those are what the primary's current balances at. With a core, leakage current and flux are
states, as at switch-on. The supply starts with its reservoir charged, and settles.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq

from psucheck.checks.limits import default_limits
from psucheck.circuit.condition import Condition
from psucheck.circuit.faults import SHORT_OHMS, Fault, FaultKind, Lead
from psucheck.conditions.faults import faults_of, run_faults
from psucheck.engine.here import Here
from psucheck.figures.faults import FaultCurrents
from psucheck.figures.measure_faults import measure_fault
from psucheck.studies.faults import faults
from psucheck.supply.filled import FilledSupply
from tests.engine_runs import described, outcomes_of
from tests.reference.comparing import DIODE, HERTZ, LEAKAGE, MAINS, diode
from tests.reference.shooting import Array
from tests.tolerances import within

TEXT = """
title = "Fifty watts"
[mains]
voltage = "230 V"
frequency = "50 Hz"
impedance = "0 ohm"
low = "216 V"
high = "253 V"
[transformer]
primary = "230 V, 9.9 ohm"
{core}
[windings]
ht = "362-0-362 V off load at 230 V, 40 + 40 ohm, 250 mA"
[rectifiers.ht]
circuit = "centre-tapped"
winding = "ht"
{device}
[filter.reservoir]
from = "rectifiers.ht"
[filter.reservoir.capacitor]
value = "50 uF"
voltage = "600 V"
esr = "0 ohm"
[loads.all]
node = "reservoir"
resistance = "4k"
[fuses]
mains = {{ rating = "T2AL250V", resistance = "0 ohm" }}
"centre tap ht" = {{ rating = "T160mAL250V", resistance = "0 ohm" }}
"""
CORES = {
    "ideal": 'core = "ideal"',
    "laminated": """
core = "laminated"
power = "100 VA"
no_load_current = "50 mA"
no_load_power = "5 W"
leakage = "8 mH"
""",
}
PRIMARY, COPPER, RATIO, FARADS, LOAD = 9.9, 40.0, 362.0 / 230.0, 50e-6, 4e3
LOSS_OHMS, LEAK = 230.0**2 / 5.0, 8e-3
RATED_FLUX = math.sqrt(2) * 230.0 / (2 * math.pi * HERTZ)
LINEAR_SHARE, POWER = 0.5, 9
"""Of a laminated core's magnetising current: docs/physics.md."""
SECONDS = 0.3
CENTRE_TAP = Lead("centre tap ht", 0)


@dataclass(frozen=True)
class Expected:
    """RMS of the last cycle [A]: mains, the winding's halves, the centre tap."""

    mains: float
    halves: tuple[float, float]
    centre_tap: float


Halves = Callable[[float, float], tuple[float, float]]
"""Core volts and rail -> currents out of ends a and b."""


def _shorted_arm(filled: FilledSupply) -> Halves:
    other = diode(filled, "ht", COPPER)
    return lambda e, rail: ((RATIO * e - rail) / (COPPER + SHORT_OHMS), other(-RATIO * e - rail))


def _shorted_arm_without_centre_tap(filled: FilledSupply) -> Halves:
    other = diode(filled, "ht", 2 * COPPER + SHORT_OHMS)

    def halves(e: float, rail: float) -> tuple[float, float]:
        del rail
        amps = other(-2 * RATIO * e)
        return -amps, amps

    return halves


def _shorted_reservoir(filled: FilledSupply) -> Halves:
    # The short is next to nothing: it is taken as part of each half, which conduct in turn.
    arm = diode(filled, "ht", COPPER + SHORT_OHMS)
    return lambda e, rail: (arm(RATIO * e), arm(-RATIO * e))


REFERENCES: dict[str, tuple[FaultKind, str, frozenset[Lead], Callable[[FilledSupply], Halves]]] = {
    "arm": ("shorted rectifier", "ht", frozenset(), _shorted_arm),
    "arm, centre tap open": (
        "shorted rectifier",
        "ht",
        frozenset({CENTRE_TAP}),
        _shorted_arm_without_centre_tap,
    ),
    "reservoir": ("shorted reservoir", "reservoir", frozenset(), _shorted_reservoir),
}


def _wall(t: float) -> float:
    return math.sqrt(2) * MAINS * math.cos(2 * math.pi * HERTZ * t)


def _solve(core: str, halves: Halves) -> Expected:
    peak = _magnetising_peak()

    def left(e: float, rail: float) -> float:
        a, b = halves(e, rail)
        return RATIO * (a - b)

    def magnetising(flux: float) -> float:
        x = flux / RATED_FLUX
        return peak * (LINEAR_SHARE * x + (1 - LINEAR_SHARE) * x**POWER)

    def ideal(t: float, rail: float) -> float:
        """The core's volts at which the primary's drop fits."""
        v = _wall(t)
        edge = 2 * abs(v) + 10.0 + 2 * abs(rail)
        return float(brentq(lambda e: (v - e) / PRIMARY - left(e, rail), -edge, edge, xtol=1e-9))

    def behind_leakage(amps: float, flux: float, rail: float) -> float:
        rest = amps - magnetising(flux)
        edge = LOSS_OHMS * abs(rest) + 2 * abs(rail) + 10.0
        return float(brentq(lambda e: e / LOSS_OHMS + left(e, rail) - rest, -edge, edge, xtol=1e-9))

    def charging(e: float, rail: float) -> float:
        return (sum(halves(e, rail)) - rail / LOAD - LEAKAGE * FARADS * rail) / FARADS

    def flow(t: float, x: Array) -> list[float]:
        if core == "ideal":
            return [charging(ideal(t, x[0]), x[0])]
        amps, flux, rail = x
        e = behind_leakage(amps, flux, rail)
        return [(_wall(t) - PRIMARY * amps - e) / LEAK, e, charging(e, rail)]

    start = [480.0] if core == "ideal" else [0.0, 0.0, 480.0]
    time = np.linspace(SECONDS - 1 / HERTZ, SECONDS, 2001)
    solved = solve_ivp(
        flow, (0.0, SECONDS), start, method="LSODA", rtol=1e-6, atol=1e-7, max_step=2e-4, t_eval=time
    )
    assert solved.success, solved.message
    rail = solved.y[-1]
    if core == "ideal":
        volts = np.array([ideal(t, v) for t, v in zip(time, rail, strict=True)])
        mains = (np.array([_wall(t) for t in time]) - volts) / PRIMARY
    else:
        mains = solved.y[0]
        volts = np.array([behind_leakage(*x) for x in zip(*solved.y, strict=True)])
    a, b = np.array([halves(e, v) for e, v in zip(volts, rail, strict=True)]).T
    return Expected(_rms(time, mains), (_rms(time, a), _rms(time, b)), _rms(time, a + b))


def _rms(time: Array, values: Array) -> float:
    return math.sqrt(float(np.trapezoid(values**2, time)) * HERTZ)


def _magnetising_peak() -> float:
    rms = math.sqrt(0.050**2 - (5.0 / 230.0) ** 2)

    def square(angle: float) -> float:
        sine = math.sin(angle)
        return (LINEAR_SHARE * sine + (1 - LINEAR_SHARE) * sine**POWER) ** 2

    return rms / math.sqrt(quad(square, 0, math.pi)[0] / math.pi)


@cache
def _filled(core: str) -> FilledSupply:
    return described(TEXT.format(core=CORES[core], device=DIODE))


@cache
def _found(core: str, name: str) -> FaultCurrents:
    filled = _filled(core)
    kind, at, opened, _ = REFERENCES[name]
    fault = Fault(kind, at, opened=opened)
    idle = outcomes_of(filled, Condition("idle", "nominal", MAINS))[0]
    return measure_fault(run_faults([(idle, fault)], Here())[0], filled.supply.fuses)


@pytest.mark.parametrize("core", list(CORES))
@pytest.mark.parametrize("name", list(REFERENCES))
def test_currents_of_a_fault(core: str, name: str) -> None:
    expected = _solve(core, REFERENCES[name][3](_filled(core)))
    found = _found(core, name)
    assert found.primary == within("fault-current", expected.mains)
    for section, amps in zip(found.windings["ht"], expected.halves, strict=True):
        assert section == within("fault-current", amps)
    if name != "arm, centre tap open":
        assert found.fuses[CENTRE_TAP] == within("fault-current", expected.centre_tap)


def test_the_sizes_that_are_known() -> None:
    arm, reservoir = _found("ideal", "arm").primary, _found("ideal", "reservoir").primary
    assert arm == pytest.approx(9.7, abs=0.15)
    assert reservoir == pytest.approx(8.8, abs=0.1)
    # A shorted arm draws direct current as well, and that saturates the core.
    assert _found("laminated", "arm").primary / arm == pytest.approx(1.2, abs=0.1)


def test_the_centre_taps_fuse_does_not_clear_a_shorted_arm() -> None:
    opened = _found("laminated", "arm, centre tap open")
    assert opened.primary > _found("laminated", "arm").primary
    assert opened.fuses[CENTRE_TAP] < 1e-3


def test_the_course_of_each_fault() -> None:
    filled = _filled("laminated")
    idles = outcomes_of(filled, Condition("idle", "low", 216.0), Condition("idle", "high", 253.0))
    assert [fault.kind for fault in faults_of(filled)] == ["shorted rectifier", "shorted reservoir"]
    courses = faults(filled, idles, Here(), default_limits())
    assert [(course.kind, course.level) for course in courses] == [
        (kind, level) for kind in ("shorted rectifier", "shorted reservoir") for level in ("low", "high")
    ]
    assert all(course.cleared for course in courses)
    opened = [[stage.opens.place for stage in course.stages if stage.opens] for course in courses]
    # More than ten times its rating in the centre tap, five to seven times in the mains.
    arm, reservoir = ["centre tap ht", "mains"], ["centre tap ht"]
    assert opened == [arm, arm, reservoir, reservoir]
    for course in courses[:2]:
        first, second = course.stages
        assert first.at_latest == pytest.approx(0.3)
        # The mains fuse, which must open within 3 s at what it carried first, has been heated since.
        assert second.at_latest == pytest.approx(2.7)
        assert second.currents.primary > first.currents.primary
