"""Parts of the user's own, in the same form as the library's data files and held to the same rules.

One file may hold several kinds, each under its table: ``[rectifiers.NAME]``, ``[diodes.NAME]``,
``[valves.NAME]``, ``[ntcs.NAME]``, ``[chokes.NAME]``, ``[systems.NAME]``, with one ``[sources]`` for all.
"""

from __future__ import annotations

import types
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any, Union, get_args, get_origin

from pydantic import BaseModel, Field, ValidationError
from pydantic_core import ErrorDetails

from psucheck import quantity
from psucheck.parts.catalogue import Catalogue, plain
from psucheck.parts.mains import MainsSystem
from psucheck.parts.reader import source_faults, split
from psucheck.parts.rectifiers import Diode, RectifierValve
from psucheck.parts.sourced import ABOUT, Frozen, Part, Sourced, by_name
from psucheck.parts.units import unit_of
from psucheck.parts.valves import LoadValve
from psucheck.parts.wound import ChokePart, InrushLimiter

if TYPE_CHECKING:
    from psucheck.parts.shelves import Library

Place = tuple[str | int, ...]
"""Keys by name, items of a list by their index, as the file spells them."""

LONGEST_NAME = 40

_TEXT = {
    "model_type": "a table is wanted here",
    "dict_type": "a table is wanted here",
    "tuple_type": "a list is wanted here",
    "string_type": "text in quotes is wanted here",
    "string_too_short": "at least one source is wanted here",
    "float_type": "a number without quotes is wanted here",
    "bool_type": "true or false is wanted here",
    "finite_number": "no number that can be reckoned with",
    "greater_than": "more than 0 is wanted here",
    "greater_than_equal": "0 or more is wanted here",
}


class OwnFile(Frozen):
    """The tables of a parts file of the user's own; each may be left out."""

    rectifiers: Annotated[dict[str, RectifierValve], by_name] = Field(default_factory=dict)
    diodes: Annotated[dict[str, Diode], by_name] = Field(default_factory=dict)
    valves: Annotated[dict[str, LoadValve], by_name] = Field(default_factory=dict)
    ntcs: Annotated[dict[str, InrushLimiter], by_name] = Field(default_factory=dict)
    chokes: Annotated[dict[str, ChokePart], by_name] = Field(default_factory=dict)
    systems: Annotated[dict[str, MainsSystem], by_name] = Field(default_factory=dict)

    def all(self) -> Iterator[tuple[str, Part]]:
        """Every part with the table that it stands in."""
        for table in OwnFile.model_fields:
            for part in getattr(self, table).values():
                yield table, part


@dataclass(frozen=True)
class OwnParts:
    """One file of own parts, sound.

    Attributes
    ----------
    file
        Its name as outputs show it.
    parts
        What it holds.
    tables
        The same as it stands in the file, ``[sources]`` included.
    """

    file: str
    parts: OwnFile
    tables: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class DataFault:
    """One thing that is wrong with a parts file.

    Attributes
    ----------
    place
        Where it stands.
    message
        What is wrong.
    allowed
        What may stand there.
    missing
        Name of a key that the table at ``place`` lacks.
    at_key
        The key itself is wrong, not its value.
    """

    place: Place
    message: str
    allowed: tuple[str, ...] = ()
    missing: str = ""
    at_key: bool = False


class BadOwnParts(ValueError):
    """A parts file of the user's own cannot be used; ``faults`` has everything that is wrong with it."""

    def __init__(self, file: str, faults: list[DataFault]) -> None:
        self.file = file
        self.faults = faults
        super().__init__(f"{file}: {len(faults)} faults")


def read_own(tables: Mapping[str, Any], file: str, behind: Library) -> OwnParts:
    """Make own parts from a file's tables.

    Every value's source then says that it was entered in ``file``.

    Parameters
    ----------
    tables
        The file.
    file
        Its name, as outputs are to show it.
    behind
        The library that is asked after this file. A name that is a valve there cannot be silicon here.

    Raises
    ------
    BadOwnParts
        With all faults.
    """
    sources, rest = split(tables)
    faults = [
        DataFault(place, f'the source "{place[1]}": {said}') for place, said in source_faults(sources, rest)
    ]
    if "sources" in tables and not isinstance(tables["sources"], Mapping):
        faults.append(DataFault(("sources",), "a table is wanted here"))
    faults += _unbelievable(rest, ())
    entered = {key: f"{title}, entered in {file}" for key, title in sources.items()}
    try:
        parts = OwnFile.model_validate(rest, context={"sources": entered})
    except ValidationError as error:
        raise BadOwnParts(file, [*faults, *(_fault(rest, one) for one in error.errors())]) from None
    faults += [*_names(parts, behind), *_laws(parts)]
    if not rest:
        faults.append(DataFault((), "no part stands in this file", tuple(OwnFile.model_fields)))
    if faults:
        raise BadOwnParts(file, faults)
    return OwnParts(file, parts, tables)


# --- what the models do not look at -----------------------------------------------------------------------


