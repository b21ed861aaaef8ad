from dataclasses import replace

import pytest
from syrupy.assertion import SnapshotAssertion

from psucheck.checks.finding import Finding
from psucheck.report.screen import screen
from psucheck.report.view import Report
from tests.report.rendering import coloured, text


@pytest.fixture
def ordinary(report: Report) -> Report:
    """One over, two marginal, six not checked that measurements settle."""
    settled = [f for f in report.findings if f.verdict != "accepted" and f.rule != "fuse-inrush"]
    return replace(report, findings=settled)


@pytest.mark.parametrize("width", [80, 120])
def test_plain(report: Report, width: int, snapshot: SnapshotAssertion) -> None:
    assert text(screen(report), width) == snapshot


def test_in_colour(report: Report, snapshot: SnapshotAssertion) -> None:
    assert coloured(screen(report), 80) == snapshot


def test_a_swap(swapped: Report, snapshot: SnapshotAssertion) -> None:
    assert text(screen(swapped), 80) == snapshot


def test_an_ordinary_supply_takes_24_lines_of_80_columns(ordinary: Report) -> None:
    lines = text(screen(ordinary), 80).splitlines()
    assert len(lines) <= 24
    assert max(map(len, lines)) <= 80


def test_colour_is_never_the_only_sign(report: Report) -> None:
    shown = text(screen(report), 80)
    for finding in report.findings:
        if finding.verdict in ("over", "marginal", "accepted"):
            line = next(line for line in shown.splitlines() if f"{finding.rule} {finding.subject}" in line)
            assert line.startswith(finding.verdict)


@pytest.mark.parametrize("width", [40, 80, 120])
def test_every_caution_is_shown_whole(report: Report, width: int) -> None:
    many = replace(
        report, cautions=[f"Caution {n}: {caution}" for n in range(8) for caution in report.cautions]
    )
    shown = " ".join(text(screen(many), width).split())
    assert all(caution in shown for caution in many.cautions)


def test_a_narrow_terminal_loses_nothing_that_is_over(report: Report) -> None:
    lines = text(screen(report), 40).splitlines()
    assert max(map(len, lines)) <= 40
    shown = " ".join(" ".join(lines).split())
    assert "532 V, limit 500 V: 32 V over, 6 %." in shown
    assert "two of 100 uF 350 V in series, 220k across each." in shown


def test_everything_over_is_shown_in_full(report: Report) -> None:
    over = [
        Finding(
            "rule", f"part {n}", "idle", "over", "why", "s", 10.0 + n, 10.0, "V", -n / 10, change=f"Do {n}."
        )
        for n in range(1, 31)
    ]
    shown = text(screen(replace(report, findings=over)), 80)
    assert all(f"rule part {n}; idle" in shown and f"Do {n}." in shown for n in range(1, 31))


def test_a_finding_without_a_figure_says_why(report: Report) -> None:
    statement = Finding(
        "red-plate", "output", None, "over", "No fuse opens at 180 mA.", "s", change="Fit one."
    )
    shown = text(screen(replace(report, findings=[statement])), 80)
    assert "No fuse opens at 180 mA. Fit one." in shown


def test_what_no_measurement_settles_is_told_with_its_reason(report: Report) -> None:
    broken = Finding("choke-current", "screens", None, "not checked", "The rule failed: no current", "")
    shown = text(screen(replace(report, findings=[broken])), 80)
    assert "Not checked: 1. choke-current screens: The rule failed: no current." in shown


def test_measurements_beyond_the_fourth_are_counted(report: Report) -> None:
    unknown = [
        Finding("rule", f"part {n}", None, "not checked", "why", "", measure=f"reading {n}") for n in range(7)
    ]
    shown = " ".join(text(screen(replace(report, findings=unknown)), 80).split())
    assert "Seven measurements settle all of these: reading 0 (1);" in shown
    assert "reading 3 (1); and 3 more (3), see --long." in shown


def test_without_cautions_the_highest_voltage_is_still_told(report: Report) -> None:
    shown = text(screen(replace(report, cautions=[])), 80)
    assert "Highest voltage: 552 V DC at screens; switch-on, high mains." in shown


def test_blank_lines_go_only_where_that_makes_it_fit(ordinary: Report) -> None:
    def blanks(count: int) -> int:
        cautions = ["This caution takes a line of its own among the cautions of this very supply."] * count
        return text(screen(replace(ordinary, cautions=cautions)), 80).splitlines().count("")

    assert [blanks(cautions) for cautions in (4, 7, 30)] == [2, 0, 2]


def test_contradictions_are_pointed_out(report: Report) -> None:
    remark = "375 V AC x 1.41 is less than the 620 V that B+ was."
    assert f"- {remark}" in text(screen(replace(report, remarks=[remark])), 80)


def test_the_users_words_are_never_markup(report: Report) -> None:
    nasty = "[bold red]head[/] [link=x]y[/link] :skull: \x1b[31mred\x1b[0m"
    supply = report.supply.model_copy(update={"accepted": {"valve-voltage output": nasty}})
    node = "[red]node[/red]"
    figures = {
        name: replace(run, nodes={**run.nodes, node: run.nodes["preamp"]})
        for name, run in report.figures.items()
    }
    shown = text(screen(replace(report, supply=supply, title=nasty, remarks=[nasty], figures=figures)), 160)
    literal = "[bold red]head[/] [link=x]y[/link] :skull: [31mred[0m"
    assert shown.count(literal) == 3
    assert node in shown
    assert "\x1b" not in shown


def test_without_the_hint_nothing_points_to_long(ordinary: Report) -> None:
    assert "--long" in text(screen(ordinary), 80)
    assert "--long" not in text(screen(ordinary, hint=False), 80)


def test_a_report_with_nothing_in_it(report: Report, snapshot: SnapshotAssertion) -> None:
    bare = replace(report, figures={}, findings=[], cautions=[], assumptions=())
    assert text(screen(bare), 80) == snapshot
