"""The library as a list to be read: every part with every value, where it comes from and how it is known."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from psucheck.parts.catalogue import nearest_names, plain
from psucheck.parts.kinds import KindWord
from psucheck.parts.own import OwnParts
from psucheck.parts.reader import read_file, split
from psucheck.parts.shelves import Library
from psucheck.parts.sourced import Sourced


@dataclass(frozen=True, slots=True)
class Value:
    """One value of a part.

    Attributes
    ----------
    key
        Its key in the data file; of an entry of a list with its number, ``push_pull 2``.
    quantities
        Keys that end with the name of their SI unit, and what they hold.
    source
        In full.
    status, confidence, note
        How it is known.
    also
        Other published values that were not chosen.
    """

    key: str
    quantities: Mapping[str, Any]
    source: str
    status: str
    confidence: str | None = None
    note: str | None = None
    also: tuple[Value, ...] = ()


@dataclass(frozen=True)
class Item:
    """A part, or a table of facts that hold for parts of a kind in general.

    Attributes
    ----------
    name, aliases
        What it is called.
    kind
        The word by which its kind is asked for.
    is_a
        What it is, in words.
    facts
        What is told without a source, since it says only how the rest is to be read.
    values
        In the order of the data file; values derived from them stand at the end.
    file
        The user's file that it comes from; None for one that ships with psucheck.
    hidden
        A part of the user's own bears its name and is taken in its place.
    """

    name: str
    kind: KindWord
    is_a: str
    aliases: tuple[str, ...] = ()
    note: str | None = None
    facts: Mapping[str, Any] = field(default_factory=dict)
    values: tuple[Value, ...] = ()
    file: str | None = None
    hidden: bool = False

    @property
    def names(self) -> tuple[str, ...]:
        """Name and aliases."""
        return (self.name, *self.aliases)


@dataclass(frozen=True, slots=True)
class _Table:
    """A table of parts: where it stands, and what its parts are."""

    file: str
    key: str
    kind: KindWord
    is_a: str
    own: str = ""
    """The same table in a file of the user's own."""


_TABLES = (
    _Table("rectifiers.toml", "valves", "rectifiers", "rectifier valve", "rectifiers"),
    _Table("diodes.toml", "diodes", "diodes", "silicon diode", "diodes"),
    _Table("valves.toml", "valves", "valves", "valve", "valves"),
    _Table("capacitors.toml", "families", "capacitors", "family of electrolytics"),
    _Table("resistors.toml", "families", "resistors", "kind of resistor"),
    _Table("chokes.toml", "chokes", "chokes", "choke", "chokes"),
    _Table("ntcs.toml", "ntcs", "limiters", "inrush limiter (NTC)", "ntcs"),
    _Table("fuses.toml", "series", "fuses", "maker's series of fuses, melting I2t"),
    _Table("fuses.toml", "dc_series", "fuses", "maker's series of fuses, direct voltage"),
    _Table("transformers.toml", "classes", "transformers", "usual transformer of a class of amplifier"),
    _Table("transformers.toml", "guide", "transformers", "maker's guide to rectifier circuits"),
    _Table("mains.toml", "systems", "mains", "mains system", "systems"),
)
_GENERAL: tuple[tuple[str, KindWord, str, tuple[str, ...]], ...] = (
    ("valves.toml", "valves", "any heater", ("heater_inrush",)),
    ("capacitors.toml", "capacitors", "any electrolytic", ("rules",)),
    ("resistors.toml", "resistors", "any resistor", ("loading",)),
    ("preferred.toml", "resistors", "preferred values", ("resistors",)),
    ("preferred.toml", "capacitors", "values of electrolytics", ("electrolytics",)),
    ("chokes.toml", "chokes", "any choke", ("saturation",)),
    (
        "fuses.toml",
        "fuses",
        "any fuse",
        (
            "preferred_ratings",
            "intermediate_ratings",
            "ul_ratings",
            "colour_bands",
            "iec_breaking",
            "ul_breaking",
            "cold_resistance",
            "loading",
            "pulses",
        ),
    ),
    ("transformers.toml", "transformers", "any transformer", ("wound",)),
    ("tolerances.toml", "tolerances", "any tolerance", ("spreads",)),
    ("series.toml", "resistors", "any series of preferred values", ("e",)),
)
"""Facts that hold for a kind as a whole: file, kind, what they are called, tables."""


def items(held: Library) -> list[Item]:
    """Every part of a library, the user's own first, then the library's by kind."""
    taken: set[tuple[str, str]] = set()
    own: list[Item] = []
    for one in held.own:
        found = [replace(item, hidden=(item.kind, plain(item.name)) in taken) for item in _own(one)]
        taken |= {(item.kind, plain(name)) for item in found for name in item.names}
        own += found
    shipped = [replace(item, hidden=(item.kind, plain(item.name)) in taken) for item in _shipped()]
    return [_with_derived(item, held) for item in (*own, *shipped)]


