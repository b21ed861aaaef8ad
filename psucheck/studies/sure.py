"""How sure a verdict is: what near a limit would be judged otherwise if a guess were otherwise.

One guess at a time is put at each end of its range, the conditions in which something lies near its limit
are run anew, and all rules judge again. A verdict that changes between ``ok`` and ``over`` on the way is
``marginal``, and says which measurement settles it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fnmatch import fnmatchcase

from psucheck.checks.case import Case, Rule
from psucheck.checks.finding import Finding, Verdict
from psucheck.checks.judging import severity, shown
from psucheck.checks.limits import Limits
from psucheck.checks.registry import RULES, judge_all
from psucheck.conditions.run import Outcome
from psucheck.conditions.variants import Variant, run_variants
from psucheck.engine.pool import Pool
from psucheck.figures.measure import flat, measure_coarse
from psucheck.figures.model import Figures
from psucheck.report.view import Report
from psucheck.supply.assumptions import Assumption
from psucheck.supply.fill import fill
from psucheck.supply.model import Description

NEAR = 0.15
"""Margin, as a share of the limit, within which a guess is taken to matter; none of the ranges moves a figure
further than that by itself."""
_MOST_CONDITIONS = 2
"""Conditions that are run anew, at most: those in which most figures lie near their limits."""

_COPPER = ("windings.*.resistance", "transformer.primary.resistance")
_OFF_LOAD = ("windings.*.off_load_volts",)
_DRAWN = ("loads.*", "filter.*.current")
_HANGS_ON: Mapping[str, tuple[str, ...]] = {
    "capacitor-voltage": _OFF_LOAD + _COPPER,
    "capacitor-sharing": _OFF_LOAD,
    "capacitor-ripple-current": _COPPER + _DRAWN + ("filter.*.esr",),
    "ripple": _COPPER + _DRAWN + ("filter.*.esr", "filter.*.inductance"),
    "loaded-voltage": _COPPER + _OFF_LOAD + _DRAWN,
    "rectifier-mean-current": _DRAWN,
    "rectifier-peak-current": _COPPER + _DRAWN + ("transformer.leakage",),
    "rectifier-reverse-voltage": _OFF_LOAD,
    "rectifier-source-resistance": _COPPER,
    "winding-current": _COPPER + _DRAWN,
    "heater-voltage": _COPPER + _OFF_LOAD,
    "choke-current": _DRAWN,
    "resistor-power": _DRAWN + _OFF_LOAD,
    "resistor-voltage": _OFF_LOAD,
    "valve-voltage": _COPPER + _OFF_LOAD,
    "valve-dissipation": _COPPER + _OFF_LOAD + _DRAWN,
    "bias-range": _COPPER,
    "fuse-running": _COPPER + _DRAWN + ("transformer.no_load_*",),
    "fuse-voltage": _OFF_LOAD,
}
"""Which assumptions can move a rule's figure by more than a few per cent of its limit: patterns of keys."""

_MEASUREMENTS: tuple[tuple[str, str], ...] = (
    ("windings.", "the ohms and the off-load volts of the winding"),
    ("transformer.primary", "the ohms of the primary"),
    ("transformer.", "current and watts off load (no_load_current, no_load_power)"),
    ("loads.", "the current at full output, and the drop over a screen resistor"),
    ("mains.", "the volts at the wall with and without a known load"),
    ("fuses.", "the fuse's ohms"),
    ("limiters.", "the limiter's type"),
)
_OF_NODES: tuple[tuple[str, str], ...] = (
    (".esr", "the capacitor's ESR"),
    (".leakage", "the capacitor's leakage at its working voltage"),
    (".inductance", "the choke's inductance"),
    (".knee", "the choke's rated current"),
    (".current", "DC on both sides of the dropper (was)"),
)


@dataclass(frozen=True)
class Supposed:
    """One guess put at one end of its range."""

    assumption: Assumption
    value: float

    @property
    def words(self) -> str:
        """``"transformer.primary.resistance at 12 ohm"``."""
        return f"{self.assumption.key} at {shown(self.value, self.assumption.unit)}"


