"""A supply as far as it can be read, so that the rest of it can be looked at in spite of a fault."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Any

from pydantic import ValidationError

from psucheck.supply.model import Supply
from psucheck.supply.shape import of_description
from psucheck.supply.toml_positions import Path

UNREAD = "?"
"""Stands for a name that could not be read."""

#: What stands in a draft for the keys that a table needs and that could not be read.
_OF_SECTION: dict[str, Any] = {
    "title": UNREAD,
    "mains": {"voltage": 1.0, "frequency": 1.0},
    "transformer": {"primary": {"voltage": 1.0}},
    "windings": {},
    "rectifiers": {},
    "filter": {},
}
_OF_ENTRY: dict[str, dict[str, Any]] = {
    "windings": {"volts": [1.0]},
    "rectifiers": {"circuit": "bridge", "winding": UNREAD, "device": {"type": UNREAD}},
    "filter": {},
    "loads": {},
    "fuses": {"speed": "T", "current": 1.0},
    "switches": {"place": "mains"},
    "limiters": {"cold": 1.0, "hot": 1.0, "current": 1.0},
    "series": {"value": 1.0},
    "elevation": {"volts": 1.0},
}

_ANOTHER = {"zener", "node", "divider"}
"""Keys of tables that need something else than what stands in: a zener in series, a divider."""


@dataclass(slots=True)
class Draft:
    """A supply as far as it could be read.

    Attributes
    ----------
    supply
        The supply. A value that could not be read is left out, or something stands in for it.
    where
        Gives the path in the file of a path in the model's words.
    faulty
        Paths of tables with something wrong in them: ``("filter", "reservoir")``.
    absent
        Those of them of which nothing but the name could be read.
    feeds_known
        Whether what feeds each node, and from which side of the chassis, could be read.
    """

    supply: Supply
    where: Callable[[Path], Path]
    faulty: set[Path] = field(default_factory=set)
    absent: set[Path] = field(default_factory=set)
    feeds_known: bool = True

    def sound(self, *path: str) -> bool:
        """Whether a table was read without fault."""
        return not any(path[:length] in self.faulty for length in range(1, len(path) + 1))

    def readable(self, *path: str) -> bool:
        """Whether a table is there, be it in part."""
        return not any(path[:length] in self.absent for length in range(1, len(path) + 1))


def draft(
    tree: dict[str, Any], bad: Iterable[Path], lost: Iterable[Path], where: Callable[[Path], Path]
) -> Draft:
    """Read what can be read of a tree.

    Parameters
    ----------
    tree
        The tree in the model's words.
    bad
        Paths at which the model found something wrong.
    lost
        Paths that are empty because of a fault found before.
    where
        Gives the path in the file of a path of the tree.
    """
    bad, lost = set(bad), {path for path in lost if path and path[0] != "new"}
    faulty = {table_of(path) for path in bad | lost}
    absent = {path for path in bad | lost if path == table_of(path)}
    feeds = {path[::2] for path in bad | lost if len(path) == 3}
    known = not feeds & {("filter", "from"), ("rectifiers", "polarity")}
    known = known and not any(path[0] in ("filter", "rectifiers") for path in absent)
    if not bad and not absent:
        # Nothing stands in for anything in a supply that the model accepts.
        return Draft(Supply.model_validate(tree), where, faulty, absent, known)
    try:
        supply = Supply.model_validate(_with_stand_ins(_pruned(tree, bad), absent))
    except ValidationError as error:
        # Some tables make no sense without what was left out: an idle point without its current.
        left = (tuple(part for part in each["loc"]) for each in error.errors())
        absent |= {table_of(path) for path in left}
        supply = Supply.model_validate(_with_stand_ins(_pruned(tree, bad), absent))
    return Draft(supply, where, faulty, absent, known)


def table_of(path: Path) -> Path:
    """The table of the description that a path stands in: a section, or what has a name in it."""
    named = len(path) > 1 and of_description().under(path[0]).named is not None
    return path[: 2 if named else 1]


def _pruned(tree: dict[str, Any], bad: Iterable[Path]) -> dict[str, Any]:
    """The tree without the values at fault, each with the whole of its key in its table."""
    made = {key: dict(value) if isinstance(value, dict) else value for key, value in tree.items()}
    for path in bad:
        table = table_of(path)
        if len(path) == len(table):
            continue
        held: Any = made
        for part in table[:-1]:
            held = held[part]
        entry = held.get(table[-1])
        if isinstance(entry, dict):
            held[table[-1]] = {key: value for key, value in entry.items() if key != path[len(table)]}
    return made


def _with_stand_ins(tree: dict[str, Any], absent: set[Path]) -> dict[str, Any]:
    """The tree with what its tables need; of those in ``absent`` nothing else is left."""
    made: dict[str, Any] = {key: value for key, value in tree.items() if (key,) not in absent}
    for section, needed in _OF_SECTION.items():
        held = made.get(section, needed)
        made[section] = {**needed, **held} if isinstance(held, dict) else held
    for path in absent:
        if len(path) == 2 and path[0] in _OF_ENTRY:
            made.setdefault(str(path[0]), {})[path[1]] = _OF_ENTRY[str(path[0])]
    for section, needed in _OF_ENTRY.items():
        for name, held in made.get(section, {}).items():
            if isinstance(held, dict) and not held.keys() & _ANOTHER:
                made[section][name] = {**needed, **held}
    return made
