"""Cures as they are shown: under the finding that they mend, and all that was tried."""

from __future__ import annotations

from collections.abc import Iterator

from rich.console import RenderableType
from rich.text import Text

from psucheck.checks.finding import Cure, Finding, Move
from psucheck.report import words
from psucheck.report.view import Report
from psucheck.report.words import plain

Json = dict[str, object]

_MOST_MOVES = 4


def text(finding: Finding) -> Text | None:
    """What mends a finding, or that nothing was found; None where no cure was looked for."""
    cure = finding.cure
    if cure is None:
        return None
    if not cure.changes:
        return Text(f"No cure: {plain(cure.says)}.")
    if cure.as_for:
        return Text.assemble(("Cure", "bold"), f": the same as for {plain(cure.as_for)}.")
    return Text.assemble(("Cure", "bold"), f": {plain(cure.says)}: {_then(finding, cure)}.")


def _then(finding: Finding, cure: Cure) -> str:
    said = []
    if cure.figure is not None and cure.limit is not None:
        word = ", at least" if finding.lower_limit else " of"
        figure, limit = words.amount(cure.figure, cure.unit), words.amount(cure.limit, cure.unit)
        said.append(f"then {figure}{word} {limit}" + (", marginal" if cure.verdict == "marginal" else ""))
    else:
        said.append(f"then {cure.verdict}")
    said.append("nothing else becomes over")
    if cure.marginal:
        said.append(f"marginal by it: {', '.join(map(plain, cure.marginal))}")
    if cure.note:
        said.append(plain(cure.note))
    said += [_move(move) for move in cure.moved[:_MOST_MOVES]]
    return "; ".join(said)


def _move(move: Move) -> str:
    """``reservoir at idle 441 -> 435 V``."""
    before, after = words.amount(move.before, move.unit), words.amount(move.after, move.unit)
    if before.split(" ")[1:] == after.split(" ")[1:]:
        before = before.split(" ")[0]
    return f"{plain(move.what)} {before} -> {after}"


def together(report: Report) -> RenderableType | None:
    """What all cures come to at once; None where there are not several."""
    return Text(plain(report.together)) if report.together else None


def sections(report: Report) -> Iterator[tuple[str, RenderableType]]:
    """The changes that were tried and are no cure."""
    table = words.ruled("finding", "change tried", "why not", left=3)
    for finding in report.findings:
        for change, why in finding.cure.tried if finding.cure is not None else ():
            words.row(table, words.place(finding), change, why)
    if table.row_count:
        yield "Tried, and no cure", table


def as_json(cure: Cure | None) -> Json | None:
    """A cure in the document; the paths are those of the description."""
    if cure is None:
        return None
    return {
        "found": bool(cure.changes),
        "says": cure.says,
        "changes": dict(cure.changes),
        "verdict": cure.verdict,
        "figure": cure.figure,
        "limit": cure.limit,
        "unit": cure.unit,
        "moved": [
            {"what": move.what, "before": move.before, "after": move.after, "unit": move.unit}
            for move in cure.moved
        ],
        "also": list(cure.also),
        "as_for": cure.as_for or None,
        "marginal": list(cure.marginal),
        "note": cure.note or None,
        "tried": [{"says": says, "because": because} for says, because in cure.tried],
    }
