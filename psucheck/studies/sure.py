"""How sure a verdict is: what near a limit would be judged otherwise if a guess were otherwise.

One guess at a time is put at each end of its range, the conditions in which something lies near its limit
are run anew, and all rules judge again. A verdict that changes between ``ok`` and ``over`` on the way is
``marginal``, and says which measurement settles it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from psucheck.checks.case import Case
from psucheck.checks.finding import Finding, Verdict
from psucheck.checks.judging import severity
from psucheck.checks.limits import Limits
from psucheck.checks.registry import judge_all
from psucheck.circuit.condition import Condition
from psucheck.conditions.chains import COURSES
from psucheck.conditions.run import Outcome
from psucheck.conditions.variants import Variant, run_variants
from psucheck.engine.pool import Runner
from psucheck.figures.measure import measure_coarse
from psucheck.figures.model import Figures
from psucheck.figures.numbers import differences, numbers
from psucheck.report.view import Report
from psucheck.studies.suppositions import (
    Strain,
    Supposed,
    measurement,
    moves,
    strain,
    stresses,
    suppositions,
)
from psucheck.supply.fill import fill
from psucheck.supply.model import Description

NEAR = 0.15
"""Margin, as a share of the limit, within which a guess is taken to matter in a steady condition; none of the
ranges moves a figure further than that by itself."""
NEAR_IN_TRANSIENT = 0.6
"""Likewise in a transient: the residual flux alone can double what a fuse sees at switch-on."""
_MOST_CONDITIONS = 2
"""Conditions that are run anew, at most: those in which most figures lie near their limits."""

Moved = Mapping[str, Figures]
"""The figures of the conditions that were run anew, by their names."""


def how_sure(
    report: Report,
    description: Description,
    outcomes: Sequence[Outcome],
    pool: Runner,
    limits: Limits,
    *,
    thorough: bool = False,
) -> Report:
    """``report`` with the verdicts that a guess could turn made marginal, and the range of figures noted.

    Parameters
    ----------
    thorough
        Put every guess at both ends of its range in every condition, so that every figure carries its range,
        and run the transients at twice the step, so that theirs carry their numerical uncertainty too; else
        only those guesses that may turn what lies near a limit.

    Raises
    ------
    SimulationError
        If a run fails.
    """
    near = [finding for finding in report.findings if _is_near(finding)]
    study = _Study(report, description, outcomes, pool)
    if thorough:
        tried = [study.everything()]
        report = replace(report, figures=_with_steps(report.figures, study))
    else:
        tried = [study.near_in_steady(near), *study.near_in_transients(near, limits)]
    turned: dict[Finding, tuple[Supposed, Verdict]] = {}
    for one in tried:
        turned = _turned(report, one, limits) | turned
        report = replace(report, figures=_with_ranges(report.figures, one.moved))
    findings = [_unsure(finding, turned.get(finding)) for finding in report.findings]
    return replace(report, findings=sorted(findings, key=severity))


@dataclass(frozen=True)
class _Tried:
    """What was supposed, one at a time, the figures that came of each, and the findings they may turn."""

    findings: Sequence[Finding]
    supposed: Sequence[Supposed] = ()
    moved: Sequence[Moved] = ()


@dataclass(frozen=True)
class _Study:
    """A supply that was checked, to be run anew with other guesses."""

    report: Report
    description: Description
    outcomes: Sequence[Outcome]
    pool: Runner

    def everything(self) -> _Tried:
        """Every guess at both ends, in every condition."""
        supposed = suppositions(self.report.assumptions)
        return self._one_by_one(self.report.findings, supposed, [o.condition for o in self.outcomes])

    def near_in_steady(self, near: Sequence[Finding]) -> _Tried:
        """Each guess that can move what is ``near`` in a steady condition, in those where most is."""
        steady = {o.condition.name: o.condition for o in self.outcomes if not o.condition.transient}
        supposed = suppositions(self.report.assumptions, [one for one in near if one.condition in steady])
        moving = {f.condition for f in near if any(moves(one.assumption, f) for one in supposed)}
        times = Counter(f.condition for f in near if f.condition in moving & steady.keys())
        rerun = [steady[name] for name, _ in times.most_common(_MOST_CONDITIONS) if name is not None]
        return self._one_by_one(near, supposed, rerun)

    def near_in_transients(self, near: Sequence[Finding], limits: Limits) -> Iterator[_Tried]:
        """Each guess that may turn something in a transient.

        What is sound is tried where it is nearest its limit, what is over in every transient that strains a
        part: it is over until it is over in none.
        """
        courses = {o.condition.name: o.condition for o in self.outcomes if o.condition.state in COURSES}
        groups: dict[tuple[Strain, bool], list[Finding]] = {}
        for one in near:
            if one.condition in courses and one.verdict in ("ok", "over"):
                strained = strain(one.rule, courses[one.condition].state)
                groups.setdefault((strained, one.verdict == "ok"), []).append(one)
        for (strained, hard), findings in groups.items():
            felt = stresses(self.report.assumptions, strained, hard=hard)
            nearest = Counter(courses[one.condition] for one in findings if one.condition is not None)
            rerun = [course for course, _ in nearest.most_common(_MOST_CONDITIONS)]
            if felt:
                rerun = rerun if hard else [course for course in courses.values() if course.mains_on]
                yield self._one_by_one(findings, self._turning(findings, felt, rerun, limits), rerun)

    def _turning(
        self,
        findings: Sequence[Finding],
        felt: list[Supposed],
        courses: Sequence[Condition],
        limits: Limits,
    ) -> list[Supposed]:
        """Those of ``felt`` to try one by one, since one of them may turn a finding in a transient.

        All of them push the same way, so what stands through several at once stands through each: all are put
        at their ends together, then the first, which moves most, beside the rest. Where the first turns a
        finding it settles it.
        """

        def turn(sets: Sequence[list[Supposed]]) -> list[bool]:
            return [
                bool(_turned(self.report, _Tried(findings, together[:1], [moved]), limits))
                for together, moved in zip(sets, self.moved(sets, courses), strict=True)
            ]

        if not turn([felt])[0]:
            return []
        parts = [part for part in (felt[:1], felt[1:]) if part]
        return next((part for part, turns in zip(parts, turn(parts), strict=True) if turns), [])

    def _one_by_one(
        self, findings: Sequence[Finding], supposed: Sequence[Supposed], rerun: Sequence[Condition]
    ) -> _Tried:
        moved = list(self.moved([[one] for one in supposed], rerun))
        # With nothing to run anew there is nothing to hold the suppositions against.
        return _Tried(findings, supposed if moved else (), moved)

    def at_twice_the_step(self) -> Moved:
        """The transients once more, at twice the step."""
        courses = [o.condition for o in self.outcomes if o.condition.state in COURSES]
        return next(self.moved([[]], courses, step=2.0), {})

    def moved(
        self, supposed: Sequence[Sequence[Supposed]], rerun: Sequence[Condition], step: float = 1.0
    ) -> Iterator[Moved]:
        """The figures of ``rerun`` with each set of suppositions."""
        if not supposed or not rerun:
            return
        variants = [
            _variant(self.description, {one.assumption.key: one.value for one in together})
            for together in supposed
        ]
        for outcomes in run_variants(variants, self.outcomes, rerun, self.pool, step=step):
            yield {outcome.condition.name: measure_coarse(outcome) for outcome in outcomes}


def _is_near(finding: Finding) -> bool:
    transient = finding.condition is not None and finding.condition.startswith(tuple(COURSES))
    return (
        finding.verdict in ("ok", "over", "marginal")
        and finding.condition is not None
        and finding.margin is not None
        and abs(finding.margin) < (NEAR_IN_TRANSIENT if transient else NEAR)
    )


def _same(finding: Finding, among: Sequence[Finding]) -> Finding | None:
    """The finding of ``among`` on the same thing; a rule may have two on it, as anode and screen watts."""
    alike = [one for one in among if (one.rule, one.subject) == (finding.rule, finding.subject)]
    limit = finding.limit or 0.0
    return min(alike, key=lambda one: abs((one.limit or 0.0) - limit), default=None)


def _variant(description: Description, supposed: Mapping[str, float]) -> Variant:
    found = fill(description.found, supposed=supposed)
    if description.proposed is None:
        return Variant(found, found)
    return Variant(fill(description.proposed, loads_of=found, supposed=supposed), found)


def _with_ranges(figures: Mapping[str, Figures], moved: Sequence[Moved]) -> dict[str, Figures]:
    """``figures``, with how far each number moves; what is not reached in one of the runs has no range."""
    ranged = dict(figures)
    for name in moved[0] if moved else ():
        before = figures[name].guessed_range
        runs = [numbers(figures[name]), *(numbers(run[name]) for run in moved)]
        ends = {}
        for path in runs[0]:
            reached = [run[path] for run in runs if path in run]
            if len(reached) == len(runs):
                known = before.get(path, ())
                ends[path] = (min(*reached, *known), max(*reached, *known))
        ranged[name] = replace(figures[name], guessed_range={**before, **ends})
    return ranged


def _with_steps(figures: Mapping[str, Figures], study: _Study) -> dict[str, Figures]:
    """``figures``, those of the transients with what moved when the step was halved."""
    coarse = study.at_twice_the_step()
    return {
        name: replace(one, uncertainty=differences(one, coarse[name])) if name in coarse else one
        for name, one in figures.items()
    }


def _turned(report: Report, tried: _Tried, limits: Limits) -> dict[Finding, tuple[Supposed, Verdict]]:
    """Findings that are over in one place of a guess's range and ok in another: what turns them."""
    turned: dict[Finding, tuple[Supposed, Verdict]] = {}
    courses = tuple(line.course for line in report.faults) if report.faults else None
    rules = {finding.rule for finding in tried.findings}
    for one, figures in zip(tried.supposed, tried.moved, strict=True):
        case = Case(report.supply, {**report.figures, **figures}, report.assumptions, courses)
        for finding in judge_all(case, limits):
            known = _same(finding, tried.findings) if finding.rule in rules else None
            # Chance may undo what is sound; what it spares one time it strikes another.
            spared = one.chance and known is not None and known.verdict != "ok"
            if known is not None and not spared and _turns(known, finding):
                turned.setdefault(known, (one, finding.verdict))
    return turned


def _turns(known: Finding, moved: Finding) -> bool:
    """Whether ``moved`` lies on the other side of the limit from what is known."""
    verdict = moved.verdict
    if known.verdict == "over":
        return verdict in ("ok", "marginal")
    if known.verdict == "marginal":
        # A rule may itself have called a breach that rests on a guess no more than marginal.
        return known.guessed and known.margin is not None and known.margin < 0 and verdict == "ok"
    # A breach that rests on a guess is one all the same, though its own rule calls it marginal.
    breach = verdict == "over" or (verdict == "marginal" and moved.guessed and (moved.margin or 0.0) < 0)
    return known.verdict == "ok" and breach


def _unsure(finding: Finding, turn: tuple[Supposed, Verdict] | None) -> Finding:
    if turn is None:
        return finding
    one, verdict = turn
    measure = measurement(one.assumption.key)
    settles = f"To settle it, measure {measure}." if measure else "That is chance; no measurement settles it."
    return replace(
        finding,
        verdict="marginal",
        guessed=True,
        why=f"{finding.why} With {one.words} it would be {verdict}. {settles}",
        measure=measure,
    )
