"""Limits of the user's own, as the first screen, ``--long`` and the document tell them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.text import Text

from psucheck.checks.finding import Finding
from psucheck.report import view, words
from psucheck.report.view import Report

Json = dict[str, Any]


def headlines(report: Report) -> Iterator[RenderableType]:
    """Which own limits were used, below the verdict, and what passes by them alone."""
    used = [one.limit for one in report.own_limits if one.used_in]
    if used:
        style = words.STYLES["marginal"] if any(limit.way == "looser" for limit in used) else ""
        noun = "Limit" if len(used) == 1 else "Limits"
        yield Text(words.plain(f"{noun} {'; '.join(limit.told for limit in used)}."), style=style)
    elif report.own_limits:
        count = words.plural(len(report.own_limits), "limit")
        yield Text(f"{count} of yours, not used here.".capitalize())
    passed = [f"{words.place(one)} (house: {one.house_verdict})" for one in view.moved_by_own_limits(report)]
    if passed:
        yield Text(f"Milder by your limits alone: {', '.join(passed)}.", style=words.STYLES["marginal"])


def named(finding: Finding) -> Iterator[str]:
    """The same in short, where the headlines have told it in full."""
    if finding.own_limits:
        noun = "limit" if len(finding.own_limits) == 1 else "limits"
        yield f"By your {noun} {', '.join(finding.own_limits)}{_instead(finding)}."


def _instead(finding: Finding) -> str:
    return "" if finding.house_verdict is None else f"; {finding.house_verdict} by the house's"


def told(report: Report, finding: Finding) -> Iterator[str]:
    """A sentence for each own limit that was read for a finding, and the verdict by the house's."""
    limits = {one.limit.name: one.limit for one in report.own_limits}
    for name in finding.own_limits:
        yield f"Limit {limits[name].told}."
    if finding.house_verdict is not None:
        yield f"By the house's limits it would be {finding.house_verdict}."


def section(report: Report) -> Iterator[tuple[str, RenderableType]]:
    """Every own limit: its value beside the house's, the reason, the file, what it was read for."""
    if not report.own_limits:
        return
    blocks: list[RenderableType] = []
    for one in report.own_limits:
        limit = one.limit
        blocks.append(Text(words.plain(f"{limit.told}, from {limit.file}"), style="bold"))
        used = f"Used in: {', '.join(one.used_in)}." if one.used_in else "Not used here."
        said = words.plain(f'{limit.says[0].upper()}{limit.says[1:]}. Yours: "{limit.source}". {used}')
        blocks.append(Padding(Text(said), (0, 0, 0, 2)))
    for finding in report.findings:
        if finding.house_verdict is not None:
            moved = f"{finding.verdict} by yours, {finding.house_verdict} by the house's"
            blocks.append(Text(f"{words.place(finding)}: {moved}."))
    yield "Limits of yours", Group(*blocks)


def read_for(report: Report, output: str) -> Iterator[RenderableType]:
    """A line for an output beside the findings for which own limits were read."""
    limits = [one.limit.told for one in report.own_limits if output in one.used_in]
    if limits:
        noun = "Limit" if len(limits) == 1 else "Limits"
        yield Text(words.plain(f"{noun} {'; '.join(limits)}."))


def as_json(report: Report) -> Json:
    """The key that the document has for own limits; none where there are none."""
    if not report.own_limits:
        return {}
    return {
        "own_limits": [
            {
                "name": one.limit.name,
                "value": one.limit.value,
                "house": (one.limit.house or one.limit).value,
                "unit": one.limit.unit,
                "way": one.limit.way,
                "why": one.limit.source,
                "file": one.limit.file,
                "used_in": list(one.used_in),
            }
            for one in report.own_limits
        ]
    }


def of_finding(finding: Finding) -> Json:
    """The keys that a finding has where own limits were read for it."""
    if not finding.own_limits:
        return {}
    return {"own_limits": list(finding.own_limits), "house_verdict": finding.house_verdict or finding.verdict}
