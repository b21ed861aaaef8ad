"""try: a supply with other values put in, each checked whole, and which of them stand."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import product

from psucheck.checks.finding import Finding
from psucheck.checks.judging import SEVERITY
from psucheck.checks.registry import UnmatchedAccepted, name_of
from psucheck.engine.here import in_worker
from psucheck.figures.model import Figures
from psucheck.report import view
from psucheck.report.trial import Outcome, Row, Trial, failed
from psucheck.report.view import Report
from psucheck.studies.check import check
from psucheck.studies.many import Failed, Workers, run_many
from psucheck.supply.changes import changed
from psucheck.supply.errors import DescriptionError, Problem
from psucheck.supply.model import Description
from psucheck.supply.topology import is_negative, rectifier_of

MOST = 1000
"""Points that are tried at most; each is a whole check, of about a second on a core."""


class TooMany(ValueError):
    """More points than are tried at once."""


@dataclass(frozen=True, slots=True)
class _Point:
    description: Description
    values: tuple[tuple[str, str], ...]
    as_proposal: bool


def points(tried: Mapping[str, Sequence[str]]) -> list[tuple[str, ...]]:
    """Every combination of the values of each path, the last path's changing fastest.

    Raises
    ------
    TooMany
        If there are more than :data:`MOST`; says how many.
    """
    count = math.prod(len(values) for values in tried.values())
    if count > MOST:
        times = " x ".join(str(len(values)) for values in tried.values())
        made = f"{times} = {count:,}" if len(tried) > 1 else f"{count:,}"
        raise TooMany(
            f"{made} points; {MOST:,} at most are tried at once. Take fewer values, or a coarser series."
        )
    return list(product(*tried.values()))


def try_values(
    description: Description,
    tried: Mapping[str, Sequence[str]],
    workers: Workers,
    told: Callable[[int], None] | None = None,
    *,
    as_proposal: bool = False,
) -> Trial:
    """Check ``description`` as it is, and with every combination of values put in.

    Parameters
    ----------
    tried
        Path in the description -> the values to put there, as the file would have them.
    as_proposal
        What was read (volts, currents, bias) was read in the supply as it is, and holds for the changed one;
        else each is checked as a file with those values would be.

    Raises
    ------
    DescriptionError
        If a path leads nowhere, or a value alone cannot stand there: nothing is run then.
    TooMany
        If there are too many points.
    """
    wanted = points(tried)
    _each_alone(description, tried, as_proposal=as_proposal)
    paths = tuple(tried)
    jobs = [_Point(description, (), as_proposal)]
    jobs += [_Point(description, tuple(zip(paths, values, strict=True)), as_proposal) for values in wanted]
    done = run_many(_tried, jobs, workers, told)
    rows = [
        Row(number, jobs[number].values, failed(result.why) if isinstance(result, Failed) else result)
        for number, result in done.results.items()
    ]
    described = next((row for row in rows if row.number == 0), None)
    rest = sorted((row for row in rows if row.number), key=lambda row: row.rank)
    return Trial(description.found.title, paths, described, tuple(rest), len(wanted), done.stopped)


def _each_alone(description: Description, tried: Mapping[str, Sequence[str]], *, as_proposal: bool) -> None:
    """Put in every value by itself, so that a slip is told before anything is run."""
    problems: dict[tuple[str, str], Problem] = {}
    for path, values in tried.items():
        for value in values:
            try:
                changed(description, {path: value}, beside=as_proposal)
            except DescriptionError as error:
                for problem in error.problems:
                    problems.setdefault((problem.key, problem.message), problem)
    if problems:
        raise DescriptionError(problems.values())


def _tried(point: _Point) -> Outcome:
    """What a worker does for a point."""
    try:
        description = point.description
        if point.values:
            description = changed(description, dict(point.values), beside=point.as_proposal)
        return outcome(check(description, in_worker()))
    except DescriptionError as error:
        return failed("; ".join(problem.sentence() for problem in error.problems))
    except UnmatchedAccepted as error:
        return failed(str(error))


def outcome(report: Report) -> Outcome:
    """What a trial tells of a checked supply."""
    rail = next((name for name in report.supply.filter if not is_negative(report.supply, name)), None)
    full = view.at(report, "full output") or view.at(report, "idle")
    worst = _worst(report.findings)
    fuse = _worst([finding for finding in report.findings if finding.rule.startswith("fuse-")])
    tally = view.counts(report.findings)
    return Outcome(
        over=tally["over"],
        marginal=tally["marginal"],
        not_checked=tally["not checked"],
        rail=rail,
        volts=_of_node(full, rail, "dc"),
        ripple=_of_node(full, rail, "ripple_pp"),
        peak=_peak(report, full, rail),
        worst=worst,
        fuse=fuse,
        broken=tuple(name_of(f) for f in view.worst_first(report.findings, "over")),
        highest=view.highest(report),
        cautions=tuple(report.cautions),
    )


def _worst(findings: Sequence[Finding]) -> Finding | None:
    """The finding with the worst verdict and the least margin, among those that have a margin."""
    judged = [f for f in findings if f.margin is not None and f.verdict in ("over", "marginal", "ok")]
    return min(judged, key=lambda f: (SEVERITY[f.verdict], f.margin), default=None)


def _of_node(figures: Figures | None, node: str | None, key: str) -> float | None:
    if figures is None or node is None or node not in figures.nodes:
        return None
    return float(getattr(figures.nodes[node], key))


def _peak(report: Report, figures: Figures | None, rail: str | None) -> float | None:
    if figures is None or rail is None:
        return None
    rectifier = rectifier_of(report.supply, rail)
    return figures.rectifiers[rectifier].peak_current if rectifier in figures.rectifiers else None
