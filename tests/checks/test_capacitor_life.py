from __future__ import annotations

import pytest

from psucheck.checks import capacitor_life as rule
from psucheck.checks.case import Case
from psucheck.checks.limits import default_limits
from tests.checks import cases
from tests.checks.rules import judged


def standing(celsius: str | None, **capacitor: object) -> Case:
    return cases.case(filter={"reservoir": {"temperature": celsius, "capacitor": capacitor}})


def test_passing_example() -> None:
    finding = judged(
        rule, standing("65 degC", temperature="105 degC", life="5000 h", ripple_current=None), "reservoir"
    )
    assert (finding.verdict, finding.measure) == ("ok", None)
    assert finding.why == "At 65 degC it lasts about 80 000 hours of use, by the rule of ten degrees."


def test_failing_example() -> None:
    finding = judged(rule, standing("65 degC"), "reservoir")
    assert finding.verdict == "not checked"
    assert finding.measure == "the capacitor's rated life and category temperature, in its data sheet"


def test_a_light_ripple_current_leaves_more_of_it() -> None:
    finding = judged(rule, standing("65 degC", temperature="105 degC", life="5000 h"), "reservoir")
    assert "% of its rated ripple current it lasts about" in finding.why
    assert "Rubycon" in finding.source


def test_no_more_than_fifteen_years_are_claimed() -> None:
    finding = judged(rule, standing("25 degC", temperature="105 degC", life="5000 h"), "reservoir")
    assert "about 130 000 hours or more of use" in finding.why


@pytest.mark.parametrize(("celsius", "factor"), [(105, 1), (95, 2), (65, 16), (40, 2**6.5), (20, 2**6.5)])
def test_life_doubles_every_ten_degrees_down_to_forty(celsius: float, factor: float) -> None:
    assert rule.by_temperature(celsius, 105.0, 40.0, 10.0) == pytest.approx(factor)


def test_the_part_of_the_ripple_current_is_one_at_its_rating_and_falls_beyond() -> None:
    none, half, rated, beyond = (rule.by_ripple(load, 5.0) or 0.0 for load in (0.0, 0.5, 1.0, 1.5))
    assert rated == pytest.approx(1.0)
    assert none == pytest.approx(2 ** (5 / 8.75))
    assert none > half > rated > beyond > 0


def test_beyond_the_formula_there_is_none() -> None:
    assert rule.by_ripple(3.0, 5.0) is None


def test_nothing_is_said_where_no_temperature_is_given() -> None:
    case = standing(None, temperature="105 degC", life="5000 h")
    assert list(rule.judge(case, default_limits())) == []
