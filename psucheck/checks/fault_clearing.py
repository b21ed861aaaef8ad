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
over, even were the winding made for 2.5 A/mm^2; other faults are marginal, and so is what goes on so mildly
that the copper would take ten minutes. With a winding that carries over
a tenth more than at idle and has no rated current, or with a rectifier valve in the way of a short, it is
not checked. The primary's rating is the power over its volts; where some windings are rated and no power is
given, at least what those take together.

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
from dataclasses import replace

from psucheck.checks.case import Case
from psucheck.checks.copper import Copper, copper_of
from psucheck.checks.fault_words import told
from psucheck.checks.finding import Finding, Verdict
from psucheck.checks.fuse_opening import opening
from psucheck.checks.judging import SEVERITY, not_checked
from psucheck.checks.limits import Limits
from psucheck.checks.red_plate import lasting
from psucheck.checks.winding_heat import Burning, burning, not_known_to_stand
from psucheck.figures.faults import FaultCourse
from psucheck.parts import library
from psucheck.supply.model import Supply

ID = "fault-clearing"
TITLE = "Fault clearing"

_HARD = ("shorted rectifier", "shorted reservoir")
"""Faults that common parts have; a fuse that leaves them is over."""
_HEAT_LEAVES = 600.0
"""From so many seconds on a winding that keeps all its heat is no measure: common practice, no source."""
_CARRIES = 1.5
"""Over its current at idle: what tells that a fuse stands in a fault's way."""
_CHANGE = "Fit a smaller fuse that still rides through switch-on, or one more in that winding's lead."


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
    subjects: dict[str, list[FaultCourse]] = {}
    for course in case.faults:
        if course.stages:
            subjects.setdefault(course.subject, []).append(course)
    for courses in subjects.values():
        if any(lasting(course) for course in courses):
            # A red plate is said of the supply, in words; beside that a finding would say it twice.
            continue
        # Asked for anew each time, so that each finding tells which limits were read for it.
        copper = copper_of(case.supply, limits)
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
    worst, unknown = burning(copper, course), not_known_to_stand(copper, course)
    held = None if worst is None else _held(supply, copper, course, worst)
    if unknown and (held is None or held.verdict == "ok"):
        return not_checked(
            ID,
            course.subject,
            why=f"{told(supply, course, None)} The rated current of {' and '.join(unknown)} is not given, so "
            f"that what {'these windings stand' if len(unknown) > 1 else 'the winding stands'} is not known.",
            measure="the current on its label, or the transformer's VA or weight",
            condition=course.condition,
        )
    return held or replace(_finding(course, "ok", "It overloads no winding."), guessed=False)


def _held(supply: Supply, copper: Copper, course: FaultCourse, worst: Burning) -> Finding:
    density = library().wound.current_density.value
    # The favourable end of the guess: a winding made with thicker wire has so much longer.
    hopeful = (density.least / density.amps_per_square_mm) ** 2
    said = told(supply, course, worst)
    if worst.spent is None:
        if _unstated(supply, course):
            return _no_time(course, said)
        if not _fitted(supply, course):
            return _finding(course, "marginal", f"{said} No fuse is fitted for that fault.")
        hard = course.kind in _HARD and worst.copper_seconds < _HEAT_LEAVES
        return _finding(course, "over" if hard else "marginal", said)
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
