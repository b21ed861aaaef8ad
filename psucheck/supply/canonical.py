"""The tree of a description in the model's own words, with every fault of spelling noted on the way.

The walk goes once through the tree that :mod:`tomllib` read. It turns the trade's other words for keys and
values into the model's, takes out what cannot be meant, and keeps for every value the path under which the
file spells it. What comes out holds only known keys, strings, and the few integers and booleans allowed.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from psucheck.supply import synonyms
from psucheck.supply.errors import Fault, dotted, listed, nearest, quoted
from psucheck.supply.names import Names, name_fault
from psucheck.supply.shape import Shape, of_description
from psucheck.supply.toml_positions import Path

LONGEST_TEXT = 200
DEEPEST = 12

_GONE = object()


@dataclass(slots=True)
class Canonical:
    """A tree in the model's words, and where each of its values stands in the file.

    Attributes
    ----------
    tree
        The tree itself.
    origin
        For each path of the tree, the path under which the file spells it.
    faults
        What was wrong; the paths are those of the file.
    lost
        Paths of the tree that are empty because of a fault: nothing more is said of what is missing there.
    bare
        Paths of the tree at which a number stood without quotes; the tree holds its text.
    """

    tree: dict[str, Any] = field(default_factory=dict)
    origin: dict[Path, Path] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)
    lost: set[Path] = field(default_factory=set)
    bare: set[Path] = field(default_factory=set)

    def where(self, path: Path) -> Path:
        """The path in the file of the deepest part of ``path`` that stands there."""
        while path and path not in self.origin:
            path = path[:-1]
        return self.origin.get(path, ())

    def copy(self) -> Canonical:
        """Another of the same content; changing one leaves the other alone."""
        return Canonical(
            _copy(self.tree), dict(self.origin), list(self.faults), set(self.lost), set(self.bare)
        )

    def at(self, path: Path) -> Any:
        """The value at a path; None if nothing stands there."""
        tree: Any = self.tree
        for part in path:
            if isinstance(tree, dict):
                tree = tree.get(part)
            elif isinstance(tree, list) and isinstance(part, int) and part < len(tree):
                tree = tree[part]
            else:
                return None
        return tree

    def put(self, path: Path, value: Any) -> None:
        """Let ``value`` stand at a path, in the place of what stood there; its table must be there."""
        self._forget(path)
        self.at(path[:-1])[path[-1]] = value

    def remove(self, path: Path) -> None:
        """Take out what stands at a path, if anything does."""
        self._forget(path)
        held = self.at(path[:-1])
        if isinstance(held, dict):
            held.pop(path[-1], None)

    def _forget(self, path: Path) -> None:
        under = len(path)
        self.origin = {p: spelled for p, spelled in self.origin.items() if p[:under] != path}
        self.bare = {p for p in self.bare if p[:under] != path}


def canonical(raw: dict[str, Any], source: Callable[[Path], str]) -> Canonical:
    """Put a tree into the model's words.

    Parameters
    ----------
    raw
        The tree as :mod:`tomllib` read it.
    source
        Gives the text of the value at a path as it stands in the file.
    """
    walk = _Walk(Names.of(raw), source)
    walk.made.tree = walk.table(raw, of_description(), (), ())
    return walk.made


def canonical_value(raw: Any, shape: Shape, path: Path, spelled: Path, names: Names) -> tuple[Any, Canonical]:
    """Put a single value into the model's words.

    Parameters
    ----------
    raw
        The value as TOML would have it.
    shape
        What may stand there.
    path, spelled
        Its path in the model's words, and as the user spells it.
    names
        The names of the description that it belongs to.

    Returns
    -------
    tuple[Any, Canonical]
        The value, and what goes with it: where its parts are spelled, and all that is wrong with it.
    """
    walk = _Walk(names, lambda _: str(raw))
    value = walk.value(raw, shape, path, spelled)
    return (None if value is _GONE else value), walk.made


def _copy(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _copy(inner) for key, inner in value.items()}
    return [_copy(inner) for inner in value] if isinstance(value, list) else value


class _Walk:
    """One walk. In all its steps ``path`` is the model's path and ``spelled`` the file's."""

    def __init__(self, names: Names, source: Callable[[Path], str]) -> None:
        self.names = names
        self.source = source
        self.made = Canonical()

    def lose(self, path: Path, fault: Fault) -> Any:
        self.made.faults.append(fault)
        self.made.lost.add(path)
        return _GONE

    def value(self, raw: Any, shape: Shape, path: Path, spelled: Path) -> Any:
        self.made.origin[path] = spelled
        if len(path) > DEEPEST:
            return self.lose(path, Fault(spelled, "nothing in a description is nested as deep as this"))
        if isinstance(raw, dict):
            return self.table_or_fault(raw, shape, path, spelled)
        if isinstance(raw, list):
            return self.array(raw, shape, path, spelled)
        if isinstance(raw, str):
            return self.string(raw, shape, path, spelled)
        return self.unquoted(raw, shape, path, spelled)

    def table_or_fault(self, raw: dict[str, Any], shape: Shape, path: Path, spelled: Path) -> Any:
        if not shape.keys and shape.named is None:
            wanted = "true or false" if shape.flag else "a list" if shape.items else "a value in quotes"
            return self.lose(path, Fault(spelled, f"{wanted} is wanted here, not a table", at_key=True))
        if not raw and shape.table == "Node":
            return self.lose(path, Fault(spelled, "nothing stands at this node"))
        return self.table(raw, shape, path, spelled)

    def table(self, raw: dict[str, Any], shape: Shape, path: Path, spelled: Path) -> dict[str, Any]:
        made: dict[str, Any] = {}
        for spelled_key, value in raw.items():
            here = (*spelled, spelled_key)
            key = self.key(spelled_key, shape, path, here)
            if key is None:
                continue
            if key in made or (*path, key) in self.made.origin:
                first = self.made.origin[(*path, key)][-1]
                self.made.faults.append(
                    Fault(
                        here,
                        f"{quoted(first)} and {quoted(spelled_key)} are the same thing: give one of them",
                        at_key=True,
                    )
                )
                continue
            kept = self.value(value, shape.under(key), (*path, key), here)
            if kept is not _GONE:
                made[key] = kept
        return made

    def key(self, spelled: str, shape: Shape, path: Path, here: Path) -> str | None:
        if shape.named is not None:
            fault = name_fault(spelled, path, here)
            if fault:
                self.made.faults.append(fault)
                # Kept, so that what refers to it is not found at fault as well.
                return spelled.lower() if spelled.isprintable() else None
            return (
                self.names.place(spelled)
                if path[-1:] and path[-1] in ("fuses", "limiters", "series", "elevation")
                else spelled
            )
        meant = spelled if spelled in shape.keys else synonyms.key(shape.table, spelled)
        if meant in shape.keys:
            return meant
        self.unknown(spelled, shape, path, here)
        return None

    def unknown(self, spelled: str, shape: Shape, path: Path, here: Path) -> None:
        refused = synonyms.NOT_MODELLED.get(spelled.lower().replace(" ", "_").replace("-", "_"))
        if refused:
            self.made.faults.append(Fault(here, refused, spelled, at_key=True))
            return
        table = f"[{dotted(here[:-1])}]" if len(here) > 1 else "a description"
        twins = synonyms.KEYS.get(shape.table, {})
        near = nearest(spelled, [*shape.keys, *twins])
        near = near if near in shape.keys else twins.get(near, "")
        if near:
            self.made.lost.add((*path, near))
        said = f"{quoted(spelled)} is not a key of {table}"
        self.made.faults.append(Fault(here, said, spelled, ", ".join(shape.keys), near, at_key=True))

    def array(self, raw: list[Any], shape: Shape, path: Path, spelled: Path) -> Any:
        if shape.items is None:
            return self.lose(path, Fault(spelled, f"{_wanted(shape)} is wanted here, not a list"))
        if not raw:
            return self.lose(path, Fault(spelled, "nothing stands in this list"))
        made = [self.value(item, shape.items, (*path, i), (*spelled, i)) for i, item in enumerate(raw)]
        if any(item is _GONE for item in made):
            self.made.lost.add(path)
            return _GONE
        return made

    def string(self, raw: str, shape: Shape, path: Path, spelled: Path) -> Any:
        fault = _text_fault(raw, spelled)
        if fault:
            return self.lose(path, fault)
        if shape.whole or shape.flag:
            example = "a whole number" if shape.whole else "true or false"
            fault = Fault(spelled, f"{dotted(spelled[-1:])} is {example}, without quotes", raw)
            return self.lose(path, fault)
        if shape.words:
            meant = synonyms.word(raw, shape.words)
            if meant is None:
                doubt = synonyms.AMBIGUOUS.get(raw.casefold())
                if doubt:
                    return self.lose(path, Fault(spelled, doubt, raw))
                said = f"{quoted(raw)} is not known here"
                near = nearest(raw, [*shape.words, *synonyms.WORDS])
                near = synonyms.word(near, shape.words) or ""
                return self.lose(path, Fault(spelled, said, raw, listed(shape.words), near))
            return meant
        return self.names.reference(raw, path)

    def unquoted(self, raw: Any, shape: Shape, path: Path, spelled: Path) -> Any:
        """A value without quotes: an integer or boolean where one belongs, else a fault."""
        if isinstance(raw, bool):
            if shape.flag:
                return raw
        elif isinstance(raw, int) and shape.whole:
            return raw
        source = self.source(spelled)
        if isinstance(raw, int | float) and not isinstance(raw, bool) and not (shape.whole or shape.flag):
            # The reader of this key says which unit is missing, so the number goes on to it as text.
            self.made.bare.add(path)
            return source
        said = f"{_wanted(shape)} is wanted here, not {source[:40]}"
        return self.lose(path, Fault(spelled, said, source))


def _wanted(shape: Shape) -> str:
    if shape.whole:
        return "a whole number"
    if shape.flag:
        return "true or false"
    if shape.items:
        return "a list" if not shape.text else "text in quotes"
    return "a quantity in quotes" if shape.quantity else "text in quotes"


def _text_fault(raw: str, spelled: Path) -> Fault | None:
    """A fault of any text: too long, or with signs that cannot be seen."""
    unseen = next((i for i, sign in enumerate(raw) if not sign.isprintable()), None)
    if unseen is not None:
        what = "a line end" if raw[unseen] in "\r\n" else f"a control character (U+{ord(raw[unseen]):04X})"
        return Fault(spelled, f"{what} stands in the text", column=unseen)
    if len(raw) > LONGEST_TEXT:
        return Fault(spelled, f"{len(raw)} characters are too many: {LONGEST_TEXT} at most")
    if not raw.strip():
        return Fault(spelled, "nothing stands between the quotes")
    return None
