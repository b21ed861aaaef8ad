from dataclasses import replace

import pytest
from syrupy.assertion import SnapshotAssertion

from psucheck.report.long import details, list_sources
from psucheck.report.view import Report
from tests.report.rendering import text


@pytest.fixture
def few(report: Report) -> Report:
    """Two steady conditions, switch-on and switch-off: every table, few lines."""
    wanted = (
        "idle, wall mains",
        "full output, high mains",
        "switch-on, high mains",
        "switch-off, high mains",
    )
    return replace(report, figures={name: report.figures[name] for name in wanted})


@pytest.mark.parametrize("width", [80, 120])
def test_plain(few: Report, width: int, snapshot: SnapshotAssertion) -> None:
    assert text(details(few), width) == snapshot


def test_every_finding_and_every_source_is_listed(report: Report) -> None:
    shown = text(details(report), 160)
    for finding in report.findings:
        where = f"{finding.subject}; {finding.condition}" if finding.condition else finding.subject
        assert where in shown
    for index, source in enumerate(list_sources(report), start=1):
        assert f"[{index}] {source}" in shown


def test_each_source_is_listed_once(report: Report) -> None:
    sources = list_sources(report)
    assert len(set(sources)) == len(sources) == 6
    assert "" not in sources


def test_every_assumption_is_listed_with_its_kind_and_range(report: Report) -> None:
    shown = text(details(report), 120)
    assert "guess    transformer.regulation: 8 % (5 % to 12 %); usual for 150 VA [2]" in shown
    assert "derived  loads.preamp.current: 4 mA; the drop over the 10k" in shown


def test_averages_after_switch_off_are_not_told(report: Report) -> None:
    shown = text(details(report), 120)
    volts = shown[shown.index("\nVolts\n") : shown.index("\nOnce the mains is off\n")]
    assert "switch-off" not in volts


def test_a_narrow_terminal_does_not_crash(report: Report) -> None:
    assert max(map(len, text(details(report), 40).splitlines())) <= 40


def test_the_users_words_are_never_markup(few: Report) -> None:
    first = replace(few.findings[0], subject="[red]x[/red]", why="[/] why \x1b[0m", source="[bold]s")
    shown = text(details(replace(few, findings=[first])), 120)
    assert "[red]x[/red]; valves out" in shown
    assert "[/] why [0m" in shown
    assert "[1] [bold]s" in shown


def test_a_report_with_nothing_in_it(report: Report) -> None:
    assert text(details(replace(report, figures={}, findings=[], assumptions=())), 80) == ""
