"""Supplies checked one beside the other, each whole, so that their findings can be held together."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from psucheck.checks.registry import UnmatchedAccepted, name_of
from psucheck.engine.here import in_worker
from psucheck.report.view import Report
from psucheck.studies.check import check
from psucheck.studies.many import Failed, Workers, run_many
from psucheck.supply.model import Description

FOUND, PROPOSED, RESET = "as found", "proposed", "bias reset"


@dataclass(frozen=True, slots=True)
class Compared:
    """What a comparison came to.

    Attributes
    ----------
    columns
        (heading, report) of each supply that was checked, in order; a bias that was set anew has a column
        of its own.
    failures
        Heading of each supply whose check came to nothing -> why.
    stopped
        Why the rest was not checked, where it was not.
    """

    columns: Sequence[tuple[str, Report]]
    failures: Mapping[str, str]
    stopped: str | None


@dataclass(frozen=True, slots=True)
class _Wanted:
    heading: str
    description: Description
    accepted: Mapping[str, str]


def compare(
    described: Sequence[tuple[str, Description]],
    workers: Workers,
    told: Callable[[int], None] | None = None,
    *,
    readings_of_first: bool = False,
) -> Compared:
    """Check every supply of ``described``; one that holds ``[new]``, alone, as found and as proposed.

    Parameters
    ----------
    described
        Heading and description of each. Among several, one with ``[new]`` is taken as proposed.
    readings_of_first
        The others are proposals for the first: what was read there (volts, currents, bias) holds for them,
        as it does for ``[new]``.

    Raises
    ------
    UnmatchedAccepted
        If ``[accepted]`` of a supply names what no rule found.
    NoCluster, LibraryNotFound
        If there is nothing to simulate with.
    """
    wanted = _wanted(described, readings_of_first=readings_of_first)
    done = run_many(_checked, wanted, workers, told)
    columns: list[tuple[str, Report]] = []
    failures: dict[str, str] = {}
    for number, result in done.results.items():
        heading = wanted[number].heading
        if isinstance(result, Failed):
            failures[heading] = result.why
        elif isinstance(result, _Unmatched):
            raise UnmatchedAccepted(result.name, result.nearest)
        else:
            columns.append((heading, result))
            if result.reset is not None:
                after = RESET if heading == PROPOSED else f"{heading}, {RESET}"
                columns.append((after, result.reset))
    return Compared(columns, failures, done.stopped)


def _wanted(described: Sequence[tuple[str, Description]], *, readings_of_first: bool) -> list[_Wanted]:
    heading, first = described[0]
    if len(described) == 1 and first.proposed is not None:
        # What stands accepted was accepted of the proposed supply; of the other it counts where it fits.
        accepted = first.found.accepted
        return [
            _Wanted(FOUND, Description(found=first.found.model_copy(update={"accepted": {}})), accepted),
            _Wanted(PROPOSED, first, {}),
        ]
    if not readings_of_first:
        return [_Wanted(name, description, {}) for name, description in described]
    alone = _Wanted(heading, Description(found=first.found), {})
    proposals = [
        _Wanted(name, Description(found=first.found, proposed=other.proposed or other.found), {})
        for name, other in described[1:]
    ]
    return [alone, *proposals]


@dataclass(frozen=True, slots=True)
class _Unmatched:
    """Carries :class:`UnmatchedAccepted` out of a worker."""

    name: str
    nearest: str | None


def _checked(wanted: _Wanted) -> Report | _Unmatched:
    """What a worker does for a supply."""
    try:
        report = check(wanted.description, in_worker())
    except UnmatchedAccepted as error:
        return _Unmatched(error.name, error.nearest)
    findings = [
        replace(finding, verdict="accepted")
        if finding.verdict in ("over", "marginal") and name_of(finding) in wanted.accepted
        else finding
        for finding in report.findings
    ]
    return replace(report, findings=findings, found=None)
