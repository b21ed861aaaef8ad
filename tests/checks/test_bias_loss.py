from __future__ import annotations

from typing import Any

import pytest

from psucheck.checks import bias_loss as rule
from psucheck.checks.finding import Finding
from psucheck.checks.limits import default_limits
from psucheck.figures.model import Figures
from tests.checks import cases
from tests.checks.rules import judged

BIAS_WINDING = {
    "windings": {"bias": {"volts": ["45 V"], "off_load_at": "230 V", "resistance": ["5 ohm"]}},
    "rectifiers": {"bias": {"winding": "bias", "end": None, "feed": None}},
}
TAPPED = {
    "windings": {"ht": {"taps": {"fifty": {"volts": "50 V", "resistance": "5 ohm"}}}},
    "rectifiers": {"bias": {"end": "fifty", "feed": None}},
}
SHARED: dict[str, Any] = {}


def of_fuse(where: str, **description: Any) -> Finding:
    return judged(rule, cases.case(fuses={where: "T500mAL250V"}, **description), "bias")


def test_passing_example() -> None:
    finding = of_fuse("centre tap ht")
    assert (finding.verdict, finding.limit) == ("ok", None)
    assert finding.why.endswith("The fuse at mains and the fuse at centre tap ht take both.")


def test_failing_example() -> None:
    finding = of_fuse("before bias")
    assert finding.verdict == "marginal"
    assert finding.why == "The fuse at before bias takes the bias away and leaves the B+ when opened."


@pytest.mark.parametrize(
    ("where", "description", "verdict"),
    [
        ("before reservoir", SHARED, "ok"),
        ("after bias", SHARED, "ok"),
        ("each winding ht", SHARED, "not checked"),
        ("winding ht", SHARED, "not checked"),
        ("each winding ht", TAPPED, "ok"),
        ("winding heaters", SHARED, "ok"),
        ("winding bias", BIAS_WINDING, "marginal"),
        ("each winding ht", BIAS_WINDING, "ok"),
    ],
)
def test_what_a_fuse_takes_with_it(where: str, description: dict[str, Any], verdict: str) -> None:
    assert of_fuse(where, **description).verdict == verdict


def test_a_switch_is_looked_at_as_well() -> None:
    finding = judged(rule, cases.case(switches={"standby": "before bias"}), "bias")
    assert finding.why.startswith("The switch standby at before bias takes the bias away")


def opened(bias: float) -> Figures:
    run = cases.figures("standby open", "wall")
    return cases.with_node(run, "bias", cases.node(bias))


@pytest.mark.parametrize(("bias", "verdict"), [(-36.0, "ok"), (-20.0, "marginal")])
def test_the_bias_with_standby_open(bias: float, verdict: str) -> None:
    case = cases.case(opened(bias), switches={"standby": "centre tap ht"})
    finding = judged(rule, case, "bias")
    assert finding.verdict == verdict
    if verdict == "marginal":
        assert finding.condition == "standby open, wall mains"
        assert "falls from -37" in finding.why


def test_the_pots_wiper_is_told_once() -> None:
    finding = judged(rule, cases.case(), "bias wiper")
    assert (finding.verdict, finding.measure) == (
        "not checked",
        "the bias at the sockets, wiper lifted, valves out (wiper_open = ...)",
    )


@pytest.mark.parametrize(("volts", "verdict"), [("0 V", "marginal"), ("-20 V", "marginal"), ("-50 V", "ok")])
def test_what_the_grids_get_with_the_wiper_lifted(volts: str, verdict: str) -> None:
    """-37 V at idle: what is less lets the valves draw more."""
    finding = judged(rule, cases.case(filter={"bias": {"wiper_open": volts}}), "bias wiper")
    assert finding.verdict == verdict
    assert finding.why == f"With the wiper lifted the grids get {volts}, at idle -37 V."


def test_without_a_pot_there_is_no_wiper() -> None:
    case = cases.case(filter={"bias": {"range": None}})
    assert [finding.subject for finding in rule.judge(case, default_limits())] == ["bias"]


def test_a_back_bias_comes_and_goes_with_the_b_plus() -> None:
    case = cases.case(
        rectifiers={"bias": None},
        series={"centre tap ht": "270 ohm 10 W"},
        filter={"bias": {"from": "centre tap ht", "range": None}},
    )
    finding = judged(rule, case, "bias")
    assert finding.why == "The bias is made by the B+ current itself: neither is there without the other."


def test_cathode_bias_is_not_judged() -> None:
    output = {"bias": "cathode", "cathode_resistor": "270 ohm 10 W"}
    case = cases.case(loads={"output": output})
    assert list(rule.judge(case, default_limits())) == []
