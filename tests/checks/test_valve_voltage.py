from __future__ import annotations

import pytest

from psucheck.checks import valve_voltage as rule
from psucheck.checks.case import Case
from psucheck.checks.finding import Verdict
from psucheck.figures.model import Level
from tests.checks import cases
from tests.checks.rules import every, with_valves


def at(anode: float, screen: float, type_: str = "EL34", level: Level = "nominal") -> Case:
    made = with_valves(cases.figures("idle", level), anode_volts=anode, screen_volts=screen, type=type_)
    return cases.case(made, loads={"output": {"valves": f"2 x {type_}"}})


def verdicts(case: Case) -> list[Verdict]:
    return [finding.verdict for finding in every(rule, case, "output")]


def test_passing_example() -> None:
    assert verdicts(at(432.0, 428.0)) == ["ok", "ok"]


def test_failing_example() -> None:
    anode, screen = every(rule, at(375.0, 375.0, "EL84"), "output")
    assert (anode.verdict, screen.verdict) == ("over", "over")
    assert anode.why == "375 V on the anodes of the EL84, whose sheet allows 300 V: 75 V over, 25 %."


def test_up_to_a_fifth_over_is_common_practice() -> None:
    anode, _ = every(rule, at(345.0, 300.0, "EL84"), "output")
    assert anode.verdict == "marginal"
    assert anode.why.endswith("; up to 20 % over is common practice.")


@pytest.mark.parametrize(("type_", "verdict"), [("6V6GT", "ok"), ("6L6GC", "over")])
def test_design_centre_limits_are_compared_at_nominal_mains_only(type_: str, verdict: Verdict) -> None:
    """At 620 V on the anodes at high mains: the 6V6GT's limit is a design-centre one, the 6L6GC's is not."""
    made = with_valves(cases.figures("idle", "nominal"), anode_volts=300.0, screen_volts=280.0)
    high = with_valves(cases.figures("idle", "high"), anode_volts=620.0, screen_volts=280.0)
    case = cases.case(made, high, loads={"output": {"valves": f"2 x {type_}"}})
    assert verdicts(case)[0] == verdict


def test_a_valve_that_is_not_held_is_not_checked() -> None:
    (finding,) = every(rule, at(400.0, 390.0, "PT99"), "output")
    assert finding.verdict == "not checked"
    assert finding.measure == "the greatest anode and screen volts on the data sheet of PT99"
