"""The bring-up sheet as a JSON document and as lines for a spreadsheet."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterator
from dataclasses import asdict
from typing import Any

from psucheck.report.document import SCHEMA, Json, cleaned
from psucheck.report.sheet_view import Line, Sheet, Step

COLUMNS = (
    "step", "volts", "in", "check", "test point", "red lead", "black lead", "meter", "expect", "unit",
    "band low", "band high", "reading", "wall now", "stop if", "if off look at",
)  # fmt: skip
"""Headings of the lines; ``reading`` and ``wall now`` are for the pen."""
_MILLIVOLTS = "DC millivolts"


def sheet_document(view: Sheet) -> Json:
    """The document: the same content as the text, SI units; a band without an upper end has none."""
    content = asdict(view)
    for step in content["steps"]:
        for line in step["lines"]:
            for expected in line["expected"]:
                if expected["high"] is not None and math.isinf(expected["high"]):
                    expected["high"] = None
    made: Json = {"schema": SCHEMA, **cleaned(content, "sheet")}
    return made


def sheet_csv(view: Sheet) -> str:
    """A line for each test point and each look, under :data:`COLUMNS`."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(COLUMNS)
    for step in view.steps:
        for line in step.lines:
            writer.writerows(_rows(step, line))
    return text.getvalue()


def _rows(step: Step, line: Line) -> Iterator[tuple[Any, ...]]:
    volts = "" if step.volts is None else f"{step.volts:g}"
    first = (line.step or step.name, volts, step.contents)
    last = ("", "", line.stop, line.look)
    if not line.expected:
        yield (*first, line.what, "", line.red, line.black, line.meter, line.said, "", "", "", *last)
    for expected in line.expected:
        unit, factor = ("mV", 1e3) if line.meter == _MILLIVOLTS else (expected.unit, 1.0)
        numbers = [_digits(each, factor) for each in (expected.value, expected.low, expected.high)]
        yield (
            *first, line.said, expected.point, expected.red, expected.black, line.meter, numbers[0], unit,
            *numbers[1:], *last,
        )  # fmt: skip


def _digits(value: float | None, factor: float) -> str:
    return "" if value is None or math.isinf(value) else f"{factor * value:.4g}"
