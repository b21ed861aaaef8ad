"""Paths of a description as a person writes them: ``filter.reservoir.capacitor.value``."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from psucheck.supply import synonyms
from psucheck.supply.canonical import Canonical
from psucheck.supply.errors import Fault, listed, nearest, quoted
from psucheck.supply.names import Names, name_fault
from psucheck.supply.shape import Shape, of_description
from psucheck.supply.toml_positions import Path

_PART = re.compile(r"""\s*(?:"([^"]*)"|'([^']*)'|\[\s*(\d+)\s*\]|([^."'\[\]]+))\s*""")
_DRAWN = ("windings", "rectifiers", "filter", "loads")
"""Sections whose entries are drawn: a path alters or takes out what stands there and brings nothing new."""
_PLACES = ("fuses", "limiters", "series", "elevation")
_SUPPLY = of_description()


@dataclass(frozen=True, slots=True)
class Place:
    """Where a change is to be made: the path in the model's words, and what may stand there."""

    path: Path
    shape: Shape


class PathError(Exception):
    """A path that leads nowhere, with the fault that says so."""

    def __init__(self, fault: Fault) -> None:
        super().__init__(fault.message)
        self.fault = fault


def split(given: str) -> Path:
    """The parts of a path; a part with a dot in it stands in quotes, an item of a list in brackets.

    Raises
    ------
    PathError
        If it is no path.
    """
    parts: list[str | int] = []
    at = 0
    while True:
        match = _PART.match(given, at)
        if not match or not match[0].strip():
            said = "this is no path: SECTION.NAME.KEY, as in filter.reservoir.capacitor"
            raise PathError(Fault((given,), said, given, at_key=True))
        parts.append(int(match[3]) if match[3] else (match[1] or match[2] or match[4] or "").strip())
        at = match.end()
        if at == len(given):
            return tuple(parts)
        at += given[at] == "."


def resolve(given: str, made: Canonical) -> Place:
    """Where a path leads in a supply.

    Parameters
    ----------
    given
        The path; both of the trade's languages are read, and names in upper or lower case.
    made
        The supply's tree.

    Raises
    ------
    PathError
        If it leads nowhere, with the nearest path.
    """
    spelled = split(given)
    if spelled[0] == "new":
        said = "paths are those of the supply itself, the proposed one where there is one: leave out new"
        raise PathError(Fault(spelled, said, given, nearest=written(spelled[1:]), at_key=True))
    names = Names.of(made.tree)
    path: Path = ()
    shape = _SUPPLY
    held: Any = made.tree
    for index, part in enumerate(spelled):
        held = shape.expanded(held)
        known = _meant(part, path, shape, held, names)
        if known is None:
            raise PathError(_leads_nowhere(spelled, index, path, shape, held, made))
        if isinstance(held, dict) and shape.named is not None and known not in held:
            fault = name_fault(str(known), path, spelled)
            if fault is not None:
                raise PathError(fault)
        path, shape = (*path, known), shape.under(known)
        held = _under(held, known)
    if path == ("parts",):
        said = "another parts file is named in the description itself, not by a path"
        raise PathError(Fault(spelled, said, at_key=True))
    if len(path) == 1 and shape.named is not None:
        said = f"{written(path)} holds several entries: a path names one of them"
        entries = listed(written((*path, name)) for name in made.tree.get(str(path[0]), {}))
        raise PathError(Fault(spelled, said, given, entries, at_key=True))
    return Place(path, shape)


def written(path: Path) -> str:
    """A path as :func:`split` reads it; blanks in a name need no quotes here."""
    said = ""
    for part in path:
        if isinstance(part, int):
            said += f"[{part}]"
        else:
            said += f'."{part}"' if re.search(r"[.\[\]']", part) else f".{part}"
    return said.removeprefix(".")


def paths_of(made: Canonical) -> list[str]:
    """The paths that lead to something in a supply, short forms opened up, in the file's order."""
    return [written(path) for path in _walk(made.tree, (), _SUPPLY) if path[0] not in ("new", "parts")]


def _walk(held: Any, path: Path, shape: Shape) -> Iterator[Path]:
    held = shape.expanded(held)
    inner = held.items() if isinstance(held, dict) else enumerate(held) if isinstance(held, list) else ()
    for part, value in inner:
        if not (path == () and shape.under(part).named is not None):
            yield (*path, part)
        yield from _walk(value, (*path, part), shape.under(part))


def _under(held: Any, part: str | int) -> Any:
    if isinstance(held, dict):
        return held.get(str(part))
    return held[part] if isinstance(held, list) and isinstance(part, int) and part < len(held) else None


def _meant(part: str | int, path: Path, shape: Shape, held: Any, names: Names) -> str | int | None:
    """The model's word for a part of a path; None if nothing may stand there."""
    if shape.items is not None and (isinstance(part, int) or part.isdigit()):
        index = int(part)
        return index if isinstance(held, list) and index < len(held) else None
    if not isinstance(part, str):
        return None
    if shape.named is not None:
        return _entry(part, path, held if isinstance(held, dict) else {}, names)
    plain = part.lower().replace(" ", "_").replace("-", "_")
    for word in (part, plain):
        meant = word if word in shape.keys else synonyms.key(shape.table, word)
        if meant in shape.keys:
            return meant
    return None


def _entry(part: str, path: Path, held: dict[str, Any], names: Names) -> str | None:
    """The name of an entry, one that stands there or one that may be added."""
    meant = names.place(part) if path[-1] in _PLACES else synonyms.reference(part, list(held))
    by_fold = {name.casefold(): name for name in held}
    known = by_fold.get(part.casefold()) or by_fold.get(meant.casefold())
    if known is not None:
        return known
    if path[-1] in _PLACES:
        return meant  # whether there is such a place is looked at with all that refers to something
    if path[-1] in _DRAWN or nearest(meant, held):
        return None  # drawn things are not added by a path, and what is nearly there is a slip of the pen
    return part


def _leads_nowhere(spelled: Path, index: int, path: Path, shape: Shape, held: Any, made: Canonical) -> Fault:
    part, rest = spelled[index], spelled[index + 1 :]
    given = written(spelled)
    if isinstance(held, dict) and shape.named is not None:
        there: list[str] = list(held)
    else:
        there = list(shape.keys)
    if not there and (shape.items is None or not isinstance(held, list)):
        said = f"{written(path)} is a value: nothing lies below it"
        return Fault(spelled, said, given, at_key=True)
    if not there:
        said = f"{written(path)} has {len(held)} items, counted from 0"
        return Fault(spelled, said, given, at_key=True)
    twins = synonyms.KEYS.get(shape.table, {})
    near = nearest(str(part), [*there, *twins])
    near = twins.get(near, near) if near not in there else near
    meant = written((*path, near, *rest)) if near else "" if path else _ending_in(spelled, made)
    known = paths_of(made)
    if meant and meant not in known and written((*path, near)) not in known:
        meant = written((*path, near))
    where = f"[{written(path)}]" if path else "the description"
    allowed = ", ".join(there)
    return Fault(spelled, f"{quoted(part)} is nothing in {where}", given, allowed, meant, at_key=True)


def _ending_in(spelled: Path, made: Canonical) -> str:
    """The one path of the supply that ends as ``spelled`` does; its section may have been left out."""
    known = paths_of(made)
    ending = [path for path in known if path.endswith("." + written(spelled))]
    return ending[0] if len(ending) == 1 else nearest(written(spelled), known)
