from __future__ import annotations

from typing import Any

import pytest

from psucheck.checks import heater_voltage as rule
from psucheck.checks.case import Case
from psucheck.checks.finding import Verdict
from psucheck.checks.limits import default_limits
from tests.checks import cases
from tests.checks.rules import every, guess, judged, with_winding


def reading(volts: float, name: str = "heaters", **more: Any) -> Case:
    made = with_winding(cases.figures("idle", "wall"), name, volts=volts)
    return cases.case(made, **more)


@pytest.mark.parametrize(
    ("volts", "verdict"),
    [(6.3, "ok"), (6.7, "ok"), (6.8, "marginal"), (7.06, "over"), (5.8, "marginal"), (5.5, "over")],
)
def test_seven_per_cent_off_is_marginal_and_ten_is_over(volts: float, verdict: Verdict) -> None:
    assert judged(rule, reading(volts), "heaters").verdict == verdict


def test_failing_example() -> None:
    finding = judged(rule, reading(7.06), "heaters")
    assert finding.why == "7.06 V on heaters of 6.3 V: 12 % high."
    assert finding.limit == pytest.approx(6.93)
    assert finding.condition == "idle, wall mains"


def test_low_volts_are_held_against_a_minimum() -> None:
    finding = judged(rule, reading(5.5), "heaters")
    assert finding.lower_limit
    assert finding.limit == pytest.approx(5.67)
    assert finding.why == "5.5 V on heaters of 6.3 V: 13 % low."


def test_the_rectifier_tells_its_windings_nominal_volts() -> None:
    finding = judged(rule, reading(5.6, "rectifier heater"), "rectifier heater")
    assert (finding.verdict, finding.why) == ("over", "5.6 V on heaters of 5 V: 12 % high.")


def test_nominal_mains_serve_where_the_wall_was_not_read() -> None:
    made = cases.figures("idle", "nominal")
    finding = judged(rule, Case(cases.supply(), {made.name: made}), "heaters")
    assert (finding.verdict, finding.condition) == ("ok", "idle, nominal mains")


def test_a_spare_winding_is_passed_over() -> None:
    made = with_winding(cases.figures("idle", "wall"), "heaters", rms_current=(0.0,))
    assert every(rule, cases.case(made), "heaters") == []


def test_heaters_that_are_not_listed_are_not_checked() -> None:
    made = with_winding(cases.figures("idle", "wall"), "heaters", rms_current=(0.0,))
    finding = judged(rule, cases.case(made, valves=None), "heaters")
    assert finding.verdict == "not checked"


def test_the_line_up_tells_what_volts_a_fifth_too_high_are_for() -> None:
    assert judged(rule, reading(7.6), "heaters").verdict == "over"


def test_volts_near_no_standard_are_not_checked() -> None:
    assert judged(rule, reading(9.0), "heaters").verdict == "not checked"


def test_the_ht_winding_is_no_heater() -> None:
    subjects = [finding.subject for finding in rule.judge(cases.case(), default_limits())]
    assert subjects == ["heaters", "rectifier heater"]


@pytest.mark.parametrize(("unloaded", "verdict"), [(7.5, "marginal"), (7.15, "over")])
def test_guessed_copper_softens_a_breach_it_could_explain(unloaded: float, verdict: Verdict) -> None:
    """With twice the copper the drop doubles: from 7.06 V to 6.62 V, or to 6.97 V only."""
    copper = guess("windings.heaters.resistance", 2.0)
    idle = with_winding(cases.figures("idle", "wall"), "heaters", volts=7.06)
    out = with_winding(cases.figures("valves out", "wall"), "heaters", volts=unloaded)
    finding = judged(rule, cases.case(idle, out, assumptions=(copper,)), "heaters")
    assert (finding.verdict, finding.guessed) == (verdict, True)


def _on_dc(volts: float, **load: Any) -> Case:
    made = cases.with_node(cases.figures("idle", "wall"), "preamp", cases.node(volts))
    return cases.case(made, loads={"heated": {"node": "preamp", "heaters": "3 x ECC83", **load}})


@pytest.mark.parametrize(
    ("volts", "verdict"), [(12.9, "ok"), (13.6, "marginal"), (14.2, "over"), (11.2, "over")]
)
def test_heaters_on_dc_are_held_to_the_mean_volts_of_their_node(volts: float, verdict: Verdict) -> None:
    finding = judged(rule, _on_dc(volts, at="12.6 V"), "heated")
    assert finding.verdict == verdict
    assert "on heaters of 12.6 V" in finding.why


def test_heaters_on_dc_without_a_run_are_not_checked() -> None:
    case = _on_dc(12.6, at="12.6 V")
    assert judged(rule, Case(case.supply, {}), "heated").verdict == "not checked"
