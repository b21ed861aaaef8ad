"""A change tried: the whole check on the changed supply, and whether that makes it a cure."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from psucheck.checks.finding import Finding
from psucheck.checks.limits import Limits
from psucheck.checks.registry import UnmatchedAccepted, name_of
from psucheck.engine.pool import Runner
from psucheck.engine.simulator import SimulationError
from psucheck.report import words
from psucheck.report.view import Report
from psucheck.studies.check import check
from psucheck.studies.cures import fuses
from psucheck.studies.cures.ways import Candidate
from psucheck.supply.changes import changed
from psucheck.supply.errors import DescriptionError
from psucheck.supply.model import Description

FAILED = "the simulation of the changed supply failed"
_SAME = 0.005
"""Margins, as shares of their limits, that differ by less are the same: the runs are no finer."""


@dataclass(frozen=True)
class Trial:
    """A candidate with the report on the supply so changed, or with why there is none."""

    candidate: Candidate
    report: Report | None
    refused: str = ""


class Trials:
    """All that has been tried on one description; nothing is run twice."""

    def __init__(
        self, description: Description, pool: Runner, limits: Limits, told: Callable[[str], None]
    ) -> None:
        self.description = description
        self.pool = pool
        self.limits = limits
        self.told = told
        self.held: dict[frozenset[tuple[str, str | None]], Trial] = {}

    @property
    def runs(self) -> int:
        """How many checks have been run."""
        return sum(trial.report is not None for trial in self.held.values())

    def known(self, candidate: Candidate) -> bool:
        """Whether a change has been tried already."""
        return frozenset(candidate.changes.items()) in self.held

    def run(self, candidate: Candidate) -> Trial:
        """Try a change, as a proposal beside the supply as found, so that readings stay what they were."""
        key = frozenset(candidate.changes.items())
        if key not in self.held:
            self.told(candidate.words)
            self.held[key] = self._run(candidate)
        return self.held[key]

    def _run(self, candidate: Candidate) -> Trial:
        try:
            after = changed(self.description, candidate.changes, beside=True)
            return Trial(candidate, check(after, self.pool, self.limits))
        except DescriptionError as error:
            return Trial(candidate, None, error.problems[0].message)
        except UnmatchedAccepted as error:
            return Trial(candidate, None, str(error))
        except SimulationError:
            return Trial(candidate, None, FAILED)


def same(finding: Finding, among: Sequence[Finding]) -> Finding | None:
    """The finding of ``among`` on the same thing; a rule may have two on it, as anode and screen watts."""
    alike = [one for one in among if name_of(one) == name_of(finding) and one.part == finding.part]
    limit = finding.limit or 0.0
    return min(alike, key=lambda one: abs((one.limit or 0.0) - limit), default=None)


def objection(trial: Trial, finding: Finding, base: Report) -> str:
    """Why a change is no cure of ``finding``; empty if it is one.

    It is one if the finding is no longer over (no longer marginal, if it was that), nothing else becomes
    over, nothing that is over or accepted gets worse, nothing that was checked goes unchecked, and every fuse
    that it puts in serves in the faults it is for.
    """
    if trial.report is None:
        return trial.refused
    after = same(finding, trial.report.findings)
    if after is None or after.verdict == "not checked":
        return "it could not be checked any more"
    if after.verdict == "over" or after.verdict == finding.verdict:
        figures = words.against(after)
        return f"still {after.verdict}: {figures}" if figures else f"still {after.verdict}"
    for other in trial.report.findings:
        said = _harm(other, same(other, base.findings))
        if said:
            return said
    for path in trial.candidate.changes:
        place = path.removeprefix("fuses.")
        if place != path and (said := fuses.safe(base, trial.report, place)):
            return f"the fuse at {place}: {said}"
    return ""


def _harm(after: Finding, before: Finding | None) -> str:
    """What a change makes of another finding, if it makes it worse than may be."""
    name = words.place(after)
    told = words.against(after) or after.why
    if after.verdict == "over" and (before is None or before.verdict != "over"):
        return f"{name} becomes over: {told}"
    if before is None:
        return ""
    if after.verdict == "not checked" and before.verdict != "not checked":
        return f"{name} could not be checked any more"
    if before.verdict in ("over", "accepted") and _worse(after, before):
        return f"{name}, {before.verdict} as it is, gets worse: {told}"
    return ""


def _worse(after: Finding, before: Finding) -> bool:
    return after.margin is not None and before.margin is not None and after.margin < before.margin - _SAME


def mended(trial: Trial, base: Report) -> list[Finding]:
    """All findings of ``base`` that were over or marginal and no longer are."""
    assert trial.report is not None
    found = []
    for finding in base.findings:
        after = same(finding, trial.report.findings)
        if finding.verdict == "over" and after is not None and after.verdict in ("ok", "marginal"):
            found.append(finding)
        if finding.verdict == "marginal" and after is not None and after.verdict == "ok":
            found.append(finding)
    return found


def worsened(trial: Trial, base: Report) -> list[Finding]:
    """What becomes marginal that was ok."""
    assert trial.report is not None
    found = []
    for after in trial.report.findings:
        before = same(after, base.findings)
        if after.verdict == "marginal" and (before is None or before.verdict == "ok"):
            found.append(after)
    return found
