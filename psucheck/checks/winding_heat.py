"""What the transformer's windings go through in a fault: which carry too much, and how hot they get."""

from __future__ import annotations

from dataclasses import dataclass, replace

from psucheck.checks.copper import PRIMARY, Copper
from psucheck.figures.faults import FaultCourse, FaultCurrents, Stage

_ABOVE_IDLE = 1.05
"""Over its current at idle: what a winding that is rated for less may carry in the end."""
_RISEN = 1.1
"""Over its current at idle: what a winding comes to by no more than the volts that the others leave it."""


@dataclass(frozen=True, slots=True)
class Burning:
    """What the worst winding goes through until a fault is cleared.

    ``spent``: the share of its heating to the end temperature that goes in by then, by the gates' longest
    times; ``on_line`` by the line between their points. None: it goes on for good.
    """

    winding: str
    amps: float
    seconds: float | None
    spent: float | None
    on_line: float | None
    copper_seconds: float
    end: float
    """That temperature [degC]."""


def winding_amps(currents: FaultCurrents) -> dict[str, float]:
    """The busiest section of each winding, and the primary [A RMS]."""
    amps = {name: max(sections) for name, sections in currents.windings.items()}
    return {**amps, PRIMARY: currents.primary}


def overloaded(copper: Copper, currents: FaultCurrents, idle: FaultCurrents) -> list[str]:
    """The windings that carry more than they are rated for."""
    before = winding_amps(idle)
    return [
        name
        for name, amps in winding_amps(currents).items()
        if name in copper.rated and amps > max(copper.rated[name], _ABOVE_IDLE * before[name])
    ]


def in_doubt(copper: Copper, currents: FaultCurrents, idle: FaultCurrents) -> list[str]:
    """The windings that carry more than at idle, of which it is not known whether they are rated for it."""
    before = winding_amps(idle)
    return [
        name
        for name, amps in winding_amps(currents).items()
        if name not in copper.rated and amps > max(copper.at_least.get(name, 0.0), _RISEN * before[name])
    ]


def not_known_to_stand(copper: Copper, course: FaultCourse) -> list[str]:
    """The windings in doubt at any stage of a course, less those that stand it at their least rating."""
    doubtful = dict.fromkeys(
        name for stage in course.stages for name in in_doubt(copper, stage.currents, course.idle)
    )
    at_least = replace(copper, rated=copper.at_least)
    return [name for name in doubtful if name not in copper.at_least or not _stands(at_least, course, name)]


def _stands(copper: Copper, course: FaultCourse, name: str) -> bool:
    found = _of_winding(copper, course, name)
    return found is None or (found.spent is not None and found.spent <= 1.0)


def burning(copper: Copper, course: FaultCourse) -> Burning | None:
    """The winding that heats fastest over a course; None where none that is rated is overloaded."""
    found = [each for name in copper.rated if (each := _of_winding(copper, course, name)) is not None]
    rated = [each for each in found if each.spent is None] or found
    return max(rated, key=lambda each: each.spent or 1.0 / each.copper_seconds, default=None)


def _of_winding(copper: Copper, course: FaultCourse, name: str) -> Burning | None:
    over = [stage for stage in course.stages if name in overloaded(copper, stage.currents, course.idle)]
    return _heated(copper, course, name, over) if over else None


def _heated(copper: Copper, course: FaultCourse, name: str, over: list[Stage]) -> Burning:
    times = [(stage, copper.seconds(name, winding_amps(stage.currents)[name])) for stage in over]
    worst, fastest = min(times, key=lambda pair: pair[1])
    amps = winding_amps(worst.currents)[name]
    lasting = not course.cleared and course.stages[-1] in over
    steps = [stage.at_latest for stage in course.stages]
    if lasting:
        # What opened on the way has ended the worst of it: told is what goes on.
        amps = winding_amps(course.stages[-1].currents)[name]
        return Burning(name, amps, None, None, None, copper.seconds(name, amps), copper.end)
    if any(stage.at_latest is None for stage in over):
        return Burning(name, amps, None, None, None, fastest, copper.end)
    return Burning(
        name,
        amps,
        seconds=sum(step or 0.0 for step in steps),
        spent=sum((stage.at_latest or 0.0) / seconds for stage, seconds in times),
        on_line=sum((stage.on_line or 0.0) / seconds for stage, seconds in times),
        copper_seconds=fastest,
        end=copper.end,
    )
