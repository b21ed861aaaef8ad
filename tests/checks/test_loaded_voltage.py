from __future__ import annotations

from typing import Any

import pytest

from psucheck.checks import loaded_voltage as rule
from psucheck.checks.case import Case
from psucheck.checks.finding import Finding
from psucheck.checks.limits import default_limits
from psucheck.figures.model import Level
from tests.checks import cases


def at(dc: float, level: Level, **reservoir: Any) -> Case:
    held = cases.with_node(cases.figures("idle", level), "reservoir", cases.node(dc, 0.03))
    return cases.case(held, filter={"reservoir": reservoir})


def judged(case: Case) -> Finding:
    findings = list(rule.judge(case, default_limits()))
    assert [finding.subject for finding in findings] == ["reservoir"]
    return findings[0]


def test_passing_example() -> None:
    finding = judged(at(451.0, "nominal", target="440 V +-5 %"))
    assert (finding.verdict, finding.condition) == ("ok", "idle, nominal mains")
    assert finding.limit == pytest.approx(462.0)
    assert finding.why == "451 V at idle, 11 V (2.5 %) above its target of 440 V within 5 %."


def test_failing_example() -> None:
    finding = judged(at(473.0, "nominal", target="440 V +-5 %"))
    assert (finding.verdict, finding.figure) == ("over", 473.0)
    assert finding.limit == pytest.approx(462.0)
    assert finding.change is not None
    assert "higher primary tap" in finding.change


def test_too_low_is_over_as_well() -> None:
    finding = judged(at(410.0, "nominal", target="440 V +-5 %"))
    assert (finding.verdict, finding.lower_limit) == ("over", True)
    assert finding.limit == pytest.approx(418.0)
    assert finding.margin == pytest.approx(-8.0 / 418.0)


def test_a_target_goes_before_a_reading() -> None:
    assert judged(at(440.0, "nominal", target="440 V +-5 %", was="300 V")).verdict == "ok"


@pytest.mark.parametrize(
    ("dc", "verdict", "end"),
    [
        (415.0, "ok", "0 V (0.0 %) above the 415 V that was read."),
        (398.0, "ok", "17 V (4.1 %) below the 415 V that was read."),
        (390.0, "ok", "that was read: the work changed it, or a value in the description is off."),
        (370.0, "marginal", "that was read: the work changed it, or a value in the description is off."),
        (460.0, "marginal", "that was read: the work changed it, or a value in the description is off."),
    ],
)
def test_a_reading_is_compared_at_the_wall_voltage(dc: float, verdict: str, end: str) -> None:
    finding = judged(at(dc, "wall"))
    assert (finding.verdict, finding.condition) == (verdict, "idle, wall mains")
    assert finding.why.endswith(end)


def test_with_neither_it_asks_for_one_reading() -> None:
    finding = judged(at(400.0, "wall", was=None))
    assert finding.verdict == "not checked"
    assert finding.measure == "read DC on it at idle, with the wall voltage, and give it as was"


def test_without_a_run_it_is_not_checked() -> None:
    assert judged(Case(cases.supply(), {})).verdict == "not checked"
