"""Readings against what they should be, recomputed at the wall voltage of each."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence

from psucheck.bench.dangers import danger
from psucheck.bench.doubting import doubt
from psucheck.bench.names import PLUG_IN, STEPS
from psucheck.bench.plan import Plan
from psucheck.bench.practice import rule
from psucheck.bench.reading import Reading
from psucheck.bench.runs import Setting
from psucheck.bench.steps_cold import cold_expected
from psucheck.bench.winding_up import WoundUp, with_settings
from psucheck.checks.judging import shown
from psucheck.engine.pool import Runner
from psucheck.report.readings_view import JudgedReading, ReadingVerdict
from psucheck.report.sheet_view import Expected

AMPLIFIER_VOLTS = "mains volts"
"""The test point at which the volts at the amplifier's own plug are read; then they are known at its step."""


def amplifier_volts(plan: Plan, reading: Reading, among: Iterable[Reading]) -> float | None:
    """Volts at the amplifier when a reading was taken [V RMS]; None with the plug out.

    The variac keeps its place through a step, so they go with the wall: as read at the amplifier's plug in
    that step, else as the step says.
    """
    if reading.wall is None:
        return None
    for other in among:
        alike = (other.step, other.plug_in) == (reading.step, reading.plug_in)
        if alike and other.point == AMPLIFIER_VOLTS and other.unit == "V" and other.wall:
            return round(other.value * reading.wall / other.wall, 1)
    if reading.step in plan.steps:
        share = plan.steps[reading.step] / plan.wall
    else:
        share = STEPS[reading.step].share or plan.limit.volts / plan.wall
    return round(share * reading.wall, 1)


def compare(plan: Plan, readings: Sequence[Reading], pool: Runner) -> tuple[JudgedReading, ...]:
    """Each reading beside its expected value.

    Raises
    ------
    SimulationError
        If a run fails.
    """
    volts = [amplifier_volts(plan, reading, readings) for reading in readings]
    ups: dict[bool, WoundUp] = {False: plan.up, True: plan.silicon or plan.up}
    for plug_in, up in ups.items():
        wanted = [
            _setting(reading, at)
            for reading, at in zip(readings, volts, strict=True)
            if at is not None and reading.plug_in == plug_in
        ]
        ups[plug_in] = with_settings(up, [each for each in wanted if each not in up.values], pool)
    cold = cold_expected(plan.filled) if any(reading.wall is None for reading in readings) else {}
    return tuple(
        _judged(plan, ups[reading.plug_in], reading, at, cold, readings)
        for reading, at in zip(readings, volts, strict=True)
    )


def _setting(reading: Reading, volts: float) -> Setting:
    state = STEPS[reading.step].state
    assert state is not None  # a reading in volts has a step with the mains on
    return Setting(state, volts)


def _expected(plan: Plan, up: WoundUp, reading: Reading, volts: float) -> Expected:
    found = up.expected(_setting(reading, volts), reading.point)
    waits = not reading.plug_in and plan.waits_at(_setting(reading, volts), up.points[reading.point])
    return Expected(found.point, found.unit) if waits else found


def _judged(
    plan: Plan,
    up: WoundUp,
    reading: Reading,
    volts: float | None,
    cold: Mapping[str, Expected],
    among: Sequence[Reading],
) -> JudgedReading:
    expected = cold[reading.point] if volts is None else _expected(plan, up, reading, volts)
    step = reading.step + (PLUG_IN if reading.plug_in else "")
    point = plan.up.points[reading.point]
    dc = None if volts is None else up.values[_setting(reading, volts)].get(f"{point.of} DC")
    asked = doubt(reading, point, expected, dc, among)
    verdict: ReadingVerdict
    off = None
    if asked:
        verdict, said = "asked about", asked
    elif reading.point == AMPLIFIER_VOLTS:
        verdict, said = "in band", "taken for the volts at the amplifier"
    else:
        verdict, said = held(reading.value, expected)
        if expected.value and math.isfinite(reading.value) and expected.low != 0.0:
            off = reading.value / expected.value - 1.0
    stop = "" if asked else danger(plan, reading, volts, expected, among)
    return JudgedReading(
        step, reading.point, reading.unit, reading.value, reading.wall, volts, expected, verdict,
        off, said, stop, reading.line,
    )  # fmt: skip


def held(value: float, expected: Expected) -> tuple[ReadingVerdict, str]:
    """Whether a value is in its band, near or off, and by how much in words.

    Near is what lies no further out of the band than the band is wide from its middle (``readings.near``).
    """
    low, high = expected.low, expected.high
    if low is None or high is None:
        return "no number", "none was promised here"
    if low <= value <= high:
        return "in band", ""
    end = low if value < low else high
    middle = expected.value if expected.value is not None else end
    said = _apart(value, middle, expected.unit)
    reach = (rule("readings.near") - 1.0) * abs(end - middle)
    if math.isfinite(value) and abs(value - end) <= reach:
        return "near", said
    return "off", said


def _apart(value: float, expected: float, unit: str) -> str:
    """``3.1 V low, 8 %``; ``minus sign``; ``open``."""
    if not math.isfinite(value):
        return "open"
    if value * expected < 0:
        return "the sign is wrong"
    word = "low" if abs(value) < abs(expected) else "high"
    apart = f"{shown(abs(value - expected), unit)} {word}"
    share = abs(value / expected - 1.0) if expected else 0.0
    if not share or share > 2.0:
        return apart if not share else f"{apart}, {abs(value / expected):.0f} times"
    return f"{apart}, {100 * share:.0f} %"
