from __future__ import annotations

from dataclasses import replace

import pytest

from psucheck.checks import regulation as rule
from psucheck.checks.case import Case
from psucheck.checks.limits import default_limits
from psucheck.figures.model import Figures, Sag
from tests.checks import cases
from tests.checks.rules import guess, judged

SILICON = {"ht": {"device": {"type": "1N4007", "in_series": 2}}}


def burst(idle: float, lowest: float, back: float | None = 0.095) -> Figures:
    course = Sag(idle, lowest, 0.05, back)
    return replace(
        cases.figures("sag", "wall"), sag={"reservoir": course, "screens": Sag(390, 360, 0.04, 0.05)}
    )


def falling(idle: float, lowest: float) -> Case:
    return cases.case(burst(idle, lowest), rectifiers=SILICON)


def test_passing_example() -> None:
    finding = judged(rule, falling(393.0, 370.0), "reservoir")
    assert finding.verdict == "ok"
    assert finding.limit == pytest.approx(10.0)
    assert finding.why == (
        "Full output takes it from 393 V to 370 V, 5.9 %, most of it within 50 ms, back after 95 ms; "
        "the screens fall to 360 V; 5 % to 10 % is usual with silicon."
    )


def test_failing_example() -> None:
    finding = judged(rule, falling(400.0, 340.0), "reservoir")
    assert finding.verdict == "marginal"
    assert finding.figure == pytest.approx(15.0)
    assert finding.source == "common practice, no source"


def test_a_rectifier_valve_may_fall_twice_as_far() -> None:
    case = cases.case(burst(400.0, 340.0))
    assert judged(rule, case, "reservoir").verdict == "ok"
    assert judged(rule, cases.case(burst(400.0, 316.0)), "reservoir").verdict == "marginal"


def test_a_rail_that_is_not_back_is_told() -> None:
    finding = judged(rule, cases.case(burst(400.0, 360.0, None)), "reservoir")
    assert "not back by the end of the run" in finding.why


def test_without_that_run_the_steady_states_tell() -> None:
    finding = judged(rule, cases.case(), "reservoir")
    assert (finding.verdict, finding.condition) == ("ok", "full output, wall mains")
    assert finding.figure == pytest.approx(100 * (395 - 370) / 395)


def test_without_any_run_it_is_not_checked() -> None:
    finding = judged(rule, Case(cases.supply(), {}), "reservoir")
    assert (finding.verdict, finding.measure) == (
        "not checked",
        "DC there at idle and at full output into a load",
    )


def test_a_guessed_full_output_marks_it() -> None:
    assert judged(rule, cases.case(assumptions=(guess("loads.output.full"),)), "reservoir").guessed


def test_a_supply_without_output_valves_is_not_judged() -> None:
    case = cases.case(loads={"output": None}, filter={"bias": None}, rectifiers={"bias": None})
    assert list(rule.judge(case, default_limits())) == []
