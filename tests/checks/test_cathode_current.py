from __future__ import annotations

import pytest

from psucheck.checks import cathode_current as rule
from psucheck.checks.case import Case
from psucheck.checks.limits import default_limits
from tests.checks import cases
from tests.checks.rules import judged, loaded, with_valves


def drawing(idle: float, full: float) -> Case:
    runs = loaded(
        idle, full, lambda made, amps: with_valves(made, anode_current=0.9 * amps, screen_current=0.1 * amps)
    )
    return cases.case(*runs)


def test_passing_example() -> None:
    finding = judged(rule, drawing(0.038, 0.099), "output")
    assert finding.verdict == "ok"
    assert finding.figure == pytest.approx(0.099)
    assert finding.limit == pytest.approx(0.150)


def test_failing_example() -> None:
    finding = judged(rule, drawing(0.160, 0.160), "output")
    assert finding.verdict == "over"
    assert finding.why == "160 mA from each cathode at idle; the EL34 allows 150 mA."


def test_a_third_of_the_time_at_full_output_counts() -> None:
    finding = judged(rule, drawing(0.1, 0.280), "output")
    assert finding.verdict == "over"
    assert finding.figure == pytest.approx(0.160, abs=1e-4)


def test_continuous_full_output_alone_is_marginal() -> None:
    finding = judged(rule, drawing(0.04, 0.2), "output")
    assert finding.verdict == "marginal"
    assert finding.why.endswith("only continuous full output exceeds it.")


def test_a_sheet_without_a_limit_leaves_nothing_to_judge() -> None:
    case = cases.case(loads={"output": {"valves": "2 x 6L6GC"}})
    assert list(rule.judge(case, default_limits())) == []


def test_without_a_run_it_is_not_checked() -> None:
    finding = judged(rule, Case(cases.supply(), {}), "output")
    assert (finding.verdict, finding.measure) == ("not checked", "the idle current of the valves")
