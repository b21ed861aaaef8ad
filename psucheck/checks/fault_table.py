"""Each fault in a line: which fuse opens, when at the latest, and what the winding is at by then."""

from __future__ import annotations

from dataclasses import dataclass

from psucheck.checks.case import Case
from psucheck.checks.copper import Copper, copper_of
from psucheck.checks.limits import Limits
from psucheck.checks.winding_heat import burning, winding_amps
from psucheck.figures.faults import FaultCourse
from psucheck.parts import in_force


@dataclass(frozen=True)
class FaultLine:
    """One fault at one mains.

    Attributes
    ----------
    winding
        The one that heats fastest for its rating; where none is rated, that which carries most against idle.
    amps
        What it carries, at most [A RMS].
    copper_seconds
        Until its copper is at the end temperature at that current [s]; None where it is not rated, or not
        overloaded.
    seconds
        Until the last fuse has opened, at the latest [s]; None where the fault goes on.
    celsius
        What the winding is at by then [degC]; None where that is not known, or beyond the end temperature.
    """

    course: FaultCourse
    winding: str | None
    amps: float | None
    copper_seconds: float | None
    seconds: float | None
    celsius: float | None


def fault_lines(case: Case, limits: Limits) -> tuple[FaultLine, ...]:
    """A line for every course of ``case``; those that were not run have nothing to tell."""
    with in_force(case.supply.library):
        copper = copper_of(case.supply, limits)
        return tuple(_line(copper, course) for course in case.faults or ())


def _line(copper: Copper, course: FaultCourse) -> FaultLine:
    if not course.stages:
        return FaultLine(course, None, None, None, None, None)
    steps = [stage.at_latest for stage in course.stages if stage.opens is not None]
    seconds = sum(step or 0.0 for step in steps) if course.cleared and steps else None
    worst = burning(copper, course)
    if worst is None:
        first, before = winding_amps(course.stages[0].currents), winding_amps(course.idle)
        winding = max(first, key=lambda name: first[name] / max(before[name], 1e-6))
        return FaultLine(course, winding, first[winding], None, seconds, None)
    within = worst.spent is not None and worst.spent <= 1.0
    celsius = copper.celsius(worst.spent or 0.0) if within else None
    return FaultLine(course, worst.winding, worst.amps, worst.copper_seconds, seconds, celsius)
