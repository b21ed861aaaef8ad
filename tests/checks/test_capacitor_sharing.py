from __future__ import annotations

import math
from typing import Any

import pytest

from psucheck.checks import capacitor_sharing as rule
from psucheck.checks.case import Case
from psucheck.checks.finding import Finding
from psucheck.checks.limits import default_limits
from psucheck.figures.model import CapacitorFigures, State
from psucheck.supply.model import Capacitor
from tests.checks import cases


def at(volts: float, state: State = "valves out", **capacitor: Any) -> Case:
    held = cases.with_capacitor(cases.figures(state, "high"), "splitter", cases.capacitor(volts, parts=2))
    return cases.case(held, filter={"splitter": {"capacitor": capacitor}})


def judged(case: Case) -> Finding:
    findings = list(rule.judge(case, default_limits()))
    assert [finding.subject for finding in findings] == ["splitter"]
    return findings[0]


def string(**more: Any) -> Capacitor:
    part = {"value": "100 uF", "voltage": "350 V", "in_series": 2, "balancing": "220k 1 W"}
    return Capacitor(**{**part, **more})


def test_passing_example() -> None:
    finding = judged(at(500.0))
    assert finding.verdict == "ok"
    assert finding.figure == pytest.approx(300.0)
    assert rule.balanced_volts(string(), 500.0, default_limits()) == pytest.approx(270.5, abs=0.1)


def test_failing_example() -> None:
    finding = judged(at(530.0, voltage="300 V", balancing={"value": "470k"}))
    assert (finding.verdict, finding.limit, finding.condition) == ("over", 300.0, "valves out, high mains")
    assert finding.figure == pytest.approx(318.0)
    part = string(voltage="300 V", balancing="470k 1 W")
    settled = rule.balanced_volts(part, 530.0, default_limits())
    assert rule.seconds_above(318.0, settled, 300.0, 47.0) == pytest.approx(60.0, abs=5.0)


@pytest.mark.parametrize(("count", "share"), [(2, 0.6), (3, 1.2 / 2.8), (4, 1.2 / 3.6)])
def test_worst_part_by_tolerance(count: int, share: float) -> None:
    # All parts of a string get the same charge: V goes as 1/C, one part at 0.8 C, the others at 1.2 C.
    inverse = [1 / 0.8] + [1 / 1.2] * (count - 1)
    assert rule.capacitive_share(string(in_series=count)) == pytest.approx(inverse[0] / sum(inverse))
    assert rule.capacitive_share(string(in_series=count)) == pytest.approx(share)


def test_balanced_volts_solve_the_string() -> None:
    # One part leaks nothing through 1.05 R, two others dI through 0.95 R: the same current through all three.
    part = string(in_series=3)
    volts = rule.balanced_volts(part, 600.0, default_limits())
    spread = 0.002 * 100e-6 * 350 + 3e-6
    others = (600.0 - volts) / 2
    assert volts / (1.05 * 220e3) == pytest.approx(others / (0.95 * 220e3) + spread)


def test_an_excess_that_fades_within_30_s_is_held_against_the_surge_voltage() -> None:
    # 0.6 of 620 V is 372 V on a 350 V part, for 220k x 100 uF = 22 s or so; the surge voltage is 385 V.
    finding = judged(at(620.0, "switch-on"))
    assert finding.verdict == "ok"
    over = judged(at(650.0, "switch-on", balancing={"value": "100k"}))
    assert over.verdict == "over"
    assert over.limit == pytest.approx(385.0)


def test_an_excess_that_lasts_is_held_against_the_rating() -> None:
    # With 1M the leakage of the others puts (600 V + 69 V)/1.905 = 351 V on the worst part for good.
    finding = judged(at(600.0, balancing={"value": "1M"}))
    assert (finding.verdict, finding.limit) == ("over", 350.0)
    assert "Chemi-Con" in finding.source


def test_no_balancing_resistors_is_marginal_at_best() -> None:
    finding = judged(at(500.0, balancing=None))
    assert (finding.verdict, finding.source) == ("marginal", "common practice, no source")
    assert "No balancing resistors" in finding.why
    assert judged(at(600.0, balancing=None)).verdict == "over"


def test_a_joint_held_by_the_winding_needs_no_resistors() -> None:
    rectifier = {
        "ht": {"circuit": "bridge", "device": "1N4007", "heater": None, "centre_tap": "reservoir middle"}
    }
    part = {"reservoir": {"capacitor": {"in_series": 2, "voltage": "250 V"}}, "splitter": {"capacitor": None}}

    def verdict(upper: float) -> str:
        found = CapacitorFigures(450.0, 452.0, (upper, 452.0 - upper), 0.1, (), 0.3, 1.0)
        held = [cases.with_capacitor(made, "reservoir", found) for made in cases.all_figures().values()]
        case = cases.case(*held, rectifiers=rectifier, filter=part)
        return next(finding.verdict for finding in rule.judge(case, default_limits()))

    assert verdict(226.0) == "ok"
    assert verdict(255.0) == "over"


def test_without_a_rating_or_a_run_it_is_not_checked() -> None:
    assert judged(at(500.0, voltage=None)).verdict == "not checked"
    assert judged(Case(cases.supply(), {})).verdict == "not checked"


def test_single_capacitors_are_no_matter_of_this_rule() -> None:
    case = cases.case(filter={"splitter": {"capacitor": {"in_series": 1, "voltage": "500 V"}}})
    assert list(rule.judge(case, default_limits())) == []


def test_seconds_above_follows_the_exponential() -> None:
    assert rule.seconds_above(300.0, 250.0, 350.0, 10.0) == 0.0
    assert rule.seconds_above(400.0, 360.0, 350.0, 10.0) == math.inf
    assert rule.seconds_above(400.0, 300.0, 350.0, 10.0) == pytest.approx(10 * math.log(2))
