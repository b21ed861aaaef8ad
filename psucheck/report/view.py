"""The one thing that every output takes: a supply, its figures, and what the rules say of them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import get_args

from psucheck.checks import relay_pull_in
from psucheck.checks.fault_table import FaultLine
from psucheck.checks.finding import Finding, Verdict
from psucheck.checks.fuse_values import FuseChoice
from psucheck.checks.own_limits import UsedLimit
from psucheck.figures.model import Figures, Level, RelayFigures, State
from psucheck.supply.assumptions import Assumption
from psucheck.supply.model import Supply

VERDICTS: tuple[Verdict, ...] = get_args(Verdict)


@dataclass(frozen=True, slots=True)
class Tap:
    """What one primary tap would give at the wall voltage [V]; ``node`` is the B+ node that is told."""

    name: str
    node: str
    cold: float
    idle: float
    heaters: Mapping[str, float]


@dataclass(frozen=True)
class Report:
    """All that the outputs show, and nothing they have to work out.

    Attributes
    ----------
    supply, title
        As described (the proposed supply, where the file has both).
    figures
        Condition name -> figures, in the order in which they are shown.
    findings, cautions
        What the rules say, ``ok`` included; cautions are whole sentences with this supply's numbers, the
        highest voltage first.
    assumptions
        What was derived, taken as a default, or guessed.
    remarks
        Facts of the description that contradict each other, a sentence each.
    found
        The supply as found, where the file holds it and a proposed one.
    reset
        The proposed supply once more with its bias set anew; all that stands beside it here is then with the
        bias untouched.
    taps
        A transformer's primary taps compared, at the wall voltage.
    relays
        The mains at which each relay pulls in.
    own_parts
        Which parts of the user's own stand in it, and from which file, a phrase each.
    own_limits
        Limits of the user's own, and what each was read for.
    faults, fuse_values
        What each fault comes to that a fuse is there for, and which values each fuse may have.
    together
        What a check says with every cure in at once, a sentence; empty where there are not several.
    """

    supply: Supply
    title: str
    figures: Mapping[str, Figures]
    findings: list[Finding]
    cautions: list[str]
    assumptions: tuple[Assumption, ...] = ()
    remarks: Sequence[str] = ()
    found: Report | None = None
    reset: Report | None = None
    taps: tuple[Tap, ...] = ()
    relays: tuple[RelayFigures, ...] = ()
    own_parts: tuple[str, ...] = ()
    own_limits: tuple[UsedLimit, ...] = ()
    faults: tuple[FaultLine, ...] = ()
    fuse_values: tuple[FuseChoice, ...] = ()
    together: str = ""


@dataclass(frozen=True, slots=True)
class Extreme:
    """The voltage furthest from chassis at a node [V], and the condition in which it occurs."""

    node: str
    volts: float
    condition: str


FAULTS, FUSE_VALUES, CAUTIONS = "when something fails", "values for the fuses", "cautions"
"""What a limit may be read for beside findings, as outputs name it."""


def moved_by_own_limits(report: Report) -> list[Finding]:
    """Findings that the house's limits would have given a verdict that matters more.

    What was not checked by the house's, or is not by the user's, counts as neither.
    """
    ranks: dict[Verdict, int] = {"over": 0, "marginal": 1, "ok": 2}
    return [
        finding
        for finding in report.findings
        if finding.house_verdict in ranks and ranks[finding.house_verdict] < ranks.get(finding.verdict, -1)
    ]


def relay_verdict(report: Report, relay: RelayFigures) -> Verdict:
    """What the rule on relays says of one."""
    said = [f.verdict for f in report.findings if (f.rule, f.subject) == (relay_pull_in.ID, relay.name)]
    return said[0] if said else "not checked"


def counts(findings: Iterable[Finding]) -> dict[Verdict, int]:
    """How many findings there are of each verdict, every verdict named."""
    tally: dict[Verdict, int] = dict.fromkeys(VERDICTS, 0)
    for finding in findings:
        tally[finding.verdict] += 1
    return tally


def worst_first(findings: Iterable[Finding], verdict: Verdict) -> list[Finding]:
    """The findings of one verdict: those without a margin first, then the most broken limit."""
    chosen = [finding for finding in findings if finding.verdict == verdict]
    return sorted(chosen, key=lambda f: (f.margin is not None, f.margin or 0.0))


def headline(report: Report) -> str:
    """The verdict in one line. It says "nothing over" only of what was checked, never "ok"."""
    tally = counts(report.findings)
    if not any(tally[verdict] for verdict in VERDICTS if verdict != "not checked"):
        lead = "NOTHING CHECKED"
    elif tally["over"]:
        lead = "OVER"
    else:
        lead = "NOTHING OVER"
    rest = ", ".join(
        f"{tally[verdict]} {verdict}" for verdict in ("marginal", "accepted", "not checked", "ok")
    )
    return f"{lead}: {tally['over']} over, {rest}"


def exit_status(report: Report, *, strict: bool = False) -> int:
    """0 where nothing is over, 1 where something is; ``strict`` also counts marginal and not checked."""
    tally = counts(report.findings)
    failing = tally["over"]
    if strict:
        failing += tally["marginal"] + tally["not checked"]
    return 1 if failing else 0


def by_measurement(findings: Iterable[Finding]) -> tuple[list[tuple[str, list[Finding]]], list[Finding]]:
    """Sort what was not checked by the measurement that would settle it.

    Returns
    -------
    groups
        (measurement, its findings), the one that settles most first.
    rest
        The findings that name no measurement.
    """
    groups: dict[str, list[Finding]] = {}
    rest: list[Finding] = []
    for finding in findings:
        if finding.verdict != "not checked":
            continue
        if finding.measure:
            groups.setdefault(finding.measure, []).append(finding)
        else:
            rest.append(finding)
    return sorted(groups.items(), key=lambda item: -len(item[1])), rest


def table_level(report: Report) -> Level:
    """The mains level that tables are made at: the wall where a wall voltage was run, else nominal."""
    return "wall" if any(figures.level == "wall" for figures in report.figures.values()) else "nominal"


def at(report: Report, state: State, level: Level | None = None) -> Figures | None:
    """The figures of ``state`` at ``level`` (:func:`table_level` if not given); None if not run."""
    wanted = level or table_level(report)
    for figures in report.figures.values():
        if figures.state == state and figures.level == wanted:
            return figures
    return None


def nodes(report: Report) -> list[str]:
    """All nodes that have figures: the description's in its order, then any other."""
    known = dict.fromkeys(name for figures in report.figures.values() for name in figures.nodes)
    first = [name for name in report.supply.filter if name in known]
    return first + [name for name in known if name not in report.supply.filter]


def extreme(report: Report, node: str) -> Extreme | None:
    """The voltage of ``node`` furthest from zero over all conditions; the first one, where several tie."""
    found: Extreme | None = None
    for figures in report.figures.values():
        if node not in figures.nodes:
            continue
        low, high = figures.nodes[node].min, figures.nodes[node].max
        volts = low if abs(low) > abs(high) else high
        if found is None or abs(volts) > abs(found.volts):
            found = Extreme(node, volts, figures.name)
    return found


def highest(report: Report) -> Extreme | None:
    """The highest voltage on any node in any condition; None where nothing was run."""
    extremes = [found for node in nodes(report) if (found := extreme(report, node)) is not None]
    return max(extremes, key=lambda found: abs(found.volts), default=None)
