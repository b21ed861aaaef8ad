"""A reading taken at the bench, and what is asked of its words whatever file they stand in.

Nothing is guessed here: a reading without its unit, a step or a test point that is none, is an error that
names file, line and key. Whether a reading can be right is asked later; so one in another unit than its test
point's, or a thousand times off, passes here.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from psucheck import quantity
from psucheck.bench.names import PLUG_IN, STEPS, split_step
from psucheck.bench.points import Point
from psucheck.supply.errors import Problem, nearest, quoted

UNITS = ("V", "A", "W", "ohm", "VA")
"""The units in which a meter's reading may come."""
OPEN_WORDS = ("open", "OL", "over range")
"""How an ohmmeter's overflow is written: no current, whatever the range."""


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading.

    Attributes
    ----------
    step, point
        Names as in :data:`STEPS` and of a :class:`Point`.
    value
        What was read, SI, in ``unit``; infinite for an ohmmeter that shows an open circuit.
    wall
        What the wall had at that moment [V RMS]; None where the plug is out.
    line
        Where it stands in its file.
    unit
        The unit in which it was written, SI.
    plug_in
        Whether silicon was plugged in for the rectifier valve.
    """

    step: str
    point: str
    value: float
    wall: float | None
    line: int = 0
    unit: str = "V"
    plug_in: bool = False


@dataclass(frozen=True, slots=True)
class Place:
    """Where a word stands: line, first column, column behind, key, and the line itself."""

    line: int
    column: int
    end: int
    key: str
    text: str


class Checker:
    """Turns words into what a reading is made of, and notes whatever is wrong with them."""

    def __init__(self, file: str, points: Sequence[Point]) -> None:
        self.file = file
        self.points = {point.name: point for point in points}
        self.problems: list[Problem] = []
        self.seen: dict[tuple[str, str], int] = {}

    def fault(self, place: Place, message: str, read: str = "", allowed: str = "", near: str = "") -> None:
        """Note what is wrong at a place."""
        self.problems.append(
            Problem(
                self.file, place.line, place.column, place.key, place.text, place.end, message, read, allowed,
                near,
            )
        )  # fmt: skip

    def step(self, place: Place, name: str) -> tuple[str, bool] | None:
        """The step's own name, and whether with silicon plugged in; None if it is none."""
        tidy = " ".join(name.split()).casefold()
        plain, plug_in = split_step(tidy)
        if plain in STEPS and not (plug_in and STEPS[plain].state != "valves out"):
            return plain, plug_in
        allowed = f'{", ".join(STEPS)}; those with the valves out also as "... {PLUG_IN.strip()}"'
        self.fault(place, f"there is no step {quoted(name)}", name, allowed, nearest(tidy, STEPS))
        return None

    def point(self, place: Place, step: str, name: str) -> Point | None:
        """The test point of that name, if it can be read at the step."""
        tidy = " ".join(name.split())
        found = self.points.get(tidy) or {n.casefold(): p for n, p in self.points.items()}.get(
            tidy.casefold()
        )
        cold = step == "cold"
        if found is None:
            known = [p.name for p in self.points.values() if p.cold == cold]
            self.fault(
                place,
                f"this supply has no test point {quoted(name)}",
                name,
                ", ".join(known),
                nearest(tidy, known),
            )
            return None
        if found.cold != cold:
            said = "is read with the plug out: its step is cold" if found.cold else "has no reading in ohms"
            self.fault(place, f"{found.name} {said}", name)
            return None
        return found

    def value(self, place: Place, point: Point, text: str) -> tuple[float, str] | None:
        """The reading and its unit; the point's own unit is tried first."""
        tidy = " ".join(text.split())
        if point.cold and tidy.casefold() in {word.casefold() for word in OPEN_WORDS}:
            return math.inf, "ohm"
        units = (point.unit, *(unit for unit in UNITS if unit != point.unit))
        unit = next((unit for unit in units if quantity.is_quantity(tidy, unit)), point.unit)
        try:
            return quantity.read(tidy, unit, allow_negative=unit == "V", allow_zero=True), unit
        except quantity.QuantityError as error:
            self.fault(place, error.reason, text, f'for example "{error.allowed}"')
            return None

    def wall(self, place: Place, text: str) -> float | None:
        """What the wall had [V RMS]."""
        try:
            return quantity.read(text, "V")
        except quantity.QuantityError as error:
            self.fault(place, f"wall: {error.reason}", text, f'for example "{error.allowed}"')
            return None

    def once(self, place: Place, step: str, point: str) -> bool:
        """Whether it is the first reading there."""
        first = self.seen.setdefault((step, point), place.line)
        if first != place.line:
            self.fault(
                place, f"{point} at the step {quoted(step)} stands at line {first} already: keep one of them"
            )
        return first == place.line
