"""Which preferred values a fuse may have: riding through switch-on, yet opening in each fault of its duty."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from psucheck.checks import fuse_inrush, fuse_running
from psucheck.checks.case import Case
from psucheck.checks.copper import Copper, copper_of
from psucheck.checks.fuse_opening import Opening, opening
from psucheck.checks.judging import shown
from psucheck.checks.limits import Limits
from psucheck.checks.winding_heat import in_doubt, overloaded, winding_amps
from psucheck.figures.faults import FaultCourse, FaultCurrents
from psucheck.parts import in_force, library
from psucheck.parts.fuse_marking import bands, marking
from psucheck.supply.model import Fuse

_MAINS = "mains"
_NOT_RUN = "shorts behind a rectifier valve are not in this"
_Time = Callable[[Opening], float | None]


@dataclass(frozen=True)
class FuseChoice:
    """What a fuse may be, of its own kind (speed and breaking capacity), in preferred values [A].

    Attributes
    ----------
    values
        Those that ride through switch-on and must open in every fault of ``duty`` before copper is lost.
    on_line
        Those that do so on the line between the gate's points, which no standard states; ``values`` too.
    duty
        The faults that it is there for, without ``beyond``.
    beyond
        Faults of its duty in which no value that rides through opens in time.
    why
        Why there are no ``values``, if there are none, and what was left out; a clause.
    intermediate
        Those of ``on_line`` that stand between the preferred ones (R20), which the standard allows.
    markings
        What is marked on a fuse of each of ``values``, of the fitted one's kind, with its coloured bands.
    """

    place: str
    fitted: float
    values: tuple[float, ...]
    on_line: tuple[float, ...]
    duty: tuple[str, ...]
    beyond: tuple[str, ...]
    why: str = ""
    intermediate: tuple[float, ...] = ()
    markings: tuple[str, ...] = ()


def fuse_values(case: Case, limits: Limits) -> tuple[FuseChoice, ...]:
    """A choice for each fuse whose gate is held; none where faults were not run."""
    if not case.faults:
        return ()
    with in_force(case.supply.library):
        copper = _at_least(copper_of(case.supply, limits))
        known = [(place, fuse) for place, fuse in case.supply.fuses.items() if opening(fuse, fuse.current)]
        return tuple(_choice(case, limits, copper, place, fuse) for place, fuse in known)


def _at_least(copper: Copper) -> Copper:
    """A value is sure only if it would be at the least that a winding may be rated for."""
    return replace(copper, rated={**copper.at_least, **copper.rated})


def _choice(case: Case, limits: Limits, copper: Copper, place: str, fuse: Fuse) -> FuseChoice:
    duty = [course for course in case.faults or () if _is_for(case, copper, course, place)]
    riding = [amps for amps in _preferred(fuse) if _rides(case, limits, place, _of(fuse, amps))]
    subjects = tuple(dict.fromkeys(course.subject for course in duty))
    step = {name: _opening_in(name, duty, riding, place, fuse, copper, _step) for name in subjects}
    line = {name: _opening_in(name, duty, riding, place, fuse, copper, _line) for name in subjects}
    beyond = tuple(name for name in subjects if not line[name])
    held = [name for name in subjects if name not in beyond]
    values = tuple(amps for amps in riding if all(amps in step[name] for name in held)) if held else ()
    on_line = tuple(amps for amps in riding if all(amps in line[name] for name in held)) if held else ()
    why = "" if values else _why(riding, held, beyond, step, subjects)
    notes = [why] if why else []
    if unknown := _in_doubt(case, copper, place):
        notes.append(f"{_listed(unknown)} not in this: what a winding that is not rated stands is not known")
    if any(not course.stages for course in case.faults or ()):
        notes.append(_NOT_RUN)
    why = "; ".join(notes)
    between = () if fuse.standard == "UL" else library().fuses.intermediate_ratings.value.amps
    return FuseChoice(
        place,
        fuse.current,
        values,
        on_line,
        tuple(held),
        beyond,
        why,
        intermediate=tuple(amps for amps in on_line if amps in between),
        markings=tuple(_marked(_of(fuse, amps)) for amps in values),
    )


def _marked(fuse: Fuse) -> str:
    text = marking(fuse.standard, fuse.speed, fuse.current, fuse.breaking, fuse.voltage)
    if fuse.standard == "UL":
        return text
    return f"{text} ({', '.join(bands(library().fuses, fuse.speed, fuse.current))})"


def _step(found: Opening) -> float | None:
    return found.step


def _line(found: Opening) -> float | None:
    return found.line


def _of(fuse: Fuse, amps: float) -> Fuse:
    """The fuse with another rating; what its maker says of it holds no more."""
    return fuse.model_copy(update={"current": amps, "melting_i2t": None, "maker": None, "resistance": None})


def _preferred(fuse: Fuse) -> list[float]:
    """The ratings that a kind is made in, in order [A]: R10 with R20 between, or those usual under UL."""
    fuses = library().fuses
    iec = [*fuses.preferred_ratings.value.amps, *fuses.intermediate_ratings.value.amps]
    held = sorted(iec) if fuse.standard == "IEC" else fuses.ul_ratings.value.amps
    return [amps for amps in held if opening(_of(fuse, amps), amps) is not None]


def _rides(case: Case, limits: Limits, place: str, fuse: Fuse) -> bool:
    """Whether a fuse runs cool enough and holds at every switch-on that was run."""
    supply = case.supply.model_copy(update={"fuses": {place: fuse}})
    trial = Case(supply, case.figures, case.assumptions)
    if any(found.verdict not in ("ok", "marginal") for found in fuse_running.judge(trial, limits)):
        return False
    return all(found.verdict in ("ok", "marginal") for found in fuse_inrush.judge(trial, limits))


def _is_for(case: Case, copper: Copper, course: FaultCourse, place: str) -> bool:
    """Whether a fuse is there for a fault: it clears it, or it is the mains fuse and nothing else does."""
    return bool(course.stages) and _judged(copper, course) and _clears(case, course, place)


def _clears(case: Case, course: FaultCourse, place: str) -> bool:
    opened = [stage.opens for stage in course.stages if stage.opens is not None]
    if course.cleared:
        return bool(opened) and opened[-1].place == place
    return place == _MAINS or _MAINS not in case.supply.fuses


def _judged(copper: Copper, course: FaultCourse) -> bool:
    """Whether a winding that is rated is overloaded, and none in doubt that is not."""
    first = course.stages[0].currents
    return bool(overloaded(copper, first, course.idle)) and not in_doubt(copper, first, course.idle)


def _in_doubt(case: Case, copper: Copper, place: str) -> list[str]:
    """The faults that a fuse is there for, in which a winding that is not rated carries more."""
    courses = [course for course in case.faults or () if course.stages and _clears(case, course, place)]
    found = [one for one in courses if in_doubt(copper, one.stages[0].currents, one.idle)]
    return list(dict.fromkeys(course.subject for course in found))


def _opening_in(
    subject: str,
    duty: Sequence[FaultCourse],
    riding: Sequence[float],
    place: str,
    fuse: Fuse,
    copper: Copper,
    time: _Time,
) -> set[float]:
    """The values that open in time in a fault, at every mains."""
    courses = [course for course in duty if course.subject == subject]
    return {
        amps
        for amps in riding
        if all(_in_time(_of(fuse, amps), place, course, copper, time) for course in courses)
    }


def _in_time(fuse: Fuse, place: str, course: FaultCourse, copper: Copper, time: _Time) -> bool:
    """Whether it opens while no winding has had its heat, at any stage of the course."""
    spent = 0.0
    for stage in course.stages:
        pace = _pace(copper, stage.currents, course.idle)
        amps = [amps for lead, amps in stage.currents.fuses.items() if lead.place == place]
        found = opening(fuse, max(amps, default=0.0))
        seconds = None if found is None else time(found)
        if seconds is not None and spent + seconds * pace <= 1.0:
            return True
        if stage.opens is None or stage.opens.place == place:
            return False
        spent += (stage.at_latest or 0.0) * pace
    return False


def _pace(copper: Copper, currents: FaultCurrents, idle: FaultCurrents) -> float:
    """Share of its heating that the fastest winding takes a second."""
    amps = winding_amps(currents)
    over = overloaded(copper, currents, idle)
    return max((1.0 / copper.seconds(name, amps[name]) for name in over), default=0.0)


def _why(
    riding: Sequence[float],
    held: Sequence[str],
    beyond: Sequence[str],
    step: dict[str, set[float]],
    subjects: Sequence[str],
) -> str:
    if not subjects:
        return "it clears no fault by itself"
    if not riding:
        return "no value of its kind is known to ride through switch-on"
    least = f"the smallest that rides through switch-on is {shown(riding[0], 'A')}"
    if not held:
        return f"{least}, which is too large for {_listed(beyond)}"
    named = [
        f"{shown(max(step[name]), 'A')} at most for {name}" if step[name] else f"none for {name}"
        for name in held
    ]
    return f"{least}; sure to open in time: {_listed(named)}"


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
