from __future__ import annotations

from psucheck.checks import valve_dissipation as rule
from psucheck.checks.case import Case
from psucheck.checks.finding import Finding
from tests.checks import cases
from tests.checks.rules import every, with_valves


def at(anode: float, screen: float, full_screen: float, type_: str = "EL34", **load: object) -> Case:
    idle = with_valves(cases.figures("idle", "nominal"), anode_watts=anode, screen_watts=screen)
    full = with_valves(cases.figures("full output", "nominal"), screen_watts=full_screen)
    return cases.case(idle, full, loads={"output": {"valves": f"2 x {type_}", **load}})


def anode_of(case: Case) -> Finding:
    return every(rule, case, "output")[0]


def screen_of(case: Case) -> Finding:
    return every(rule, case, "output")[1]


def test_passing_example() -> None:
    finding = anode_of(at(14.2, 1.5, 3.0))
    assert finding.verdict == "ok"
    assert finding.why == "14.2 W on each anode at idle, 57 % of what the EL34 allows."
    assert screen_of(at(14.2, 1.5, 3.0)).verdict == "ok"


def test_failing_example() -> None:
    finding = anode_of(at(14.2, 0.5, 1.0, "6V6GT"))
    assert (finding.verdict, finding.figure, finding.limit) == ("over", 14.2, 12.0)
    assert finding.change == "Set the bias more negative."


def test_the_habit_of_70_per_cent_is_told_and_is_no_limit() -> None:
    finding = anode_of(at(20.0, 1.5, 3.0))
    assert finding.verdict == "ok"
    assert finding.why.endswith("; a push-pull stage with fixed bias is usually set to 70 %.")


def test_fixed_bias_near_its_limit_is_marginal_and_cathode_bias_is_not() -> None:
    assert anode_of(at(23.5, 1.5, 3.0)).verdict == "marginal"
    cathode = {"bias": "cathode", "cathode_resistor": "470 ohm 10 W"}
    assert anode_of(at(23.5, 1.5, 3.0, **cathode)).verdict == "ok"


def test_screens_over_at_continuous_full_output_alone_are_marginal() -> None:
    finding = screen_of(at(14.2, 1.5, 9.0))
    assert finding.verdict == "marginal"
    assert finding.why == (
        "9 W on each screen at continuous full output; the EL34 allows 8 W; only continuous full output "
        "exceeds it."
    )


def test_screens_over_in_hard_playing_are_over() -> None:
    finding = screen_of(at(14.2, 4.0, 18.0))
    assert finding.verdict == "over"
    assert finding.condition == "33 % of the time at full output, nominal mains"


def test_a_full_signal_rating_holds_at_full_output() -> None:
    assert screen_of(at(8.0, 1.2, 3.0, "EL84")).verdict == "ok"
    assert screen_of(at(8.0, 1.2, 4.3, "EL84")).verdict == "over"


def test_a_valve_that_is_not_held_is_not_checked() -> None:
    finding = anode_of(at(14.2, 1.5, 3.0, "PT99"))
    assert finding.verdict == "not checked"
