"""What ``--long`` adds: every part against its ratings, all figures, what was assumed, the sources."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from psucheck.checks.finding import Finding
from psucheck.report import cures, faults, own_limits, tables, words
from psucheck.report.view import VERDICTS, Report
from psucheck.report.words import plain
from psucheck.supply.assumptions import Assumption


def details(report: Report) -> RenderableType:
    """All that stands behind the first screen."""
    sources = list_sources(report)
    parts: list[RenderableType] = []
    for title, content in _sections(report, sources):
        parts += [Text(), words.heading(title), content]
    return Group(*parts)


def _sections(report: Report, sources: list[str]) -> Iterator[tuple[str, RenderableType]]:
    if report.findings:
        yield "Every part against its ratings", _ratings(report.findings, sources)
    reasons = list(_reasons(report))
    if reasons:
        yield "Why, and what to do", Group(*reasons)
    yield from own_limits.section(report)
    yield from cures.sections(report)
    yield from faults.sections(report)
    yield from tables.sections(report)
    if report.assumptions:
        yield "Taken, since the description does not say", _assumptions(report.assumptions, sources)
    if sources:
        yield "Sources", _sources(sources)


def list_sources(report: Report) -> list[str]:
    """The distinct sources of limits and defaults, in the order in which they are first used."""
    cited = [finding.source for finding in report.findings]
    cited += [assumption.source for assumption in report.assumptions]
    return list(dict.fromkeys(source for source in cited if source))


def _tag(source: str, sources: list[str]) -> str:
    return f"[{sources.index(source) + 1}]" if source else ""


def _ratings(findings: Iterable[Finding], sources: list[str]) -> Table:
    """All findings in the rules' order; a rule's name stands above its subjects."""
    table = words.ruled("Part and condition", "figure", "limit", "", "verdict", "")
    for column in table.columns[3:]:
        column.justify = "left"
        column.no_wrap = True
    groups: dict[str, list[Finding]] = {}
    for finding in findings:
        groups.setdefault(finding.rule, []).append(finding)
    for rule, members in groups.items():
        words.row(table, Text(plain(rule), style="bold"))
        for finding in members:
            where = "; ".join(each for each in (words.spot(finding), finding.condition) if each)
            words.row(
                table,
                words.indented(where),
                words.amount(finding.figure, finding.unit),
                _limit(finding),
                words.excess(finding, brief=True),
                words.verdict_text(finding.verdict),
                f"{_tag(finding.source, sources)}{' yours' if finding.own_limits else ''}".strip(),
            )
    return table


def _limit(finding: Finding) -> str:
    if finding.limit is None:
        return words.NONE
    return ("min " if finding.lower_limit else "") + words.amount(finding.limit, finding.unit)


def _reasons(report: Report) -> Iterator[RenderableType]:
    """Everything that is not ``ok``, in words."""
    for verdict in VERDICTS:
        if verdict == "ok":
            continue
        for finding in report.findings:
            if finding.verdict != verdict:
                continue
            when = f"; {plain(finding.condition)}" if finding.condition else ""
            yield Text.assemble(words.verdict_text(verdict), ": ", (words.place(finding), "bold"), when)
            said = [finding.why, finding.change, _measure(finding), _accepted(report, finding)]
            said += own_limits.told(report, finding)
            if finding.guessed:
                said.append("Rests on a guess, or on a value from memory.")
            yield Padding(Text(" ".join(plain(part) for part in said if part)), (0, 0, 0, 2))


def _measure(finding: Finding) -> str | None:
    return f"To settle it: {finding.measure}." if finding.measure else None


def _accepted(report: Report, finding: Finding) -> str | None:
    reason = report.supply.accepted.get(f"{finding.rule} {finding.subject}")
    return f'Accepted: "{reason}".' if finding.verdict == "accepted" and reason else None


def _assumptions(assumptions: Iterable[Assumption], sources: list[str]) -> Table:
    """Guesses first, since a verdict hangs on them most."""
    table = Table.grid(padding=(0, 2, 0, 0))
    table.add_column(no_wrap=True)
    table.add_column()
    order = ("guess", "default", "derived")
    for assumption in sorted(assumptions, key=lambda a: order.index(a.kind)):
        value = words.assumed(assumption.value, assumption.unit)
        tag = _tag(assumption.source, sources)
        said = f"{assumption.key}: {value}{_range(assumption)}; {assumption.why} {tag}"
        words.row(table, assumption.kind, said.strip())
    return table


def _range(assumption: Assumption) -> str:
    if assumption.low is None or assumption.high is None:
        return ""
    low, high = (words.assumed(value, assumption.unit) for value in (assumption.low, assumption.high))
    return f" ({low} to {high})"


def _sources(sources: list[str]) -> Table:
    table = Table.grid(padding=(0, 1, 0, 0))
    table.add_column(justify="right", no_wrap=True)
    table.add_column()
    for index, source in enumerate(sources, start=1):
        words.row(table, f"[{index}]", source)
    return table
