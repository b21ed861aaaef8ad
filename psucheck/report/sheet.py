"""The bring-up sheet as text: two lines a reading where it is narrow, a row where there is room."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from rich.console import Console, ConsoleOptions, Group, RenderableType, RenderResult
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from psucheck import quantity
from psucheck.report import words
from psucheck.report.ruled import RULED
from psucheck.report.sheet_view import Expected, LampView, Line, Sheet, Step
from psucheck.report.words import plain

WIDE = 150
"""Columns from which a reading is one row of a table."""
_READ, _WALL = "________", "_____"
_MOST_FIELDS = 4
"""Fields for the pen in one line; more valves than that are written beside."""
_NOTHING = 0.1


def sheet(view: Sheet) -> RenderableType:
    """The whole sheet, ready to print."""
    parts: list[RenderableType] = [
        Text(plain(view.title), style="bold"),
        Text(f"Bring-up at a wall of {quantity.show(view.wall, 'V')}"),
    ]
    if view.cautions:
        parts += [Text(), words.heading("Cautions"), *map(_item, view.cautions)]
    parts += [Text(), words.heading("Stop at any step"), *map(_item, view.stops)]
    parts += [Text(), words.heading("Instruments"), *map(_item, view.instruments)]
    if view.lamp is not None:
        parts += [Text(), *_lamp(view.lamp)]
    for step in view.steps:
        parts += [Text(), _StepView(step)]
    parts += [Text(), words.heading("What the numbers rest on"), *map(_item, view.remarks)]
    return Group(*parts)


def _item(text: str) -> RenderableType:
    grid = Table.grid(padding=(0, 1, 0, 0))
    grid.add_column(width=1)
    grid.add_column()
    words.row(grid, "-", text)
    return grid


def _lamp(lamp: LampView) -> Iterator[RenderableType]:
    yield words.heading(
        f"A lamp of {quantity.show(lamp.watts, 'W')} in series: it proves no short, and nothing else"
    )
    table = words.ruled("", "at the amplifier", "over the lamp")
    words.row(table, "valves out", words.amount(lamp.volts_out, "V"), words.amount(lamp.lamp_out, "V"))
    if lamp.volts_in is not None:
        words.row(table, "valves in, warm", words.amount(lamp.volts_in, "V"), words.amount(lamp.lamp_in, "V"))
    yield table
    cans = words.ruled("Valves out behind the lamp", "volts", "rated", "")
    for line in lamp.capacitors:
        over = line.rating is not None and line.volts > line.rating
        words.row(
            cans, line.capacitor, words.amount(line.volts, "V"), words.amount(line.rating, "V"),
            Text("over", style=words.STYLES["over"]) if over else "",
        )  # fmt: skip
    yield cans
    yield from map(_item, lamp.said)


class _StepView:
    """A step, by the width at hand."""

    def __init__(self, step: Step) -> None:
        self.step = step

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        """Choose between the two forms."""
        step = self.step
        yield Text(plain(f"{step.number}  {step.title} ({_volts(step)}{step.contents})"), style="bold")
        for note in (*step.notes, *([f"Factor: {step.factor}."] if step.factor else [])):
            yield Padding(Text(plain(note)), (0, 0, 0, 3))
        wide = options.max_width >= WIDE
        yield Padding(_table(step) if wide else Group(*_pairs(step)), (0, 0, 0, 3))
        yield Padding(Text(plain(f"Does not show: {step.cannot}.")), (0, 0, 0, 3))


def _volts(step: Step) -> str:
    if step.volts is None:
        return ""
    return f"{step.volts:g} V at the amplifier, " if step.volts else ""


# --- numbers ----------------------------------------------------------------------------------------------


def number(value: float | None, unit: str) -> str:
    """A figure as the meter shows it, three digits."""
    if value is None:
        return words.NONE
    if math.isinf(value):
        return "open"
    return words.amount(value, unit)


def expect_of(expected: Expected) -> str:
    """The figure; what is next to nothing beside its band is about 0."""
    value, high = expected.value, expected.high
    if value is not None and high is not None and expected.low == 0.0 and value < _NOTHING * high:
        return "about 0"
    return number(value, expected.unit)


def band(expected: Expected) -> str:
    """``39.6 to 42.7 V``; ``< 83 mV``; ``> 200 kohm``; a hyphen for none."""
    low, high, unit = expected.low, expected.high, expected.unit
    if low is None or high is None:
        return words.NONE
    if math.isinf(high):
        return f"> {number(low, unit)}"
    if abs(low) < 0.01 * abs(high):
        return f"< {number(high, unit)}"
    if abs(high) < 0.01 * abs(low):
        return f"> {number(low, unit)}"
    first, last = number(low, unit), number(high, unit)
    if first.split(" ")[-1] == last.split(" ")[-1]:
        first = first.rsplit(" ", 1)[0]
    return f"{first} to {last}"


def together(texts: Sequence[str]) -> str:
    """Several alike as one: ``36, 38 ohm``; ``41.1 V each``."""
    if not texts:
        return ""
    distinct = list(dict.fromkeys(texts))
    if len(distinct) == 1:
        return distinct[0] if len(texts) == 1 or distinct[0] == words.NONE else f"{distinct[0]} each"
    units = {text.rsplit(" ", 1)[-1] for text in texts}
    if len(units) == 1 and not any(" to " in text or text[:1] in "<>" for text in texts):
        return ", ".join(text.rsplit(" ", 1)[0] for text in texts) + f" {units.pop()}"
    return "; ".join(distinct)


def plain_rule(line: Line) -> str:
    """What the plain rule gives where the numbers say something else."""
    said = [number(each.plain, each.unit) for each in line.expected if each.plain is not None]
    shown = [number(each.value, each.unit) for each in line.expected if each.plain is not None]
    return f"plain share of full: {together(said)}" if said and said != shown else ""


# --- the two forms ----------------------------------------------------------------------------------------


def _leads(line: Line) -> str:
    if line.red and line.black:
        return f"red {line.red}, black {line.black}"
    return line.red


def _pairs(step: Step) -> Iterator[RenderableType]:
    """A row of numbers, and beneath it leads, meter, and where to stop."""
    yield _row("Reading", "Expect", "Band", "Read", "Wall", style="bold")
    for line in step.lines:
        expect = together([expect_of(each) for each in line.expected])
        bands = together([band(each) for each in line.expected])
        yield _row(line.what, expect, bands, *_fields(line))
        told = [_leads(line), line.meter, line.said, plain_rule(line)]
        beneath = Text("; ".join(plain(part) for part in told if part))
        if line.stop:
            beneath.append("\n" if beneath.plain else "")
            beneath.append("Stop: ", style="bold")
            beneath.append(plain(line.stop))
        if line.look:
            beneath.append(". If off: " if line.stop else "\nIf off: ")
            beneath.append(plain(line.look))
        yield Padding(beneath, (0, 0, 0, 2))


def _fields(line: Line) -> tuple[str, str]:
    """A field for each reading; the wall is read once a line."""
    count = min(len(line.expected), _MOST_FIELDS)
    return "\n".join([_READ] * count), _WALL if count else ""


def _row(what: str, expect: str, bands: str, read: str, wall: str, style: str = "") -> Table:
    """One row of numbers, in the same columns each time."""
    table = Table.grid(padding=(0, 1, 0, 0), expand=True)
    table.add_column(ratio=1)
    for width in (14, 17, len(_READ), len(_WALL)):
        table.add_column(width=width)
    table.add_row(
        *(Text(plain(cell), style=style) for cell in (what, expect, bands)),
        Text(read, style=style),
        Text(wall, style=style),
    )
    return table


def _table(step: Step) -> Table:
    headings = (
        "Reading",
        "Red / black",
        "Meter",
        "Expect",
        "Band",
        "Read",
        "Wall",
        "Stop if",
        "If off, look at",
    )
    table = Table(box=RULED, show_edge=False, pad_edge=False, padding=(0, 1, 0, 0), header_style="bold",
                  expand=True, show_lines=False)  # fmt: skip
    ratios = {0: 5, 1: 5, 2: 3, 3: 5, 4: 4, 7: 6, 8: 6}
    for index, heading in enumerate(headings):
        if index in ratios:
            table.add_column(Text(heading), ratio=ratios[index], overflow="fold")
        else:
            table.add_column(Text(heading), width=len(_READ if index == 5 else _WALL), no_wrap=True)
    for line in step.lines:
        expect = together([expect_of(each) for each in line.expected])
        told = "; ".join(part for part in (expect, line.said, plain_rule(line)) if part)
        leads = f"{line.red} / {line.black}" if line.red and line.black else line.red
        bands = together([band(each) for each in line.expected])
        pen = (Text(field) for field in _fields(line))
        words.row(table, line.what, leads, line.meter, told, bands, *pen, line.stop, line.look)
    return table
