"""Readings in CSV: a line each, as a spreadsheet keeps them; also a sheet that was filled in."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Mapping, Sequence

from psucheck.bench.points import Point
from psucheck.bench.reading import Checker, Place, Reading
from psucheck.supply.errors import DescriptionError, nearest, quoted

_COLUMNS = {
    "step": "step",
    "point": "point",
    "test point": "point",
    "value": "value",
    "reading": "value",
    "unit": "unit",
    "wall": "wall",
    "wall now": "wall",
}
"""Heading of a CSV column -> what it holds. Other columns of the sheet may stand beside them."""
_BARE = re.compile(r"[-+]?[0-9]*\.?[0-9]+")
_SHEET_COLUMNS = (
    "volts", "in", "red lead", "black lead", "meter", "check", "expect", "band low", "band high",
    "stop if", "if off look at",
)  # fmt: skip


def parse_csv(text: str, name: str, points: Sequence[Point]) -> tuple[Reading, ...]:
    """Read the CSV form: columns ``step``, ``point``, ``value`` and ``wall``, a line a reading.

    A sheet that was written with ``bringup --csv`` and filled in is one too: its other columns are passed
    over, and so are lines on which nothing was read.

    Raises
    ------
    DescriptionError
        With everything that is wrong, in the order of the file.
    """
    lines = text.replace("\r\n", "\n").split("\n")
    checker = Checker(name, points)
    columns = _columns(checker, lines)
    readings: list[Reading] = []
    if columns:
        for number, line in enumerate(lines[1:], start=2):
            cells = _cells(line)
            held = {what: cells[n].strip() for what, n in columns.items() if n < len(cells)}
            if line.strip() and held.get("value"):
                readings += _csv_line(checker, held, number, line)
    if checker.problems:
        raise DescriptionError(checker.problems)
    return tuple(readings)


def _cells(line: str) -> list[str]:
    """The cells of a line; what the csv module refuses (a stray line end) is one cell."""
    try:
        return next(csv.reader([line]), [])
    except csv.Error:
        return [line]


def _columns(checker: Checker, lines: Sequence[str]) -> dict[str, int]:
    """What each column of the heading holds."""
    place = Place(1, 1, len(lines[0]) + 1, "", lines[0])
    if not lines[0].strip():
        checker.fault(
            Place(0, 1, 1, "", ""), "the file is empty, or its first line is: headings are wanted there"
        )
        return {}
    columns: dict[str, int] = {}
    for number, heading in enumerate(_cells(lines[0])):
        what = " ".join(heading.split()).casefold()
        if what in _COLUMNS:
            columns.setdefault(_COLUMNS[what], number)
        elif what not in _SHEET_COLUMNS:
            known = [*dict.fromkeys(_COLUMNS), *_SHEET_COLUMNS]
            checker.fault(
                place,
                f"there is no column {quoted(heading)}",
                heading,
                ", ".join(known),
                nearest(what, known),
            )
    missing = [what for what in ("step", "point", "value", "wall") if what not in columns]
    if missing and not checker.problems:
        checker.fault(place, f"the heading lacks {', '.join(missing)}", allowed="step,point,value,wall")
    return {} if checker.problems else columns


def replace_text(place: Place) -> Place:
    """The file as a whole."""
    return Place(0, 1, 1, place.key, "")


def _with_unit(text: str, unit: str) -> str:
    """A bare number with the unit that has a column of its own, in a sheet that was filled in."""
    return f"{text} {unit}".strip() if _BARE.fullmatch(text) else text


def _csv_line(checker: Checker, held: Mapping[str, str], number: int, line: str) -> Iterator[Reading]:
    def at(what: str) -> Place:
        text = held.get(what, "")
        column = line.find(text) + 1 if text else 1
        return Place(number, max(column, 1), max(column, 1) + max(len(text), 1), what, line)

    step = checker.step(at("step"), held.get("step", ""))
    if step is None:
        return
    point = checker.point(at("point"), step[0], held.get("point", ""))
    if point is None or not checker.once(at("point"), held["step"], point.name):
        return
    found = checker.value(at("value"), point, _with_unit(held["value"], held.get("unit", "")))
    wall: float | None = None
    if not point.cold:
        if not held.get("wall"):
            checker.fault(
                at("point"), f"{point.name}: what did the wall have at that moment?", allowed="243 V"
            )
            return
        wall = checker.wall(at("wall"), _with_unit(held["wall"], "V" if "unit" in held else ""))
        if wall is None:
            return
    if found is not None:
        yield Reading(step[0], point.name, found[0], wall, number, found[1], step[1])
