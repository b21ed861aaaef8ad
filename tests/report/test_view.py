from dataclasses import replace

import pytest

from psucheck.checks.finding import Finding, Verdict
from psucheck.report import view
from psucheck.report.view import Report


def finding(verdict: Verdict, margin: float | None = None, measure: str | None = None) -> Finding:
    return Finding("rule", "part", None, verdict, "why", "source", margin=margin, measure=measure)


def with_findings(report: Report, *verdicts: Verdict) -> Report:
    return replace(report, findings=[finding(verdict) for verdict in verdicts])


def test_every_verdict_is_counted(report: Report) -> None:
    assert view.counts(report.findings) == {
        "over": 1, "marginal": 2, "ok": 10, "not checked": 7, "accepted": 1
    }  # fmt: skip


@pytest.mark.parametrize(
    ("verdicts", "line"),
    [
        (("over", "ok"), "OVER: 1 over, 0 marginal, 0 accepted, 0 not checked, 1 ok"),
        (("ok", "not checked"), "NOTHING OVER: 0 over, 0 marginal, 0 accepted, 1 not checked, 1 ok"),
        (("accepted",), "NOTHING OVER: 0 over, 0 marginal, 1 accepted, 0 not checked, 0 ok"),
        (("not checked",), "NOTHING CHECKED: 0 over, 0 marginal, 0 accepted, 1 not checked, 0 ok"),
        ((), "NOTHING CHECKED: 0 over, 0 marginal, 0 accepted, 0 not checked, 0 ok"),
    ],
)
def test_headline(report: Report, verdicts: tuple[Verdict, ...], line: str) -> None:
    assert view.headline(with_findings(report, *verdicts)) == line


@pytest.mark.parametrize(
    ("verdict", "status", "strict"),
    [("over", 1, 1), ("marginal", 0, 1), ("not checked", 0, 1), ("accepted", 0, 0), ("ok", 0, 0)],
)
def test_exit_status(report: Report, verdict: Verdict, status: int, strict: int) -> None:
    judged = with_findings(report, "ok", verdict)
    assert view.exit_status(judged) == status
    assert view.exit_status(judged, strict=True) == strict


def test_the_most_broken_limit_comes_first() -> None:
    findings = [finding("over", -0.1), finding("over", -0.3), finding("ok", 0.2), finding("over", None)]
    assert [f.margin for f in view.worst_first(findings, "over")] == [None, -0.3, -0.1]


def test_what_was_not_checked_is_grouped_by_what_settles_most(report: Report) -> None:
    groups, rest = view.by_measurement(report.findings)
    assert [len(findings) for _, findings in groups] == [3, 2, 1]
    assert groups[0][0] == "the HT winding's rated current, or the transformer's VA"
    assert [f.rule for f in rest] == ["fuse-inrush"]


def test_tables_are_made_at_the_wall_voltage_or_else_at_nominal(report: Report) -> None:
    without = {name: figures for name, figures in report.figures.items() if figures.level != "wall"}
    assert view.table_level(report) == "wall"
    assert view.table_level(replace(report, figures=without)) == "nominal"


def test_the_worst_of_a_negative_node_is_its_lowest(report: Report) -> None:
    worst = view.extreme(report, "bias")
    assert worst is not None
    assert worst.volts == pytest.approx(-41.29, abs=0.01)
    assert worst.condition == "idle, high mains"


def test_the_highest_voltage_of_all(report: Report) -> None:
    highest = view.highest(report)
    assert highest is not None
    assert (highest.node, highest.condition) == ("screens", "switch-on, high mains")
    assert highest.volts == pytest.approx(502.0 * 253.0 / 230.0)


def test_a_report_without_figures_has_no_highest_voltage(report: Report) -> None:
    bare = replace(report, figures={})
    assert view.highest(bare) is None
    assert view.extreme(bare, "reservoir") is None
    assert view.at(bare, "idle") is None


def test_nodes_stand_in_the_order_of_the_description(report: Report) -> None:
    assert view.nodes(report) == ["reservoir", "screens", "splitter", "preamp", "bias"]
