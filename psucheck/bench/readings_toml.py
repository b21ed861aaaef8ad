"""Readings in TOML: a table a step, in it a test point a line."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from psucheck.bench.names import STEPS
from psucheck.bench.points import Point
from psucheck.bench.reading import Checker, Place, Reading
from psucheck.supply.errors import DescriptionError, Problem, dotted, nearest, quoted
from psucheck.supply.toml_positions import Path, Positions, scan
from psucheck.supply.toml_syntax import load

_TABLE_KEYS = ("value", "wall")


def parse_toml(text: str, name: str, points: Sequence[Point]) -> tuple[Reading, ...]:
    """Read the TOML form: a table a step, in it a test point a line.

    ::

        wall = "243 V"                   # where nothing else is said
        ["a tenth"]
        wall = "241 V"
        "reservoir DC" = "41.2 V"
        "ht a" = { value = "29.9 V", wall = "242 V" }

    Raises
    ------
    DescriptionError
        With everything that is wrong, in the order of the file.
    """
    text = text.replace("\r\n", "\n")
    if not text.strip():
        raise DescriptionError([Problem(name, 0, 1, "", "", 1, "the file is empty")])
    loaded = load(text)
    lines = text.split("\n")
    checker = Checker(name, points)
    for fault in loaded.faults:
        said = fault.message.replace("of a description", "of a file of readings")
        line = lines[fault.line - 1] if fault.line else ""
        checker.fault(Place(fault.line, fault.column, fault.end_column, fault.key, line), said)
    reader = _TomlReader(checker, loaded.tree, scan(loaded.text) if loaded.tree else Positions(text), lines)
    readings = tuple(reader.readings())
    if checker.problems:
        raise DescriptionError(checker.problems)
    return readings


class _TomlReader:
    def __init__(
        self, checker: Checker, tree: Mapping[str, Any], positions: Positions, lines: Sequence[str]
    ) -> None:
        self.checker = checker
        self.tree = tree
        self.positions = positions
        self.lines = lines

    def _at(self, path: Path, *, key: bool = False) -> Place:
        deepest = self.positions.deepest(path)
        if not deepest:
            return Place(0, 1, 1, dotted(path), "")
        place = self.positions.places[deepest]
        span = place.key if key else place.value
        line, column = self.positions.line_column(span.start)
        text = self.lines[line - 1]
        return Place(line, column, min(column + span.end - span.start, len(text) + 1), dotted(path), text)

    def readings(self) -> Iterator[Reading]:
        wall = self._wall((), self.tree)
        tables = {key: value for key, value in self.tree.items() if key != "wall"}
        for name, table in tables.items():
            if not isinstance(table, Mapping):
                self.checker.fault(
                    self._at((name,), key=True), f'{quoted(name)} is no step: a step is a table, ["a tenth"]',
                    name, f"wall, {', '.join(STEPS)}", nearest(name, ("wall", *STEPS)),
                )  # fmt: skip
                continue
            step = self.checker.step(self._at((name,), key=True), name)
            if step is not None:
                yield from self._step(name, *step, table, self._wall((name,), table) or wall)

    def _wall(self, path: Path, table: Mapping[str, Any]) -> float | None:
        if "wall" not in table:
            return None
        text = table["wall"]
        at = self._at((*path, "wall"))
        if isinstance(text, str):
            return self.checker.wall(at, text)
        self.checker.fault(at, f'wall: a voltage in quotes is wanted, "243 V", not {text!r}')
        return None

    def _step(
        self, name: str, step: str, plug_in: bool, table: Mapping[str, Any], wall: float | None
    ) -> Iterator[Reading]:
        for key, raw in table.items():
            if key == "wall":
                continue
            at = self._at((name, key), key=True)
            point = self.checker.point(at, step, key)
            if point is None or not self.checker.once(at, name, point.name):
                continue
            found = self._value((name, key), point, raw)
            if found is None:
                continue
            value, unit, own = found
            if own is None and wall is None and not point.cold:
                self.checker.fault(
                    at, f"{point.name}: what did the wall have at that moment?", allowed='wall = "243 V"'
                )
                continue
            yield Reading(
                step, point.name, value, None if point.cold else own or wall, at.line, unit, plug_in
            )

    def _value(self, path: Path, point: Point, raw: Any) -> tuple[float, str, float | None] | None:
        """The value, its unit, and the wall's volts where the reading has its own."""
        own = None
        if isinstance(raw, Mapping):
            for key in raw:
                if key not in _TABLE_KEYS:
                    self.checker.fault(
                        self._at((*path, key), key=True), f"a reading has no {quoted(key)}", key,
                        ", ".join(_TABLE_KEYS), nearest(key, _TABLE_KEYS),
                    )  # fmt: skip
            own = self._wall(path, raw)
            if "value" not in raw:
                self.checker.fault(self._at(path, key=True), f"{point.name}: the value is missing")
                return None
            path, raw = (*path, "value"), raw["value"]
        if not isinstance(raw, str):
            self.checker.fault(
                self._at(path), f'a reading stands in quotes with its unit: "41.2 {point.unit}", not {raw!r}'
            )
            return None
        read = self.checker.value(self._at(path), point, raw)
        return None if read is None else (*read, own)
