"""Parts as tables and as JSON: the list by kind, and the page of one part."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import groupby
from typing import Any

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from psucheck import quantity
from psucheck.parts.kinds import KindWord
from psucheck.parts.listing import Item, Value
from psucheck.parts.units import unit_of, unit_within, without_unit
from psucheck.report import words
from psucheck.report.document import SCHEMA, Json

_HEADINGS: Mapping[KindWord, str] = {
    "rectifiers": "Rectifier valves",
    "diodes": "Silicon diodes",
    "valves": "Output and small valves",
    "capacitors": "Electrolytic capacitors, by family",
    "resistors": "Resistors, by family",
    "chokes": "Chokes",
    "limiters": "Inrush limiters (NTC)",
    "fuses": "Fuses",
    "transformers": "Mains transformers",
    "mains": "Mains systems",
    "tolerances": "How far parts may be off",
}
_MAIN: Mapping[KindWord, tuple[str, ...]] = {
    "rectifiers": ("mean_current", "reverse_voltage", "drop"),
    "diodes": ("mean_current", "reverse_voltage"),
    "valves": ("anode_watts", "anode_voltage_limit", "heater"),
    "capacitors": ("rated_to", "life"),
    "chokes": ("inductance", "rated_current", "resistance"),
    "limiters": ("cold_resistance", "rated_current"),
    "transformers": ("half_volts", "half_amps"),
    "mains": ("voltage", "frequencies"),
}
"""The figures of a part that its line in the list shows."""

_KNOWN = {
    "read": "read in the source",
    "second-hand": "second-hand, the original not opened",
    "recalled": "from memory, the source not opened",
    "derived": "derived",
    "practice": "common practice, no source",
}


# --- figures ----------------------------------------------------------------------------------------------


def figure(quantities: Mapping[str, Any], key: str = "") -> str:
    """The quantities of a value with their units; a table of the sheet as its rows, ``300 V: 50 ohm``.

    ``key`` is that of the value; of a range it names the unit.
    """
    if set(quantities) == {"least", "most"}:
        least, most = (_figure_in(unit_within(key), quantities[end]) for end in ("least", "most"))
        return f"{least} to {most}"
    columns = list(quantities.values())
    if len(columns) > 1 and all(isinstance(column, list) for column in columns):
        rows = zip(*([_one(key, one) for one in column] for key, column in quantities.items()), strict=True)
        return "; ".join(": ".join(row) for row in rows)
    return ", ".join(_with_word(key, held) for key, held in quantities.items())


def _with_word(key: str, held: Any) -> str:
    if isinstance(held, list):
        if held and isinstance(held[0], Mapping):
            return "; ".join(figure(row) for row in held)
        said = ", ".join(_one(key, one) for one in held)
    else:
        said = _one(key, held)
    return f"{without_unit(key)} {said}".strip()


def _one(key: str, held: Any) -> str:
    if isinstance(held, bool):
        return "yes" if held else "no"
    if not isinstance(held, int | float):
        return str(held)
    return _figure_in(unit_of(key), held)


def _figure_in(unit: str, held: float) -> str:
    if unit == "A/V^1.5":
        return f"{1e3 * held:.4g} mA/V^1.5"
    if unit in quantity.UNITS and unit != "degC":
        return quantity.show(float(held), unit, digits=4)
    return f"{held:.4g} {unit}".strip()


# --- the list ---------------------------------------------------------------------------------------------


def part_list(items: Sequence[Item]) -> RenderableType:
    """Parts by kind: name, other names, main figures."""
    blocks: list[RenderableType] = []
    for kind, members in groupby(sorted(items, key=_order), key=lambda item: item.kind):
        blocks += [Text(), _of_kind(kind, list(members))]
    return Group(*blocks[1:])


def _order(item: Item) -> int:
    return list(_HEADINGS).index(item.kind)


def _of_kind(kind: KindWord, members: list[Item]) -> Table:
    shown = _MAIN.get(kind, ())
    headings = [key.replace("_", " ") for key in shown] or ["what it is"]
    table = words.ruled(_HEADINGS[kind], *headings, left=1 + len(headings))
    for item in members:
        held = {value.key: value for value in item.values}
        cells = [figure(held[key].quantities, key) if key in held else words.NONE for key in shown]
        if not held.keys() & set(shown):
            cells = [_told(item), *[""] * (len(headings) - 1)]
        words.row(table, _called(item), *cells)
    return table


def _told(item: Item) -> str:
    """What a part is, where it has none of the figures of its kind."""
    facts = (str(held) for key, held in item.facts.items() if key != "sheet")
    return ", ".join((item.is_a, *facts))


def _called(item: Item) -> str:
    whose = f" ({item.file})" if item.file else " (replaced)" if item.hidden else ""
    return " = ".join(item.names) + whose


# --- one part ---------------------------------------------------------------------------------------------


def part_page(item: Item) -> RenderableType:
    """One part: every value with its unit, source, status, confidence and note, and those beside it."""
    blocks: list[RenderableType] = [_title(item)]
    if item.file:
        blocks.append(Text(words.plain(f"From {item.file}.")))
    if item.hidden:
        blocks.append(Text("Not used: a part of your own bears this name."))
    if item.note:
        blocks.append(Text(words.plain(item.note)))
    table = Table.grid(padding=(0, 2, 0, 0))
    table.add_column(max_width=26, overflow="fold")
    table.add_column(ratio=1)
    for key, held in item.facts.items():
        words.row(table, key.replace("_", " "), str(held))
    for value in item.values:
        for index, (name, text) in enumerate(_lines(value)):
            table.add_row(Text(name), Text(words.plain(text), style="bold" if not index else ""))
    return Group(*blocks, Text(), table)


def _title(item: Item) -> Text:
    others = f" = {' = '.join(item.aliases)}" if item.aliases else ""
    return Text.assemble((words.plain(item.name + others), "bold"), f": {item.is_a}")


def _lines(value: Value) -> Iterator[tuple[str, str]]:
    """The value, where it comes from, its note; then each value kept beside it, likewise."""
    yield words.plain(value.key.replace("_", " ")), figure(value.quantities, value.key)
    yield "", _origin(value)
    if value.note:
        yield "", f"Note: {value.note}"
    for other in value.also:
        note = f" Note: {other.note}" if other.note else ""
        yield "  also published", f"{figure(other.quantities, other.key)}. {_origin(other)}{note}"


def _origin(value: Value) -> str:
    sure = f"; confidence {value.confidence}" if value.confidence else ""
    return f"{value.source} ({_KNOWN[value.status]}{sure})."


# --- JSON -------------------------------------------------------------------------------------------------


def part_document(items: Iterable[Item]) -> Json:
    """The parts as a JSON document; the keys of quantities end with the name of their SI unit."""
    return {"schema": SCHEMA, "parts": [_part(item) for item in items]}


def _part(item: Item) -> Json:
    return {
        "name": item.name,
        "aliases": list(item.aliases),
        "kind": item.kind,
        "is_a": item.is_a,
        "note": item.note,
        "file": item.file,
        "replaced": item.hidden,
        "facts": dict(item.facts),
        "values": [_in_json(value) for value in item.values],
    }


def _in_json(value: Value) -> Json:
    return {
        "key": value.key,
        "quantities": dict(value.quantities),
        "source": value.source,
        "status": value.status,
        "confidence": value.confidence,
        "note": value.note,
        "also": [_in_json(other) for other in value.also],
    }
