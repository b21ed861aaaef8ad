from __future__ import annotations

import pytest

from psucheck.checks import resistor_voltage as rule
from psucheck.checks.case import Case
from psucheck.checks.finding import Verdict
from tests.checks import cases
from tests.checks.rules import judged, with_resistor


def under(volts: float, **resistor: str | None) -> Case:
    made = with_resistor(cases.figures("valves out", "high"), "preamp bleeder", max_volts=volts)
    return cases.case(made, filter={"preamp": {"bleeder": resistor}})


def test_passing_example() -> None:
    finding = judged(rule, cases.case(), "splitter balancing")
    assert (finding.verdict, finding.figure, finding.limit) == ("ok", 198.0, 500.0)


def test_failing_example() -> None:
    finding = judged(rule, under(560.0, voltage="350 V"), "preamp bleeder")
    assert finding.verdict == "over"
    assert finding.why == "560 V over it, 350 V allowed."
    assert not finding.guessed


@pytest.mark.parametrize(("volts", "verdict"), [(390.0, "ok"), (560.0, "marginal"), (1001.0, "over")])
def test_by_size_alone_only_the_best_makes_limit_is_over(volts: float, verdict: Verdict) -> None:
    finding = judged(rule, under(volts, power="2 W", voltage=None), "preamp bleeder")
    assert (finding.verdict, finding.limit, finding.guessed) == (verdict, 500.0, True)


def test_the_marginal_case_names_both_limits() -> None:
    finding = judged(rule, under(560.0, power="1 W", voltage=None), "preamp bleeder")
    assert finding.why == (
        "560 V over it; a film resistor of 1 W usually stands 350 V, the best of them 700 V."
    )


@pytest.mark.parametrize(
    ("power", "measure"),
    [
        (None, "the resistor's watts, or its limiting voltage"),
        ("10 W", "whether it is wirewound, or its limiting voltage (voltage = ...)"),
    ],
)
def test_what_has_no_known_limit_is_not_checked(power: str | None, measure: str) -> None:
    finding = judged(rule, under(800.0, power=power, voltage=None), "preamp bleeder")
    assert (finding.verdict, finding.measure) == ("not checked", measure)


@pytest.mark.parametrize(("volts", "verdict"), [(6.3, "ok"), (390.0, "ok"), (800.0, "not checked")])
def test_a_large_one_stands_what_the_largest_film_resistor_does(volts: float, verdict: Verdict) -> None:
    finding = judged(rule, under(volts, power="25 W", voltage=None), "preamp bleeder")
    assert finding.verdict == verdict
