from __future__ import annotations

import pytest

from psucheck.checks import rectifier_first_capacitor as rule
from psucheck.checks.case import Case
from psucheck.checks.finding import Verdict
from psucheck.checks.limits import default_limits
from tests.checks import cases
from tests.checks.rules import judged


def fitted(value: str, device: object = "GZ34", **reservoir: object) -> Case:
    node = {"capacitor": {"value": value, "voltage": "500 V"}, **reservoir}
    return cases.case(filter={"reservoir": node}, rectifiers={"ht": {"device": device}})


@pytest.mark.parametrize(
    ("value", "verdict"),
    [("50 uF", "ok"), ("60 uF", "ok"), ("70 uF", "marginal"), ("72 uF", "marginal"), ("100 uF", "over")],
)
def test_the_sheet_allows_60_uf_and_a_fifth_more_is_marginal(value: str, verdict: Verdict) -> None:
    finding = judged(rule, fitted(value), "ht")
    assert (finding.verdict, finding.limit) == (verdict, 60e-6)


def test_failing_example() -> None:
    finding = judged(rule, fitted("100 uF"), "ht")
    assert finding.why == "100 uF first capacitor; GZ34 allows 60 uF."
    assert finding.change == "Fit 60 uF or less first, the rest behind the choke or dropper."


def test_choke_input_is_not_bound_by_it() -> None:
    choke = {"inductance": "10 H", "resistance": "110 ohm"}
    finding = judged(rule, fitted("220 uF", choke=choke), "ht")
    assert (finding.verdict, finding.figure) == ("ok", None)


def test_a_series_string_counts_as_its_own_value() -> None:
    made = cases.case(
        filter={"reservoir": {"capacitor": {"value": "100 uF", "voltage": "350 V", "in_series": 2}}}
    )
    assert judged(rule, made, "ht").figure == pytest.approx(50e-6)


def test_two_nodes_on_the_rectifier_add_up() -> None:
    made = cases.case(filter={"screens": {"from": "rectifiers.ht", "choke": None}})
    assert judged(rule, made, "ht").figure == pytest.approx(100e-6)


def test_silicon_has_no_such_limit() -> None:
    made = fitted("470 uF", "1N4007")
    assert [finding.subject for finding in rule.judge(made, default_limits())] == []


def test_an_unknown_rating_is_not_checked() -> None:
    finding = judged(rule, fitted("50 uF", {"kind": "valve", "drop": "20 V at 150 mA"}), "ht")
    assert finding.verdict == "not checked"
    assert finding.measure == "the largest first capacitor on the data sheet of the device"
