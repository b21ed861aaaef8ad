from __future__ import annotations

from typing import Any

import pytest

from psucheck.checks import node_ripple as rule
from psucheck.checks.case import Case
from psucheck.checks.finding import Finding
from psucheck.checks.limits import default_limits
from psucheck.figures.model import NodeFigures
from tests.checks import cases


def at(dc: float, peaks: float, subject: str = "reservoir", **description: Any) -> Case:
    found = NodeFigures(dc, peaks, peaks / 3.46, dc - peaks / 2, dc + peaks / 2)
    return cases.case(cases.with_node(cases.figures("full output"), subject, found), **description)


def judged(case: Case, subject: str = "reservoir") -> Finding:
    return next(finding for finding in rule.judge(case, default_limits()) if finding.subject == subject)


def test_passing_example() -> None:
    finding = judged(at(430.0, 30.0))
    assert (finding.verdict, finding.unit, finding.limit) == ("ok", "%", 10.0)
    assert finding.figure == pytest.approx(6.98, abs=0.01)
    assert finding.condition == "full output, nominal mains"


def test_failing_example() -> None:
    finding = judged(at(400.0, 52.0))
    assert finding.verdict == "marginal"
    assert finding.figure == pytest.approx(13.0)
    assert finding.why == "52 V peak to peak on 400 V; a push-pull amplifier stands 10 %."
    assert "Valve Wizard" in finding.source


@pytest.mark.parametrize(
    "output",
    [
        {"output_transformer": "180 ohm"},
        {"valves": "1 x EL34", "output_transformer": None},
    ],
)
def test_single_ended_stands_half_as_much(output: dict[str, Any]) -> None:
    finding = judged(at(400.0, 24.0, loads={"output": output}))
    assert (finding.verdict, finding.limit) == ("marginal", 5.0)


def test_nodes_behind_the_reservoir_are_told_and_not_judged() -> None:
    finding = judged(at(380.0, 38.0, "screens"), "screens")
    assert (finding.verdict, finding.limit, finding.margin) == ("ok", None, None)
    assert finding.figure == pytest.approx(10.0)
    assert finding.why.endswith("screens usually stand up to 1 %.")


def test_the_bias_node_is_no_reservoir() -> None:
    finding = judged(at(-40.0, 8.0, "bias"), "bias")
    assert (finding.verdict, finding.limit) == ("ok", None)


def test_choke_input_has_no_reservoir() -> None:
    description: dict[str, Any] = {"filter": {"reservoir": {"choke": "choke 10 H 110 ohm 180 mA"}}}
    assert judged(at(300.0, 45.0, **description)).limit is None


def test_much_less_capacitance_than_the_original_is_marginal() -> None:
    finding = judged(at(400.0, 30.0, filter={"reservoir": {"original": "100 uF 500 V"}}))
    assert finding.verdict == "marginal"
    assert finding.figure == pytest.approx(7.5)
    # 7.5 % with 50 uF is 3.75 % with 100 uF; one and a half times that is the limit.
    assert finding.limit == pytest.approx(5.625)
    assert "about 2.0 times that of the original 100 uF (estimated)" in finding.why
    assert finding.change == "Fit 66.7 uF or more."


def test_more_capacitance_than_the_original_is_ok_and_said() -> None:
    finding = judged(at(400.0, 12.0, filter={"reservoir": {"original": "32 uF 450 V"}}))
    assert finding.verdict == "ok"
    assert finding.limit == 10.0
    assert "about 0.6 times that of the original 32 uF (estimated)" in finding.why


def test_originals_before_a_node_count_too() -> None:
    supply = cases.supply(
        filter={"reservoir": {"original": "100 uF 500 V"}, "screens": {"original": "60 uF 500 V"}}
    )
    assert rule.more_ripple(supply, "screens") == pytest.approx(100 / 50 * 60 / 50)
    assert rule.more_ripple(supply, "preamp") is None


def test_a_series_string_counts_by_what_it_amounts_to() -> None:
    supply = cases.supply(filter={"splitter": {"original": "50 uF 450 V"}})
    assert rule.more_ripple(supply, "splitter") == pytest.approx(1.0)


def test_without_a_run_it_is_not_checked() -> None:
    assert judged(Case(cases.supply(), {})).verdict == "not checked"


def test_the_ripple_of_a_bias_node_is_told_as_the_grids_see_it() -> None:
    finding = judged(at(-35.5, 2.0, "bias"), "bias")
    assert (finding.verdict, finding.limit, finding.source) == ("ok", None, "common practice, no source")
    assert finding.why == ("2 V peak to peak on -35.5 V, 2.08 V of it at 50 Hz on the -37 V at the grids.")


def test_more_than_a_fifth_on_a_bias_node_is_marginal() -> None:
    finding = judged(at(-40.0, 9.0, "bias"), "bias")
    assert (finding.verdict, finding.limit) == ("marginal", 20.0)


def test_a_low_voltage_rail_is_no_reservoir() -> None:
    description: dict[str, Any] = {
        "windings": {"low": "12.5 V 2 A"},
        "rectifiers": {"low": {"circuit": "bridge", "winding": "low", "device": "1N5408"}},
        "filter": {
            "reservoir": {"from": "rectifiers.ht"},
            "low": {"from": "rectifiers.low", "capacitor": "1000 uF 25 V"},
        },
    }
    made = cases.figures("full output")
    case = cases.case(cases.with_node(made, "low", NodeFigures(12.0, 2.4, 0.7, 10.8, 13.2)), **description)
    finding = judged(case, "low")
    assert (finding.verdict, finding.limit) == ("ok", None)
    assert finding.figure == pytest.approx(20.0)
