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


@pytest.mark.parametrize("kind", ["6L6GC", "6P3S"])
def test_where_no_limit_is_held_it_is_not_checked(kind: str) -> None:
    (finding,) = rule.judge(cases.case(loads={"output": {"valves": f"2 x {kind}"}}), default_limits())
    assert (finding.verdict, finding.subject) == ("not checked", "output")
    assert finding.measure == (
        f"the greatest cathode current on the data sheet of the {kind}, if it states one"
    )
    assert finding.figure == pytest.approx(0.038)
    assert finding.why == f"Each cathode gives up to 38 mA; what the {kind} allows is not held."


def test_without_a_run_it_is_not_checked() -> None:
    finding = judged(rule, Case(cases.supply(), {}), "output")
    assert (finding.verdict, finding.measure) == ("not checked", "the idle current of the valves")
