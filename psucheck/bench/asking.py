"""Asking for readings step by step, and stopping at one that is dangerous to go on from."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from psucheck.bench.comparing import compare
from psucheck.bench.names import split_step
from psucheck.bench.plan import Plan
from psucheck.bench.reading import Checker, Place, Reading
from psucheck.engine.pool import Runner
from psucheck.quantity import QuantityError, read
from psucheck.report.readings_view import JudgedReading
from psucheck.report.sheet import band, expect_of, number
from psucheck.report.sheet_view import Expected, Line, Step

_BARE = re.compile(r"[-+]?[0-9]*\.?[0-9]+")
ENDS = ("q", "quit", "stop", "end")
"""What ends the asking; an empty line passes over a reading."""


@dataclass
class Asked:
    """What came of it: the readings, each judged, and the one that stopped it."""

    judged: list[JudgedReading] = field(default_factory=list)
    readings: list[Reading] = field(default_factory=list)
    stopped: JudgedReading | None = None


class Ended(Exception):
    """Whoever answers wants to end, or there is nobody."""


class Asking:
    """The dialogue over a sheet.

    Parameters
    ----------
    ask
        Shows a question and returns the answer; raises EOFError where there is none.
    tell
        Shows a line.
    """

    def __init__(
        self, plan: Plan, pool: Runner, ask: Callable[[str], str], tell: Callable[[str], None]
    ) -> None:
        self.plan = plan
        self.pool = pool
        self.ask = ask
        self.tell = tell
        self.done = Asked()

    def go(self, steps: tuple[Step, ...]) -> Asked:
        """Ask for every reading of ``steps``, in order.

        Raises
        ------
        SimulationError
            If a run fails.
        """
        try:
            for step in steps:
                if any(line.expected for line in step.lines):
                    self._step(step)
                if self.done.stopped is not None:
                    break
        except Ended:
            self.tell("Ended.")
        return self.done

    def _answer(self, question: str) -> str:
        try:
            answer = " ".join(self.ask(question).split())
        except EOFError:
            raise Ended from None
        if answer.casefold() in ENDS:
            raise Ended
        return answer

    def _step(self, step: Step) -> None:
        at = f", {step.volts:g} V at the amplifier" if step.volts else ""
        self.tell("")
        self.tell(f"{step.number}  {step.title}{at}; {step.contents}")
        for note in step.notes:
            self.tell(f"   {note}")
        wall = self._wall(step) if step.name != "cold" else None
        for line, expected in _readings(step):
            self._point(step, line, expected, wall)
            if self.done.stopped is not None:
                return

    def _wall(self, step: Step) -> float:
        while True:
            answer = self._answer(f"   the wall now [{self.plan.wall:g} V]: ")
            if not answer:
                return self.plan.wall
            try:
                return read(_with_unit(answer, "V"), "V")
            except QuantityError as error:
                self.tell(f"   {error}")

    def _point(self, step: Step, line: Line, expected: Expected, wall: float | None) -> None:
        """Ask for one reading until it can be used, is passed over, or stops everything."""
        name, plug_in = split_step(line.step or step.name)
        if any((r.step, r.point, r.plug_in) == (name, expected.point, plug_in) for r in self.done.readings):
            return
        point = self.plan.up.points[expected.point]
        unit = "mV" if line.meter == "DC millivolts" else point.unit
        about = (
            f"expect {expect_of(expected)}, {band(expected)}"
            if expected.low is not None
            else "no number promised"
        )
        leads = f"{expected.red} to {expected.black}" if expected.black else expected.red
        while True:
            answer = self._answer(f"   {expected.point} ({leads}; {about}) [{unit}]: ")
            if not answer:
                return
            checker = Checker("", [point])
            found = checker.value(Place(0, 1, 1, "", ""), point, _with_unit(answer, unit))
            if found is None:
                self.tell(f"   {checker.problems[0].sentence()}")
                continue
            reading = Reading(name, point.name, found[0], wall, 0, found[1], plug_in)
            if self._taken(reading):
                return

    def _taken(self, reading: Reading) -> bool:
        """Judge a reading and say so; whether it needs not be asked for again."""
        judged = compare(self.plan, [*self.done.readings, reading], self.pool)[-1]
        if judged.verdict == "asked about":
            self.tell(f"   Not used: {judged.said} Read it again, or pass it over with an empty line.")
            return False
        self.done.readings.append(reading)
        self.done.judged.append(judged)
        beside = (
            f", for {number(judged.expected.value, judged.expected.unit)}" if judged.expected.value else ""
        )
        said = f": {judged.said}" if judged.said else ""
        self.tell(f"   {judged.verdict}{said}{beside if judged.verdict in ('near', 'off') else ''}")
        if judged.danger:
            self.done.stopped = judged
            self.tell(f"   STOP. {judged.danger}")
        return True


def _readings(step: Step) -> Iterator[tuple[Line, Expected]]:
    for line in step.lines:
        for expected in line.expected:
            yield line, expected


def _with_unit(text: str, unit: str) -> str:
    """A bare number in the unit that the question names."""
    return f"{text} {unit}" if _BARE.fullmatch(text) else text
