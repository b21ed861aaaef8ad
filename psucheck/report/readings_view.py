"""Readings held against the sheet, as plain data: what outputs print and nothing they have to work out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from psucheck.report.sheet_view import Expected

ReadingVerdict = Literal["in band", "near", "off", "asked about", "no number"]
"""``asked about``: it cannot be right as it is written, and is not used. ``no number``: none was promised."""


@dataclass(frozen=True, slots=True)
class JudgedReading:
    """A reading beside what was expected.

    Attributes
    ----------
    step, point, unit
        As readings name them, and the SI unit of ``value``.
    value
        What was read; infinite where an ohmmeter showed an open circuit.
    wall, volts
        What the wall had, and so the amplifier [V RMS]; None with the plug out.
    expected
        At that mains.
    verdict
        In its band; near, within twice the band; off; or not used.
    off
        Read over expected, less one [1]; None where nothing is expected, or nothing is near 0.
    said
        How far off, what is asked, or why there is no number.
    danger
        Why one must not go on with that reading; empty where one may.
    line
        Where it stands in its file.
    """

    step: str
    point: str
    unit: str
    value: float
    wall: float | None
    volts: float | None
    expected: Expected
    verdict: ReadingVerdict
    off: float | None = None
    said: str = ""
    danger: str = ""
    line: int = 0


@dataclass(frozen=True, slots=True)
class ReadingsView:
    """All readings of a supply, in the order of their file."""

    title: str
    readings: tuple[JudgedReading, ...]
    cautions: tuple[str, ...] = ()


def tally(view: ReadingsView) -> dict[ReadingVerdict, int]:
    """How many readings there are of each verdict."""
    counted: dict[ReadingVerdict, int] = dict.fromkeys(
        ("in band", "near", "off", "asked about", "no number"), 0
    )
    for reading in view.readings:
        counted[reading.verdict] += 1
    return counted
