"""Cures under the findings that they mend, in words and in the document."""

from __future__ import annotations

from dataclasses import replace

import jsonschema

from psucheck.checks.finding import Cure, Finding, Move
from psucheck.report import cures
from psucheck.report.document import document, schema
from psucheck.report.long import details
from psucheck.report.screen import screen
from psucheck.report.view import Report
from tests.report.rendering import text

FOUND = Cure(
    changes=(("filter.reservoir", "50 uF 600 V"),),
    says='change filter.reservoir to "50 uF 600 V"',
    verdict="ok",
    figure=551.0,
    limit=600.0,
    unit="V",
    moved=(
        Move("reservoir at idle", 441.0, 435.0, "V"),
        Move("ripple of reservoir", 3.1, 4.0, "V"),
        Move("anode current of output, each", 0.0384, 0.0379, "A"),
    ),
    also=("capacitor-voltage screens",),
    marginal=("ripple preamp",),
    note="no value there opens in time in shorted heaters: heaters",
    tried=(('change filter.reservoir to "50 uF 550 V"', "still over: 551 V, limit 550 V"),),
)
NONE = Cure((), "no single change was found that mends it; tried the fuse's value")
SHARED = replace(FOUND, figure=540.0, also=(), as_for="capacitor-voltage reservoir", tried=())


def finding(cure: Cure | None) -> Finding:
    return Finding("capacitor-voltage", "reservoir", None, "over", "", "", 551.0, 500.0, "V", cure=cure)


def said(cure: Cure | None) -> str:
    shown = cures.text(finding(cure))
    return "" if shown is None else shown.plain


def with_cure(report: Report, cure: Cure) -> Report:
    """The report with a cure at everything that is over."""
    over = [replace(f, cure=cure) if f.verdict == "over" else f for f in report.findings]
    return replace(report, findings=over, together="All cures together: nothing over, 2 marginal.")


def test_a_cure_in_words() -> None:
    assert said(FOUND) == (
        'Cure: change filter.reservoir to "50 uF 600 V": then 551 V of 600 V; nothing else becomes over; '
        "marginal by it: ripple preamp; no value there opens in time in shorted heaters: heaters; "
        "reservoir at idle 441 -> 435 V; ripple of reservoir 3.1 -> 4 V; "
        "anode current of output, each 38.4 -> 37.9 mA."
    )
    assert said(replace(FOUND, verdict="marginal", moved=(), marginal=(), note="")) == (
        'Cure: change filter.reservoir to "50 uF 600 V": then 551 V of 600 V, marginal; '
        "nothing else becomes over."
    )
    assert said(SHARED) == "Cure: the same as for capacitor-voltage reservoir."
    assert said(NONE) == "No cure: no single change was found that mends it; tried the fuse's value."
    assert said(None) == ""


def test_a_minimum_is_told_as_one() -> None:
    shown = cures.text(replace(finding(FOUND), lower_limit=True))
    assert shown is not None
    assert "then 551 V, at least 600 V;" in shown.plain


def test_it_stands_under_its_finding(report: Report) -> None:
    lines = [line.strip() for line in text(screen(with_cure(report, FOUND)), 80).splitlines()]
    over = next(i for i, line in enumerate(lines) if line.startswith("over"))
    assert any(line.startswith("Cure: change filter.reservoir") for line in lines[over : over + 5])
    assert "All cures together: nothing over, 2 marginal." in lines
    assert max(map(len, lines)) <= 80


def test_long_lists_what_was_tried(report: Report) -> None:
    shown = " ".join(text(details(with_cure(report, FOUND)), 120).split())
    assert "Tried, and no cure" in shown
    assert "still over: 551 V, limit 550 V" in shown
    assert "Tried, and no cure" not in text(details(report), 120)


def test_the_document_holds_it(report: Report) -> None:
    for cure in (FOUND, NONE, SHARED):
        made = document(with_cure(report, cure))
        jsonschema.validate(made, schema())
        held = next(f for f in made["findings"] if f["verdict"] == "over")["cure"]
        assert held["found"] is bool(cure.changes)
        assert held["changes"] == dict(cure.changes)
        assert held["as_for"] == (cure.as_for or None)
        assert made["cures_together"] == "All cures together: nothing over, 2 marginal."
    assert all(f["cure"] is None for f in document(report)["findings"])
    assert "cures_together" not in document(report)
