"""A description's text with some of its values changed, each change marked on its own line."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from psucheck.bench.settling import Settled
from psucheck.quantity import show
from psucheck.supply.toml_positions import Path, Positions, scan
from psucheck.supply.toml_syntax import load

_MARK = "read at the bench"
_NUMBER = r"[0-9]+(?:\.[0-9]+)?"
_OHM = r"(?:k|M)?\s?(?:ohms?|Ω|R)"
_OFF_LOAD = re.compile(
    rf"^\s*{_NUMBER}(?:\s*-\s*0?\s*-?\s*{_NUMBER})?\s*V(?:AC)?(?:\s+off[ -]load\s+at\s+{_NUMBER}\s*V)?[,\s]*"
)
_COPPER = re.compile(rf"{_NUMBER}(?:\s*{_OHM})?(?:\s*\+\s*{_NUMBER})?\s*{_OHM}")
_WAS = re.compile(rf"was\s+-?{_NUMBER}\s*V(?:\s*DC)?")


@dataclass
class Edited:
    """The new text, and what could not be written into it, a sentence each."""

    text: str
    left: list[str]


def edited(text: str, changes: Sequence[Settled]) -> Edited:
    """``text`` with ``changes`` written into it; comments, order and all other lines stay.

    A change is written where its value stands in a short form, or under its own key; else it is left out
    and said.
    """
    text = text.replace("\r\n", "\n")
    left = []
    for change in changes:
        done = _write(text, change)
        if done is None:
            left.append(
                f"{'.'.join(part for part in (change.table, change.name) if part)}: {change.what} "
                f"{_said(change)} could not be written into its form; put it in by hand."
            )
        else:
            text = done
    return Edited(text, left)


def _said(change: Settled) -> str:
    unit = {"idle": "A", "current": "A", "ohms": "ohm", "transformer ohms": "ohm", "choke ohms": "ohm"}.get(
        change.what, "V"
    )
    return " + ".join(show(value, unit, digits=4) for value in change.values)


def _write(text: str, change: Settled) -> str | None:
    positions, tree = scan(text), load(text).tree
    path: Path = (change.table, change.name) if change.name else (change.table,)
    held = _held(tree, path)
    if isinstance(held, str):
        new = _SHORT[change.what](held, change) if change.what in _SHORT else None
        return None if new is None else _put(text, positions, path, new, held)
    if isinstance(held, Mapping):
        return _under_key(text, positions, path, held, change)
    return None


def _held(tree: Mapping[str, Any], path: Path) -> Any:
    held: Any = tree
    for part in path:
        held = held.get(part) if isinstance(held, Mapping) else None
    return held


def _under_key(
    text: str, positions: Positions, path: Path, held: Mapping[str, Any], change: Settled
) -> str | None:
    """A change to a table: its key's text is replaced, or a line is added under the table's heading."""
    key = _KEYS.get(change.what)
    if key is None:
        return None
    name, words = key(change)
    known = held.get(name)
    if isinstance(known, str):
        return _put(text, positions, (*path, name), words, known)
    if known is not None or not _opens_with_heading(text, positions, path):
        return None
    heading = positions.places[path].value.end
    at = text.find("\n", heading)
    at = len(text) if at < 0 else at
    return f'{text[:at]}\n{name} = "{words}"  # {_MARK}{text[at:]}'


def _opens_with_heading(text: str, positions: Positions, path: Path) -> bool:
    """Whether a table stands under a heading of its own, not between braces."""
    place = positions.places.get(path)
    return (
        place is not None
        and text[place.value.start] == "["
        and text[place.value.start : place.value.end][-1] == "]"
    )


def _put(text: str, positions: Positions, path: Path, new: str, old: str) -> str | None:
    """Replace a string, and say so at the end of its line; None where it is more than a line long."""
    place = positions.places.get(path)
    if (
        place is None
        or "\n" in positions.source(place.value)
        or positions.source(place.value)[:1] not in "\"'"
    ):
        return None
    if new == old:
        return text
    end = text.find("\n", place.value.end)
    end = len(text) if end < 0 else end
    rest = text[place.value.end : end].rstrip()
    joint = "; " if "#" in rest else "  # "
    remark = f'{joint}{_MARK}; was "{old}"'
    if _MARK in rest:
        remark = ""
    return f'{text[: place.value.start]}"{new}"{rest}{remark}{text[end:]}'


# --- short forms ------------------------------------------------------------------------------------------


def _volts(value: float) -> str:
    return f"{float(f'{value:.4g}'):g}"


def _off_load(old: str, change: Settled) -> str | None:
    if not _OFF_LOAD.match(old) or change.at is None:
        return None
    volts = [_volts(value) for value in change.values]
    read = volts[0] if len(volts) == 1 else f"{volts[0]}-0-{volts[1]}"
    rest = _OFF_LOAD.sub("", old, count=1).strip()
    return f"{read} V off load at {change.at:g} V" + (f", {rest}" if rest else "")


def _ohms(old: str, change: Settled) -> str:
    new = " + ".join(_volts(value) for value in change.values) + " ohm"
    return _COPPER.sub(new, old, count=1) if _COPPER.search(old) else f"{old}, {new}"


def _choke_ohms(old: str, change: Settled) -> str | None:
    found = re.search(r"choke[^,]*", old)
    if found is None:
        return None
    new = f"{_volts(change.values[0])} ohm"
    part = found[0]
    part = _COPPER.sub(new, part, count=1) if _COPPER.search(part) else f"{part} {new}"
    return old[: found.start()] + part + old[found.end() :]


def _was(old: str, change: Settled) -> str:
    new = f"was {_volts(change.values[0])} V"
    return _WAS.sub(new, old, count=1) if _WAS.search(old) else f"{old}, {new}"


_SHORT: Mapping[str, Callable[[str, Settled], str | None]] = {
    "off load": _off_load,
    "ohms": _ohms,
    "choke ohms": _choke_ohms,
    "was": _was,
}
_KEYS: Mapping[str, Callable[[Settled], tuple[str, str]]] = {
    "was": lambda change: ("was", f"{_volts(change.values[0])} V"),
    "set": lambda change: ("set", f"{_volts(change.values[0])} V"),
    "wall": lambda change: ("wall", f"{_volts(change.values[0])} V"),
    "idle": lambda change: ("idle", f"{_volts(1e3 * change.values[0])} mA each at the cathode"),
    "current": lambda change: ("current", f"{_volts(1e3 * change.values[0])} mA"),
    "transformer ohms": lambda change: (
        "output_transformer", " + ".join(_volts(value) for value in change.values) + " ohm"
    ),
}  # fmt: skip
"""Fact -> the key it stands under in a table, and its words."""