def how_sure(
    report: Report,
    description: Description,
    outcomes: Sequence[Outcome],
    pool: Pool,
    limits: Limits,
    *,
    thorough: bool = False,
) -> Report:
    """``report`` with the verdicts that a guess could turn made marginal, and the range of figures noted.

    Parameters
    ----------
    thorough
        Put every guess at both ends of its range in every steady condition, so that every figure of theirs
        carries its range; else only those that may turn what lies near a limit.

    Raises
    ------
    SimulationError
        If a run fails.
    """
    near = [finding for finding in report.findings if _is_near(finding)]
    steady = {each.condition.name: each for each in outcomes if not each.condition.transient}
    if thorough:
        supposed, rerun = _suppositions(report.assumptions), list(steady.values())
    else:
        supposed = _suppositions(report.assumptions, near)
        moving = {finding.condition for finding in near if _patterns(finding, supposed)}
        times = Counter(finding.condition for finding in near if finding.condition in moving & steady.keys())
        rerun = [steady[name] for name, _ in times.most_common(_MOST_CONDITIONS) if name is not None]
    if not rerun or not supposed:
        return report
    variants = [_variant(description, {one.assumption.key: one.value}) for one in supposed]
    moved: list[Mapping[str, Figures]] = [
        {outcome.condition.name: measure_coarse(outcome) for outcome in moved_outcomes}
        for moved_outcomes in run_variants(variants, rerun, pool)
    ]
    figures = _with_ranges(report.figures, moved)
    rules = [rule for rule in RULES if thorough or rule.ID in {finding.rule for finding in near}]
    turned = _turned(report, supposed, moved, limits, rules)
    findings = [_unsure(finding, turned.get(finding)) for finding in report.findings]
    return replace(report, figures=figures, findings=sorted(findings, key=severity))


def _is_near(finding: Finding) -> bool:
    return (
        finding.verdict in ("ok", "over", "marginal")
        and finding.condition is not None
        and finding.margin is not None
        and abs(finding.margin) < NEAR
    )


def _same(finding: Finding, among: Sequence[Finding]) -> Finding | None:
    """The finding of ``among`` on the same thing; a rule may have two on it, as anode and screen watts."""
    alike = [one for one in among if (one.rule, one.subject) == (finding.rule, finding.subject)]
    limit = finding.limit or 0.0
    return min(alike, key=lambda one: abs((one.limit or 0.0) - limit), default=None)


def _patterns(finding: Finding, supposed: Sequence[Supposed]) -> bool:
    """Whether any of ``supposed`` can move the finding's figure."""
    return any(_moves(one.assumption, finding) for one in supposed)


def _moves(assumption: Assumption, finding: Finding) -> bool:
    return any(fnmatchcase(assumption.key, pattern) for pattern in _HANGS_ON.get(finding.rule, ()))


def _suppositions(assumptions: Sequence[Assumption], near: Sequence[Finding] | None = None) -> list[Supposed]:
    """Both ends of every assumption with a range, or only of those that can move a finding of ``near``."""
    return [
        Supposed(assumption, value)
        for assumption in assumptions
        if near is None or any(_moves(assumption, finding) for finding in near)
        for value in (assumption.low, assumption.high)
        if value is not None and value > 0 and value != assumption.value
    ]


def _variant(description: Description, supposed: Mapping[str, float]) -> Variant:
    found = fill(description.found, supposed=supposed)
    if description.proposed is None:
        return Variant(found, found)
    return Variant(fill(description.proposed, loads_of=found, supposed=supposed), found)


def _with_ranges(
    figures: Mapping[str, Figures], moved: Sequence[Mapping[str, Figures]]
) -> dict[str, Figures]:
    ranged = dict(figures)
    for name in moved[0]:
        numbers = [flat(figures[name]), *(flat(run[name]) for run in moved)]
        ends = {path: (min(n[path] for n in numbers), max(n[path] for n in numbers)) for path in numbers[0]}
        ranged[name] = replace(figures[name], guessed_range=ends)
    return ranged


def _turned(
    report: Report,
    supposed: Sequence[Supposed],
    moved: Sequence[Mapping[str, Figures]],
    limits: Limits,
    rules: Sequence[Rule],
) -> dict[Finding, tuple[Supposed, Verdict]]:
    """Findings that are over in one place of a guess's range and ok in another: what turns them."""
    turned: dict[Finding, tuple[Supposed, Verdict]] = {}
    courses = tuple(line.course for line in report.faults) if report.faults else None
    for one, figures in zip(supposed, moved, strict=True):
        case = Case(report.supply, {**report.figures, **figures}, report.assumptions, courses)
        for finding in judge_all(case, limits):
            known = _same(finding, report.findings)
            if known is not None and _turns(known, finding):
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
    return replace(
        finding,
        verdict="marginal",
        guessed=True,
        why=f"{finding.why} With {one.words} it would be {verdict}. To settle it, measure {measure}.",
        measure=measure,
    )


def measurement(key: str) -> str:
    """What to measure, so that the value of ``key`` need not be guessed."""
    named = _OF_NODES if key.startswith(("filter.", "rectifiers.")) else _MEASUREMENTS
    for part, words in named:
        if key.startswith(part) or (named is _OF_NODES and key.endswith(part)):
            return words
    return key