def _unbelievable(node: Any, place: Place) -> Iterator[DataFault]:
    """Quantities of a size that nobody believes: microfarads written as farads."""
    if isinstance(node, Mapping):
        for key, item in node.items():
            if key not in ("source", "status", "confidence", "note"):
                yield from _unbelievable(item, (*place, key))
    elif isinstance(node, list):
        for index, item in enumerate(node):
            yield from _unbelievable(item, (*place, index))
    elif isinstance(node, int | float) and not isinstance(node, bool):
        key = next((str(part) for part in reversed(place) if isinstance(part, str)), "")
        unit = unit_of(key)
        known = quantity.UNITS.get(unit)
        if known is not None and node != 0 and not known.low <= abs(node) <= known.high:
            said = (
                f"{node:g} {unit} is not believed ({known.low:g} to {known.high:g} {unit}): "
                f"quantities stand here in {unit}, without a prefix"
            )
            yield DataFault(place, said)


def _names(parts: OwnFile, behind: Library) -> Iterator[DataFault]:
    """Names that cannot be asked for, that stand twice, or that are another kind of part behind."""
    taken: dict[tuple[str, str], str] = {}
    rectifying: dict[str, tuple[Catalogue[Any], str]] = {
        "rectifiers": (behind.diodes, "diode"),
        "diodes": (behind.rectifier_valves, "valve"),
    }
    for table, part in parts.all():
        place: Place = (table, part.name)
        shelf = "rectifying" if table in rectifying else table
        for name in (part.name, *part.aliases):
            at = place if name == part.name else (*place, "aliases")
            if not plain(name) or not name.isprintable() or name != name.strip():
                yield DataFault(at, "a part's name is one line of visible signs", at_key=True)
            elif len(name) > LONGEST_NAME:
                yield DataFault(at, f"a part's name has at most {LONGEST_NAME} characters", at_key=True)
            elif (shelf, plain(name)) in taken:
                said = f'the name "{name}" stands twice: {taken[shelf, plain(name)]} has it too'
                yield DataFault(at, said, at_key=True)
            elif table in rectifying and name in rectifying[table][0]:
                said = f'"{name}" is a {rectifying[table][1]} in the library: this one needs another name'
                yield DataFault(at, said, at_key=True)
            taken.setdefault((shelf, plain(name)), part.name)


def _laws(parts: OwnFile) -> Iterator[DataFault]:
    """Pairs of operating points through which no law passes."""
    for name, valve in parts.valves.items():
        try:
            valve.mu  # noqa: B018 - worked out here, so that no check has to find it wanting
        except ValueError as error:
            yield DataFault(("valves", name, "law_points"), str(error))


# --- what the models say ----------------------------------------------------------------------------------


def _fault(tables: Mapping[str, Any], error: ErrorDetails) -> DataFault:
    """A model's complaint in the words of the file."""
    place, rest = _spelt(tables, error["loc"])
    kind, context = error["type"], error.get("ctx", {})
    if kind == "missing" and rest:
        lacks = f'{_named(place)} lacks "{rest[0]}"'
        return DataFault(place, lacks, missing=str(rest[0]))
    if kind == "extra_forbidden":
        said = f'"{place[-1]}" is not a key of {_named(place[:-1])}'
        return DataFault(place, said, _keys(OwnFile, place[:-1]), at_key=True)
    if kind == "literal_error":
        expected = str(context.get("expected", "")).replace("'", '"')
        return DataFault(place, f"{error['input']!r} is not known here", (expected,))
    cause = context.get("error")
    return DataFault(place, str(cause) if cause is not None else _TEXT.get(kind, error["msg"]))


def _spelt(tables: Mapping[str, Any], loc: Place) -> tuple[Place, Place]:
    """The place in the file that a model's error means, and what of ``loc`` does not stand there."""
    node: Any = tables
    place: Place = ()
    for index, part in enumerate(loc):
        in_list = isinstance(node, list) and isinstance(part, int) and part < len(node)
        if in_list or (isinstance(node, Mapping) and part in node):
            node, place = node[part], (*place, part)
        elif part == "value" and isinstance(node, Mapping):
            # The model's word for the quantities, which the file has beside the source.
            quantities = [key for key in node if key not in ABOUT]
            if index == len(loc) - 1 and len(quantities) == 1:
                place = (*place, quantities[0])
                node = node[quantities[0]]
        else:
            return place, loc[index:]
    return place, ()


def _named(place: Place) -> str:
    """A table as a message names it: ``[diodes.D1]``, ``drop``."""
    if not place:
        return "a parts file"
    keys = [str(part) for part in place if isinstance(part, str)]
    return f"[{'.'.join(keys)}]" if len(place) <= 2 else f'"{keys[-1]}"'


def _keys(annotation: Any, place: Place) -> tuple[str, ...]:
    """The keys that may stand in the table at ``place`` below something of this type."""
    origin, arguments = get_origin(annotation), get_args(annotation)
    if origin is Annotated:
        return _keys(arguments[0], place)
    if origin in (Union, types.UnionType):
        return _keys(next(one for one in arguments if one is not types.NoneType), place)
    if origin in (dict, tuple):
        inner = arguments[1] if origin is dict else arguments[0]
        return _keys(inner, place[1:]) if place else ()
    if not (isinstance(annotation, type) and issubclass(annotation, BaseModel)):
        return ()
    fields = {key: info.annotation for key, info in annotation.model_fields.items() if key != "name"}
    if issubclass(annotation, Sourced):
        value = fields.pop("value")
        inside = _keys(value, ())
        if place and place[0] in inside:
            return _keys(value, place)
        fields = dict.fromkeys(inside) | fields
    if not place:
        return ("sources", *fields) if annotation is OwnFile else tuple(fields)
    return _keys(fields.get(str(place[0])), place[1:])
