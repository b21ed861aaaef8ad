"""Fault clearing: whether in each fault a fuse opens before a winding of the transformer burns.

What it checks
--------------
Each fault that a fuse is there for, at low and at high mains, from idle on: a shorted rectifier arm, a
shorted reservoir, a short behind the first choke, a shorted output valve, a lost bias (of all valves, and of
one), shorted heaters. By the RMS current at each fuse the one that must open first is found; the fault is
then run again with that fuse out, since a fuse in the centre tap or the rail does not clear a shorted
rectifier arm, until no winding carries more than it is rated for or no fuse is left that must open.

Why it matters
--------------
A fuse that rides through everything protects nothing. An IEC fuse need not open below twice its rating, and
a shorted heater winding or a lost bias may draw less than that for as long as somebody watches it smoke.

Limit
-----
The time in which the winding's copper gets from 75 to 200 degC, no heat leaving it: t = (226/J)^2
ln(434.5/309.5) seconds, J in A/mm^2, the rated current taken to be 3 A/mm^2 (a guess, 2.5 to 4). Inside it
by the gate's longest time, read as a step, is ok. Inside it only by the line between the gate's points, or
with no fuse fitted for that fault, is marginal. A shorted rectifier or reservoir that is slower than that is
over, even were the winding made for 2.5 A/mm^2; other faults are marginal. Without a rated current, or with
a rectifier valve in the way of a short, it is not checked.

A lost bias in which no fuse need open, while the plates are beyond their rating, is told among the cautions
with its milliamps and watts, in place of a finding: hardly an amplifier has a fuse for it.

Source
------
IEC 60949 (from memory) for the copper; 3 A/mm^2, 75 and 200 degC: common practice, no source. IEC 60127-2
and UL 248-14 for the fuses, as makers' sheets quote them.

What to change
--------------
A smaller fuse that still rides through switch-on, or one more fuse where the fault's current is largest
against its running current: in each lead of the winding, in the heater lead.

A passing example
-----------------
``mains = "T2AH250V"`` at 9.7 A with a shorted arm: it opens within 5 s, the winding has 6.

A failing example
-----------------
``mains = "T6.3AH250V"`` at 9.7 A: it need not open at all.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from psucheck.checks.case import Case
from psucheck.checks.copper import PRIMARY, Copper, copper_of
from psucheck.checks.finding import Finding, Verdict
from psucheck.checks.fuse_opening import opening
from psucheck.checks.judging import SEVERITY, not_checked, shown
from psucheck.checks.limits import Limits
from psucheck.checks.red_plate import lasting
from psucheck.figures.faults import FaultCourse, FaultCurrents, Stage
from psucheck.parts import library
from psucheck.supply.model import Supply

ID = "fault-clearing"
TITLE = "Fault clearing"

_HARD = ("shorted rectifier", "shorted reservoir")
"""Faults that common parts have; a fuse that leaves them is over."""
_ABOVE_IDLE, _CARRIES = 1.05, 1.5
"""Over its current at idle: what a winding that is rated for less may carry in the end, and from which a fuse
is taken to stand in a fault's way."""
_CHANGE = "Fit a smaller fuse that still rides through switch-on, or one more in that winding's lead."


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
    """The windings that carry more than they are rated for, or, not rated, half as much again as at idle."""
    before = winding_amps(idle)
    found = []
    for name, amps in winding_amps(currents).items():
        if name in copper.rated:
            limit = max(copper.rated[name], _ABOVE_IDLE * before[name])
        else:
            limit = _CARRIES * before[name]
        if amps > limit:
            found.append(name)
    return found


def burning(copper: Copper, course: FaultCourse) -> Burning | None:
    """The winding that heats fastest over a course; None where none that is rated is overloaded."""
    found = []
    for name in copper.rated:
        over = [stage for stage in course.stages if name in overloaded(copper, stage.currents, course.idle)]
        if over:
            found.append(_heated(copper, course, name, over))
    rated = [each for each in found if each.spent is None] or found
    return max(rated, key=lambda each: each.spent or 1.0 / each.copper_seconds, default=None)


def _heated(copper: Copper, course: FaultCourse, name: str, over: list[Stage]) -> Burning:
    times = [(stage, copper.seconds(name, winding_amps(stage.currents)[name])) for stage in over]
    worst, fastest = min(times, key=lambda pair: pair[1])
    amps = winding_amps(worst.currents)[name]
    lasting = not course.cleared and course.stages[-1] in over
    steps = [stage.at_latest for stage in course.stages]
    if lasting or any(stage.at_latest is None for stage in over):
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


def judge(case: Case, limits: Limits) -> Iterator[Finding]:
    """One finding a fault, of the mains at which it is worst; one for all where no fuse is described."""
    if case.faults is None:
        return
    if not case.supply.fuses:
        yield not_checked(
            ID,
            "every fault",
            why="No fuse is described.",
            measure="which fuses stand where, and what is marked on them",
        )
        return
    copper = copper_of(case.supply, limits)
    subjects: dict[str, list[FaultCourse]] = {}
    for course in case.faults:
        if course.stages:
            subjects.setdefault(course.subject, []).append(course)
    for courses in subjects.values():
        if any(lasting(course) for course in courses):
            # A red plate is said of the supply, in words; beside that a finding would say it twice.
            continue
        findings = [_judged(case.supply, copper, course) for course in courses]
        yield min(findings, key=_weight)
    if any(not course.stages for course in case.faults):
        yield _through_a_valve([course.subject for course in case.faults if not course.stages])


