"""Looking for cures: each finding's candidates in turn, the whole check on each, the first that holds."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import islice

from psucheck.checks.finding import Cure, Finding
from psucheck.checks.limits import Limits
from psucheck.checks.own_limits import limits_of
from psucheck.checks.registry import name_of
from psucheck.engine.pool import Runner
from psucheck.engine.remembering import Remembering
from psucheck.parts import in_force
from psucheck.report import view
from psucheck.report.view import Report
from psucheck.studies.check import check
from psucheck.studies.cures import fuses
from psucheck.studies.cures.moved import moves
from psucheck.studies.cures.registry import WAYS
from psucheck.studies.cures.trial import FAILED, Trial, Trials, mended, objection, same, worsened
from psucheck.studies.cures.ways import Candidate, Trouble
from psucheck.supply.model import Description

_MOST_RUNS = {"over": 6, "marginal": 3}
"""Checks that are run for one finding at most, by its verdict."""


def check_with_cures(
    description: Description,
    pool: Runner,
    limits: Limits | None = None,
    *,
    ranges: bool = False,
    told: Callable[[str], None] = lambda _: None,
) -> Report:
    """Check a description as :func:`psucheck.studies.check.check` does, and look for cures.

    Raises
    ------
    SimulationError, UnmatchedAccepted
        As a check does; a change with which a run fails is no cure, and nothing worse.
    """
    limits = limits or limits_of(description.found)
    remembering = Remembering(pool)
    told("the supply as it is")
    report = check(description, remembering, limits, ranges=ranges)
    remembering.keeps = False
    return with_cures(report, description, remembering, limits, told)


def with_cures(
    report: Report,
    description: Description,
    pool: Runner,
    limits: Limits | None = None,
    told: Callable[[str], None] = lambda _: None,
) -> Report:
    """``report`` with a cure for each finding that is over or marginal, or with the word that there is none.

    A cure that mends several findings is looked for once. Where there are several cures, one more check is
    run with all of them in.

    Parameters
    ----------
    description
        What ``report`` is of, as it was read.
    told
        Is told what is being tried.
    """
    limits = limits or limits_of(description.found)
    trials = Trials(description, pool, limits, told)
    cures: dict[Finding, Cure] = {}
    taken: list[Candidate] = []
    with in_force(report.supply.library):
        for finding in _troubles(report):
            if finding in cures:
                continue
            cure, trial = _cure(finding, report, trials, limits)
            cures[finding] = cure
            if trial is not None:
                taken.append(trial.candidate)
                for other in mended(trial, report):
                    cures.setdefault(other, _shared(other, cure, trial, finding))
        together = _together(taken, report, trials)
    findings = [replace(finding, cure=cures.get(finding)) for finding in report.findings]
    return replace(report, findings=findings, together=together)


def _troubles(report: Report) -> list[Finding]:
    return [*view.worst_first(report.findings, "over"), *view.worst_first(report.findings, "marginal")]


def _candidates(trouble: Trouble) -> Iterator[tuple[str, Candidate]]:
    """What may mend a finding, smallest change first, each with the way that it is."""
    held: set[frozenset[tuple[str, str | None]]] = set()
    for way in WAYS.get(trouble.finding.rule, ()):
        for candidate in islice(way.make(trouble), way.most):
            changes = frozenset(candidate.changes.items())
            if changes not in held:
                held.add(changes)
                yield way.what, candidate


def _cure(finding: Finding, report: Report, trials: Trials, limits: Limits) -> tuple[Cure, Trial | None]:
    """The first candidate that mends the finding; one that leaves it marginal only if none does better."""
    tried: list[tuple[str, str]] = []
    looked: dict[str, None] = {}
    fallback: Trial | None = None
    before = trials.runs
    for what, candidate in _candidates(Trouble(finding, report, limits)):
        if not trials.known(candidate) and trials.runs - before >= _MOST_RUNS[finding.verdict]:
            break
        looked.setdefault(what)
        trial = trials.run(candidate)
        against = objection(trial, finding, report)
        if against:
            tried.append((candidate.words, against))
            continue
        assert trial.report is not None
        after = same(finding, trial.report.findings)
        if after is not None and after.verdict == "ok":
            return _found(finding, trial, report, tried), trial
        fallback = fallback or trial
        tried.append((candidate.words, "then marginal"))
    if fallback is not None:
        return _found(finding, fallback, report, tried), fallback
    if tried and all(why == FAILED for _, why in tried):
        return Cure((), "the simulation failed on every change that was tried", tried=tuple(tried)), None
    return Cure((), _none_found(list(looked)), tried=tuple(tried)), None


def _found(finding: Finding, trial: Trial, report: Report, tried: list[tuple[str, str]]) -> Cure:
    assert trial.report is not None
    after = same(finding, trial.report.findings)
    assert after is not None
    others = [name_of(other) for other in mended(trial, report) if other != finding]
    return Cure(
        changes=tuple(trial.candidate.changes.items()),
        says=trial.candidate.words,
        verdict=after.verdict,
        figure=after.figure,
        limit=after.limit,
        unit=after.unit,
        moved=moves(report, trial.report),
        also=tuple(dict.fromkeys(others)),
        marginal=tuple(dict.fromkeys(name_of(other) for other in worsened(trial, report))),
        note="; ".join(filter(None, (fuses.beyond(trial.report, place) for place in _places(trial)))),
        tried=tuple(one for one in tried if one[0] != trial.candidate.words),
    )


def _places(trial: Trial) -> list[str]:
    """Where a change puts fuses."""
    return [path.removeprefix("fuses.") for path in trial.candidate.changes if path.startswith("fuses.")]


def _shared(other: Finding, cure: Cure, trial: Trial, first: Finding) -> Cure:
    """The cure of ``first``, as it stands at another finding that it mends."""
    assert trial.report is not None
    after = same(other, trial.report.findings)
    assert after is not None
    names = [name_of(first), *(name for name in cure.also if name != name_of(other))]
    return replace(
        cure,
        verdict=after.verdict,
        figure=after.figure,
        limit=after.limit,
        unit=after.unit,
        also=tuple(dict.fromkeys(names)),
        as_for=name_of(first),
        tried=(),
    )


def _none_found(looked: list[str]) -> str:
    if not looked:
        return "no value or part was found that could be changed by itself"
    listed = looked[0] if len(looked) == 1 else f"{', '.join(looked[:-1])} and {looked[-1]}"
    return f"no single change was found that mends it; tried {listed}"


def _together(taken: list[Candidate], report: Report, trials: Trials) -> str:
    """What a check says with every cure in at once."""
    if len(taken) < 2:
        return ""
    changes: dict[str, str | None] = {}
    for candidate in taken:
        for path, value in candidate.changes.items():
            if changes.setdefault(path, value) != value:
                return f"Two of the cures change {path}: take one of them and check again."
    trial = trials.run(Candidate(changes, "all cures together"))
    if trial.report is None:
        return f"All cures together could not be checked: {trial.refused}."
    tally = view.counts(trial.report.findings)
    over = view.worst_first(trial.report.findings, "over")
    if not over:
        return f"All cures together: nothing over, {tally['marginal']} marginal."
    names = ", ".join(dict.fromkeys(name_of(finding) for finding in over))
    new = [finding for finding in over if (b := same(finding, report.findings)) and b.verdict != "over"]
    word = "over, some of it brought about by them" if new else "still over"
    return f"All cures together: {names} {word}."
