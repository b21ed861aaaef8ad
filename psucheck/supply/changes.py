"""A description changed by paths, ``filter.reservoir`` = ``"50 uF 500 V"``, its file not read again."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from psucheck.parts import in_force
from psucheck.supply.canonical import Canonical, canonical_value
from psucheck.supply.change_path import PathError, Place, paths_of, resolve, written
from psucheck.supply.errors import DescriptionError, Fault, Problem, dotted
from psucheck.supply.merge import NONE, is_silicon
from psucheck.supply.model import Description
from psucheck.supply.names import Names
from psucheck.supply.reader import supply_from
from psucheck.supply.shape import Shape, of_description
from psucheck.supply.spelling import Spelling
from psucheck.supply.toml_positions import Path

_BY_KEY = ("filter", "rectifiers", "loads", "mains")
"""Sections in which a whole entry is laid over the old one key by key."""
_LEADS_TO_NODE = {"choke": "resistor", "resistor": "choke"}
_GOES_WITH: Mapping[tuple[str, str], tuple[str, ...]] = {
    ("Capacitor", "value"): ("sections",),
    ("Fuse", "rating"): ("standard", "speed", "breaking", "current", "voltage", "dc_voltage"),
}
"""What a key says anew of its table, and so takes out of it."""
_WORD = re.compile(r"[^\s,]+")


def changed(description: Description, changes: Mapping[str, Any], *, beside: bool = False) -> Description:
    """A description with changes made to its supply, the proposed one where it holds a ``[new]``.

    Parameters
    ----------
    description
        As it was read from a file, or as an earlier call gave it. It stays as it is.
    changes
        By path (:func:`paths` lists those that there are): a part in the trade's notation or the value of a
        key, as the file would hold it; None or ``"none"`` takes out what stands there. A whole node is laid
        over the old one, which keeps what the text does not name.
    beside
        Make the changes a proposal, as ``[new]`` does, with the supply as found beside it: readings then stay
        with the supply in which they were taken, and what is derived from them carries over. Else the supply
        as found is changed, as by editing its file, where there is no ``[new]``.

    Raises
    ------
    DescriptionError
        If a path leads nowhere or the supply so changed is unusable, with everything that is wrong.
    ValueError
        If the description was not read from a file.
    """
    spelling = _spelling(description)
    proposes = beside or spelling.proposed is not None
    made = (spelling.proposed or spelling.found).copy()
    library = description.found.library
    with in_force(library):
        steps, faults = _steps(changes, made)
        for step in sorted(steps, key=lambda step: len(step.place.path)):
            faults += _Laying(made, step, proposes=proposes).faults
        _drop_heaters(made, description, steps)
        if not faults:
            supply, faults = supply_from(made)
    if faults:
        told = _Telling(spelling, changes, steps)
        raise DescriptionError(told.problem(fault) for fault in dict.fromkeys(faults))
    if library is not None:
        supply = supply.with_library(library)
    supply = supply.with_limits_files(*description.found.limits_files)
    if proposes:
        after = Description(found=description.found, proposed=supply)
        return after.spelled(replace(spelling, proposed=made))
    return Description(found=supply).spelled(replace(spelling, found=made))


def paths(description: Description) -> list[str]:
    """The paths that lead to something in a description's supply, the proposed one where there is one.

    Short forms are opened up: where ``filter.reservoir`` is, ``filter.reservoir.capacitor.value`` is too.
    """
    spelling = _spelling(description)
    return paths_of(spelling.proposed or spelling.found)


def _spelling(description: Description) -> Spelling:
    if description.spelling is None:
        raise ValueError("only a description that was read from a file can be changed by paths")
    return description.spelling


@dataclass(frozen=True, slots=True)
class _Step:
    """One change: the path as given, where that leads, and the value as TOML would have it."""

    given: str
    place: Place
    value: Any


def _steps(changes: Mapping[str, Any], made: Canonical) -> tuple[list[_Step], list[Fault]]:
    steps: list[_Step] = []
    faults: list[Fault] = []
    for given, value in changes.items():
        try:
            place = resolve(given, made)
        except PathError as error:
            faults.append(replace(error.fault, path=(given,)))
            continue
        twin = next((step for step in steps if step.place.path == place.path), None)
        if twin is not None:
            said = f'"{twin.given}" and "{given}" are the same path: give one of them'
            faults.append(Fault((given,), said, at_key=True))
            continue
        steps.append(_Step(given, place, _as_toml(value, place.shape)))
    return steps, faults


def _as_toml(value: Any, shape: Shape) -> Any:
    """A value as TOML would have it, where a command line can give nothing but text."""
    if not isinstance(value, str):
        return value
    text = value.strip()
    if text.lower() == NONE and shape.table != "Transformer":
        return None
    if shape.whole and text.isdigit():
        return int(text)
    if shape.flag and text.lower() in ("true", "false"):
        return text.lower() == "true"
    if text[:1] in ("[", "{"):
        try:
            return tomllib.loads(f"value = {text}")["value"]
        except tomllib.TOMLDecodeError:
            return value
    return value


class _Laying:
    """One change being laid over a tree."""

    def __init__(self, made: Canonical, step: _Step, *, proposes: bool) -> None:
        self.made = made
        self.step = step
        self.proposes = proposes
        self.faults: list[Fault] = []
        path = step.place.path
        if step.value is None:
            self._take_out(path)
        elif len(path) == (1 if path[0] == "mains" else 2) and path[0] in _BY_KEY:
            self._lay_over(path)
        else:
            self._set(path, step.value, step.place.shape)

    def _take_out(self, path: Path) -> None:
        self._open(path[:-1])
        if self.made.at(path) is None:
            self._fault("nothing stands here that could be taken out")
        elif isinstance(path[-1], int):
            self._fault("an item of a list is not taken out: give the whole list")
        else:
            self.made.remove(path)
            if path[0] == "filter" and self.made.at(path[:-1]) == {} and len(path) == 3:
                self._fault("with this taken out nothing stands at this node: take out the node")

    def _lay_over(self, path: Path) -> None:
        """Lay a whole entry over the old one, key by key."""
        shape = self.step.place.shape
        new = shape.expanded(self.step.value)
        if not isinstance(new, dict):
            self._set(path, new, shape)
            return
        for key, value in new.items():
            meant = resolve(written((*path, key)), self.made)
            if isinstance(self.step.value, str):
                self._put(meant.path, value)  # the short form has been read
            else:
                self._set(meant.path, value, meant.shape)

    def _set(self, path: Path, raw: Any, shape: Shape) -> None:
        value, walked = canonical_value(raw, shape, path, path, Names.of(self.made.tree))
        self.faults += [replace(fault, path=(self.step.given,)) for fault in walked.faults]
        if not walked.faults:
            self._put(path, value)
            self.made.origin |= walked.origin
            self.made.bare |= walked.bare

    def _put(self, path: Path, value: Any) -> None:
        """Let a value stand at a path, and take out what it stands in the place of."""
        if self.proposes and path[0] == "filter" and path[2:] == ("was",):
            self._fault('"was" belongs to the supply as found; what the new one should hold is its target')
            return
        self._open(path[:-1])
        self.made.put(path, value)
        self.made.origin[path] = path
        if path[0] == "filter" and len(path) == 3 and path[2] in _LEADS_TO_NODE:
            self.made.remove((*path[:2], _LEADS_TO_NODE[str(path[2])]))
        table = _shape_at(path[:-1]).table
        for key in _GOES_WITH.get((table, str(path[-1])), ()):
            self.made.remove((*path[:-1], key))

    def _open(self, path: Path) -> None:
        """Turn every short form on the way to ``path`` into its table; a table that is not there is made."""
        for length in range(1, len(path) + 1):
            part = path[:length]
            held = self.made.at(part)
            opened = {} if held is None else _shape_at(part).expanded(held)
            if opened is held:
                continue
            table = self.made.at(part[:-1])
            table[part[-1]] = list(opened) if isinstance(opened, tuple) else opened
            self.made.origin.setdefault(part, part)

    def _fault(self, said: str) -> None:
        self.faults.append(Fault((self.step.given,), said, at_key=True))


def _shape_at(path: Path) -> Shape:
    shape = of_description()
    for part in path:
        shape = shape.under(part)
    return shape


def _drop_heaters(made: Canonical, description: Description, steps: Sequence[_Step]) -> None:
    """Silicon in the place of a valve leaves its heater winding unused, as under ``[new]``."""
    before = description.proposed or description.found
    paths = {step.place.path for step in steps}
    for path in paths:
        if path[0] != "rectifiers" or len(path) < 2:
            continue
        name = str(path[1])
        device = before.rectifiers[name].device
        was_silicon = is_silicon(device.model_dump(exclude_none=True))
        now = made.at(("rectifiers", name, "device"))
        if is_silicon(now) and not was_silicon and ("rectifiers", name, "heater") not in paths:
            made.remove(("rectifiers", name, "heater"))


class _Telling:
    """Faults of a changed supply, told of the change that brought them about."""

    def __init__(self, spelling: Spelling, changes: Mapping[str, Any], steps: Sequence[_Step]) -> None:
        self.spelling = spelling
        self.changes = changes
        self.steps = steps

    def problem(self, fault: Fault) -> Problem:
        given = self._given(fault)
        if given is not None:
            return self._of_change(given, fault)
        places = f"{written(fault.path)}: " if fault.path else ""
        said = f"with {self._all()} in force, {places}{fault.message}"
        return self.spelling.text.problem(replace(fault, message=said, column=None, at_key=True))

    def _given(self, fault: Fault) -> str | None:
        """The path, as given, of the change that a fault is about."""
        if len(fault.path) == 1 and fault.path[0] in self.changes:
            return str(fault.path[0])
        whole = (*fault.path, fault.missing) if fault.missing else fault.path
        within = [step for step in self.steps if whole[: len(step.place.path)] == step.place.path]
        return max(within, key=lambda step: len(step.place.path)).given if within else None

    def _all(self) -> str:
        said = ", ".join(f"{given} = {_toml(value)}" for given, value in self.changes.items())
        return said if len(said) <= 80 else f"these {len(self.changes)} changes"

    def _of_change(self, given: str, fault: Fault) -> Problem:
        value = self.changes[given]
        text = f"{given} = {_toml(value)}"
        start, end = len(given) + 3, len(text)
        if fault.at_key:
            start, end = 0, len(given)
        elif isinstance(value, str):
            start, end = _marked(value, text, start, end, fault)
        return Problem(
            self.spelling.text.name, 0, start + 1, given, text, end + 1,
            fault.message, fault.read, fault.allowed, fault.nearest,
        )  # fmt: skip


def _marked(value: str, text: str, start: int, end: int, fault: Fault) -> tuple[int, int]:
    """The stretch of ``text``, in which ``value`` stands from ``start`` on, that a fault means."""
    at = fault.column
    if at is None and fault.read and fault.read != value and value.count(fault.read) == 1:
        at = value.find(fault.read)
    word = _WORD.match(value, at) if at is not None else None
    if at is None or word is None or json.dumps(value, ensure_ascii=False) != f'"{value}"':
        return start, end
    if (at, word.end()) == (0, len(value)):
        return start, end
    return start + 1 + at, start + 1 + word.end()


def _toml(value: Any) -> str:
    """A value as a description would hold it."""
    if value is None:
        return f'"{NONE}"'
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{dotted((key,))} = {_toml(inner)}" for key, inner in value.items()) + " }"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(_toml(inner) for inner in value) + "]"
    return json.dumps(value, ensure_ascii=False, default=str)
