"""Readings that cannot be right as they are written: asked about, not used."""

from __future__ import annotations

import math
from collections.abc import Sequence

from psucheck.bench.points import Point
from psucheck.bench.practice import rule
from psucheck.bench.reading import Reading
from psucheck.checks.judging import shown
from psucheck.report.sheet_view import Expected

_THOUSAND = (300.0, 3000.0)
"""Between these, read over expected is a prefix that slipped rather than a fault; so is one over them."""


def doubt(
    reading: Reading, point: Point, expected: Expected, dc: float | None, among: Sequence[Reading]
) -> str:
    """What to ask about a reading; empty where it may be used.

    Parameters
    ----------
    expected
        What should have been read.
    dc
        DC that should stand on the same node [V]; None where there is none.
    among
        All readings: the DC on the point of a ripple reading may be one of them.
    """
    if reading.unit != point.unit:
        return f"{shown(reading.value, reading.unit)}, but {point.name} is read in {point.unit}: which is it?"
    if not math.isfinite(reading.value):
        return ""
    return _slipped(reading, expected) or _form(reading, point, dc, among)


def _slipped(reading: Reading, expected: Expected) -> str:
    """A thousand times, or a thousandth of, what is expected; not of next to nothing, which is noise."""
    if not expected.value or not reading.value or expected.low == 0.0:
        return ""
    ratio = abs(reading.value / expected.value)
    word = "times" if ratio > 1 else "of"
    if _THOUSAND[0] <= max(ratio, 1 / ratio) <= _THOUSAND[1]:
        part = "a thousand times" if word == "times" else "a thousandth of"
        return f"{part} the {shown(expected.value, expected.unit)} expected: is its prefix right?"
    return ""


def _form(reading: Reading, point: Point, dc: float | None, among: Sequence[Reading]) -> str:
    """A ripple that is the DC itself, seen through an AC range that does not block it."""
    if point.kind != "node AC":
        return ""
    read = _dc_beside(reading, point, among)
    dc = dc if read is None else read
    if not dc:
        return ""
    factor, near = rule("readings.form-factor"), rule("readings.form-near")
    ratio = reading.value / abs(dc)
    if abs(ratio / factor - 1.0) <= near:
        return (
            f"{ratio:.1f} times the {shown(abs(dc), 'V')} DC there: does this meter's AC range read "
            f"the DC too? "
            "Again, through 0.1 uF 630 V."
        )
    return ""


def _dc_beside(reading: Reading, point: Point, among: Sequence[Reading]) -> float | None:
    """The DC on the same node in the same step, if it was read."""
    for other in among:
        same = (other.step, other.plug_in, other.point) == (reading.step, reading.plug_in, f"{point.of} DC")
        if same and other.unit == "V":
            return other.value
    return None