def _through_a_valve(subjects: list[str]) -> Finding:
    return not_checked(
        ID,
        "shorts behind a rectifier valve",
        why=f"What a rectifier valve passes into a short is not known, it may arc over or give out: "
        f"{'; '.join(subjects)}.",
        measure="",
    )


def _weight(finding: Finding) -> tuple[int, float]:
    return SEVERITY[finding.verdict], 0.0 if finding.margin is None else finding.margin


def _judged(supply: Supply, copper: Copper, course: FaultCourse) -> Finding:
    over = overloaded(copper, course.stages[0].currents, course.idle)
    if not over:
        return replace(_finding(course, "ok", "It overloads no winding."), guessed=False)
    worst = burning(copper, course)
    unrated = [name for name in over if name not in copper.rated and name != PRIMARY]
    if worst is None or unrated:
        return not_checked(
            ID,
            course.subject,
            why=f"{_told(supply, course, None)} The rated current of {' and '.join(unrated or over)} is not "
            "given, so that what the winding stands is not known.",
            measure="the current on its label, or the transformer's VA or weight",
            condition=course.condition,
        )
    return _held(supply, copper, course, worst)


def _held(supply: Supply, copper: Copper, course: FaultCourse, worst: Burning) -> Finding:
    density = library().wound.current_density.value
    # The favourable end of the guess: a winding made with thicker wire has so much longer.
    hopeful = (density.least / density.amps_per_square_mm) ** 2
    said = _told(supply, course, worst)
    if worst.spent is None:
        if _unstated(supply, course):
            return _no_time(course, said)
        if not _fitted(supply, course):
            return _finding(course, "marginal", f"{said} No fuse is fitted for that fault.")
        return _finding(course, "over" if course.kind in _HARD else "marginal", said)
    assert worst.on_line is not None
    assert worst.seconds is not None
    if worst.spent > 1.0 and worst.on_line > 1.0 and _unstated(supply, course):
        return _no_time(course, said)
    verdict: Verdict = "ok"
    if worst.spent > 1.0:
        slow = worst.on_line * hopeful > 1.0 and course.kind in _HARD
        verdict = "over" if slow else "marginal"
    if verdict != "ok" and worst.on_line <= 1.0:
        said = f"{said} On the line between the gate's points it opens in time."
    elif worst.spent > 1.0:
        said = f"{said} By then it is hotter."
    else:
        said = f"{said} The winding is at {copper.celsius(worst.spent):.0f} degC by then."
    limit = worst.seconds / worst.spent
    return replace(
        _finding(course, verdict, said),
        figure=worst.seconds,
        limit=limit,
        unit="s",
        margin=(limit - worst.seconds) / limit,
    )


def _finding(course: FaultCourse, verdict: Verdict, why: str) -> Finding:
    return Finding(
        ID,
        course.subject,
        course.condition,
        verdict,
        why,
        "IEC 60127-2 and UL 248-14, longest times; copper: IEC 60949 (from memory) at 3 A/mm², a guess",
        guessed=True,
        change=None if verdict == "ok" else _CHANGE,
    )


def _no_time(course: FaultCourse, said: str) -> Finding:
    return not_checked(
        ID,
        course.subject,
        why=f"{said} No standard says how fast such a fuse opens at that current.",
        measure="maker and series of the fuse, or its melting I2t (melting_i2t = ...)",
        condition=course.condition,
    )


def _unstated(supply: Supply, course: FaultCourse) -> bool:
    """Whether no standard speaks of any of the fuses in a fault's way at its current."""
    for stage in course.stages:
        for lead, amps in stage.currents.fuses.items():
            found = opening(supply.fuses[lead.place], amps)
            if amps > _CARRIES * course.idle.fuses[lead] and (found is None or not found.stated):
                return True
    return False


def _fitted(supply: Supply, course: FaultCourse) -> bool:
    """Whether a fuse that is still whole in the end carries the fault's current."""
    opened = {stage.opens for stage in course.stages}
    left = {lead: amps for lead, amps in course.stages[-1].currents.fuses.items() if lead not in opened}
    return any(amps > _CARRIES * course.idle.fuses[lead] for lead, amps in left.items())


def _told(supply: Supply, course: FaultCourse, worst: Burning | None) -> str:
    """The course in words: which fuse opens when, and what the winding carries."""
    steps = []
    for stage in course.stages:
        if stage.opens is not None and stage.at_latest is not None:
            amps, time = shown(stage.currents.fuses[stage.opens], "A"), shown(stage.at_latest, "s")
            steps.append(f"{lead_words(supply, stage)} opens within {time} at {amps}")
    if not course.cleared:
        steps.append(_stays(course.stages[-1], bool(steps)))
    said = "; then ".join(steps)
    if worst is not None:
        seconds = shown(float(f"{worst.copper_seconds:.2g}"), "s")
        said += (
            f". The {worst.winding} {'winding ' if worst.winding != PRIMARY else ''}carries "
            f"{shown(worst.amps, 'A')} and would be at {shown(worst.end, 'degC')} in {seconds}"
        )
    return f"{said[:1].upper()}{said[1:]}."


def _stays(stage: Stage, then: bool) -> str:
    busiest = max(stage.currents.fuses.items(), key=lambda pair: pair[1], default=None)
    if busiest is None or busiest[1] < 1e-3:
        return "no fuse is left in its way"
    still = "no other fuse" if then else "no fuse"
    return f"{still} need open ({busiest[0].place} carries {shown(busiest[1], 'A')})"


def lead_words(supply: Supply, stage: Stage) -> str:
    """The fuse that opens at a stage: its place, with its marking's current."""
    assert stage.opens is not None
    fuse = supply.fuses[stage.opens.place]
    return f"{stage.opens.place} ({fuse.speed} {shown(fuse.current, 'A')})"
