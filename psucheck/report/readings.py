"""Readings held against the sheet, as text and as a JSON document."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import asdict

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from psucheck.report import words
from psucheck.report.document import SCHEMA, Json, cleaned
from psucheck.report.readings_view import JudgedReading, ReadingsView, ReadingVerdict, tally
from psucheck.report.sheet import band, expect_of, number
from psucheck.report.words import plain

STYLES: dict[ReadingVerdict, str] = {
    "in band": "green", "near": "yellow", "off": "bold red", "asked about": "magenta", "no number": "cyan",
}  # fmt: skip

_WIDTHS = (9, 9, 17, len("asked about"))


def readings(view: ReadingsView) -> RenderableType:
    """The headline, where to stop, what is asked, a row for each reading, the cautions."""
    parts: list[RenderableType] = [Text(plain(view.title), style="bold"), Text(headline(view), style="bold")]
    parts += [line for reading in view.readings for line in _danger(reading)]
    parts += [line for reading in view.readings for line in _asked(reading)]
    parts += list(_groups(view))
    if view.cautions:
        said = " ".join(view.cautions)
        parts += [Text(), Text.assemble(("Cautions.", "bold"), f" {plain(said)}")]
    return Group(*parts)


def headline(view: ReadingsView) -> str:
    """``STOP``, ``OFF`` or ``IN BAND``, and how many readings there are of each verdict."""
    counted = tally(view)
    if any(reading.danger for reading in view.readings):
        lead = "STOP"
    elif counted["off"]:
        lead = "OFF"
    elif counted["asked about"]:
        lead = "ASKED"
    else:
        lead = "IN BAND" if counted["in band"] or counted["near"] else "NOTHING TO COMPARE"
    rest = ", ".join(f"{count} {verdict}" for verdict, count in counted.items() if count)
    return (
        f"{lead}: {words.plural(len(view.readings), 'reading')}; {rest}" if rest else f"{lead}: no readings"
    )


def read_as(reading: JudgedReading) -> str:
    """What was read, with its unit."""
    return "open" if math.isinf(reading.value) else number(reading.value, reading.unit)


def _danger(reading: JudgedReading) -> Iterator[RenderableType]:
    if reading.danger:
        yield Text.assemble(
            ("STOP ", "bold red"), f"{plain(reading.point)} ({plain(reading.step)}): {plain(reading.danger)}"
        )


def _asked(reading: JudgedReading) -> Iterator[RenderableType]:
    if reading.verdict == "asked about":
        yield Text.assemble(
            ("Not used ", STYLES["asked about"]),
            f"{plain(reading.point)} ({plain(reading.step)}): {plain(reading.said)}",
        )


def _groups(view: ReadingsView) -> Iterator[RenderableType]:
    """The readings of each step under its heading, how far off beneath those that are."""
    where = ""
    for reading in view.readings:
        if _where(reading) != where:
            where = _where(reading)
            yield Text()
            yield _row(where, "Read", "Expect", "Band", Text(), style="bold")
        yield _row(
            f"  {plain(reading.point)}", read_as(reading), expect_of(reading.expected),
            band(reading.expected), Text(reading.verdict, style=STYLES[reading.verdict]),
        )  # fmt: skip
        if reading.verdict in ("near", "off") and reading.said:
            yield words.indented(f"  {plain(reading.said)}")


def _row(what: str, read: str, expect: str, bands: str, verdict: Text, style: str = "") -> Table:
    """One row, in the same columns each time."""
    table = Table.grid(padding=(0, 1, 0, 0), expand=True)
    table.add_column(ratio=1)
    for width in _WIDTHS:
        table.add_column(width=width, justify="right" if width < len("asked about") else "left")
    table.add_row(*(Text(cell, style=style) for cell in (what, read, expect, bands)), verdict)
    return table


def _where(reading: JudgedReading) -> str:
    if reading.wall is None or reading.volts is None:
        return reading.step
    return f"{reading.step}, {reading.volts:g} of {reading.wall:g} V"


def readings_document(view: ReadingsView) -> Json:
    """The document: the same content, SI units; an open circuit and a missing upper end are null."""
    content = asdict(view)
    for reading in content["readings"]:
        expected = reading["expected"]
        if expected["high"] is not None and math.isinf(expected["high"]):
            expected["high"] = None
        if math.isinf(reading["value"]):
            reading["value"] = None
    made: Json = {"schema": SCHEMA, **cleaned(content, "readings")}
    return made