def find(all_items: Iterable[Item], asked: str) -> tuple[list[Item], list[Item], list[str]]:
    """What ``asked`` means: the parts of that name or alias, those it is a piece of, the nearest names.

    Of these three the first that is not empty holds; the others are then empty.
    """
    known, wanted = list(all_items), plain(asked)
    exact = [item for item in known if wanted in map(plain, item.names)]
    if exact:
        return exact, [], []
    if wanted:
        piece = [item for item in known if _has(item, asked)]
        if piece:
            return [], piece, []
    by_plain = {plain(name): name for item in known for name in item.names}
    return [], [], nearest_names(asked, by_plain)


def _has(item: Item, asked: str) -> bool:
    """Whether a search for ``asked`` finds the item: in its names, or as it stands in what is told of it."""
    told = (item.is_a, item.note or "", *(str(fact) for fact in item.facts.values()))
    return any(plain(asked) in plain(name) for name in item.names) or any(
        asked.strip().casefold() in text.casefold() for text in told
    )


# --- from the tables --------------------------------------------------------------------------------------


def _shipped() -> Iterator[Item]:
    names = dict.fromkeys([*(table.file for table in _TABLES), *(file for file, *_ in _GENERAL)])
    read = {name: split(read_file(name)) for name in names}
    for table in _TABLES:
        sources, rest = read[table.file]
        for name, body in rest[table.key].items():
            yield _item(name, body, table, sources)
        if table.key == "series":
            for gate in (*rest["iec_gates"], *rest["ul_gates"]):
                yield _gate(gate, sources)
    for file, kind, name, keys in _GENERAL:
        sources, rest = read[file]
        values = tuple(value for key in keys for value in _general(rest[key], key, sources))
        yield Item(name, kind, "what holds for all of a kind", values=values)


def _own(own: OwnParts) -> Iterator[Item]:
    sources, rest = split(own.tables)
    for table in _TABLES:
        for name, body in rest.get(table.own, {}).items() if table.own else ():
            yield replace(_item(name, body, table, sources), file=own.file)


def _item(name: str, body: Mapping[str, Any], table: _Table, sources: Mapping[str, str]) -> Item:
    facts, values = _taken_apart(body, sources)
    is_a = table.is_a
    if table.key == "valves" and "use" in facts:
        is_a = f"{facts.pop('use')} valve"
    return Item(
        name,
        table.kind,
        is_a,
        tuple(facts.pop("aliases", ())),
        facts.pop("note", None),
        facts,
        tuple(values),
    )


def _gate(body: Mapping[str, Any], sources: Mapping[str, str]) -> Item:
    facts, values = _taken_apart(body, sources)
    standard = f"IEC 60127-2 sheet {facts['sheet']}" if "sheet" in facts else f"UL 248-14 {facts['speed']}"
    name = f"{standard}, {facts.pop('from_amps'):g} to {facts.pop('to_amps'):g} A"
    return Item(name, "fuses", "gate of a standard", facts=facts, values=tuple(values))


def _general(body: Mapping[str, Any], key: str, sources: Mapping[str, str]) -> Iterator[Value]:
    """A table's values; those below a heading carry it: ``pulses withstand``."""
    if "status" in body:
        yield _value(key, body, sources)
        return
    for value in _taken_apart(body, sources)[1]:
        short = key in ("rules", "loading", "saturation", "wound", "spreads")
        yield value if short else replace(value, key=f"{key} {value.key}")


def _taken_apart(body: Mapping[str, Any], sources: Mapping[str, str]) -> tuple[dict[str, Any], list[Value]]:
    """What of a part stands without a source, and its values."""
    facts: dict[str, Any] = {}
    values = []
    for key, held in body.items():
        if isinstance(held, Mapping):
            values.append(_value(key, held, sources))
        elif isinstance(held, list) and held and isinstance(held[0], Mapping):
            values += [_value(f"{key} {number}", one, sources) for number, one in enumerate(held, 1)]
        else:
            facts[key] = held
    return facts, values


def _value(key: str, body: Mapping[str, Any], sources: Mapping[str, str]) -> Value:
    rest = dict(body)
    named = rest.pop("source")
    keys = named if isinstance(named, list) else [named]
    return Value(
        key=key,
        source="; ".join(sources[one] for one in keys),
        status=rest.pop("status"),
        confidence=rest.pop("confidence", None),
        note=rest.pop("note", None),
        also=tuple(_value(key, one, sources) for one in rest.pop("also", ())),
        quantities=rest,
    )


# --- what follows from them -------------------------------------------------------------------------------


def _with_derived(item: Item, held: Library) -> Item:
    """The item with the constants that its law is run with."""
    derived = _derived(item, held)
    return item if derived is None else replace(item, values=(*item.values, derived))


def _derived(item: Item, held: Library) -> Value | None:
    if item.hidden:
        return None
    if item.kind == "rectifiers":
        rectifier = held.rectifier_valve(item.name)
        if rectifier.drop is not None:
            return _of_law("perveance", "amps_per_volt_1_5", rectifier.perveance)
    if item.kind == "valves" and item.name in held.load_valves:
        mu = held.load_valve(item.name).mu
        if mu is not None:
            return _of_law("screen_to_grid_amplification", "ratio", mu)
    return None


def _of_law(key: str, unit: str, value: Sourced[float]) -> Value:
    return Value(key, {unit: value.value}, value.source, value.status, value.confidence, value.note)
