from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from psucheck.checks import standby_switch as rule
from psucheck.checks.case import Case
from psucheck.checks.finding import Verdict
from psucheck.figures.model import PlaceFigures
from tests.checks import cases
from tests.checks.rules import every, judged, with_place


def case(switch: Any, volts: float = 440.0, place: str = "before screens", *, bias: float = -39.0) -> Case:
    dc = place == "before screens"
    opened = cases.figures("standby open", "high")
    opened = with_place(opened, place, PlaceFigures(0.0, 0.0, volts, dc, open_volts=volts))
    opened = cases.with_node(opened, "bias", cases.node(bias))
    closes = with_place(cases.figures("standby closes", "high"), place, PlaceFigures(0.1, 2.6, volts, dc))
    idle = with_place(cases.figures("idle", "high"), place, PlaceFigures(0.012, 0.02, volts, dc))
    return cases.case(opened, closes, idle, switches={"standby": switch})


def test_passing_example() -> None:
    rated = {"place": "before screens", "voltage": "500 V", "current": "1 A"}
    finding = judged(rule, case(rated), "standby")
    assert (finding.verdict, finding.figure, finding.limit) == ("ok", 440.0, 500.0)


def test_failing_example() -> None:
    finding = judged(rule, case({"place": "before screens", "voltage": "250 V"}), "standby")
    assert (finding.verdict, finding.figure, finding.limit) == ("marginal", 440.0, 250.0)


def test_without_a_rating_it_is_not_checked() -> None:
    finding = judged(rule, case("before screens"), "standby")
    assert finding.verdict == "not checked"
    assert finding.why.startswith("Open, its contacts see 440 V DC. What it is rated for is not given.")
    assert finding.measure == "the DC volts that the switch is rated for (voltage = ...)"


def test_what_stays_charged_and_the_pulse_are_said() -> None:
    why = judged(rule, case("before screens"), "standby").why
    assert "On standby these stay charged: reservoir 4" in why
    assert why.endswith("Closing, 2.6 A at the peak.")
    assert "Meanwhile" not in why


def test_a_bias_that_moves_is_said() -> None:
    why = judged(rule, case("before screens", bias=-102.0), "standby").why
    assert "Meanwhile bias goes from -39 V to -102 V." in why


@pytest.mark.parametrize(("rated", "verdict"), [("350 V", "marginal"), ("500 V", "ok")])
def test_a_dc_rating_is_held_against_the_rail(rated: str, verdict: Verdict) -> None:
    assert judged(rule, case({"place": "before screens", "voltage": rated}), "standby").verdict == verdict


@pytest.mark.parametrize(
    ("switch", "verdict"),
    [("centre tap ht", "not checked"), ({"place": "centre tap ht", "voltage": "250 V"}, "ok")],
)
def test_on_the_ac_side_the_effective_volts_count(switch: Any, verdict: Verdict) -> None:
    finding = judged(rule, case(switch, 340.0, "centre tap ht"), "standby")
    assert finding.verdict == verdict
    assert finding.figure == pytest.approx(240.4, abs=0.1)


def test_more_current_than_rated_is_marginal() -> None:
    switch = {"place": "before screens", "voltage": "500 V", "current": "10 mA"}
    finding = judged(rule, case(switch), "standby")
    assert (finding.verdict, finding.unit) == ("marginal", "A")


def test_a_mains_switch_is_passed_over() -> None:
    assert every(rule, cases.case(switches={"power": "mains"}), "power") == []


def test_without_a_run_it_is_not_checked() -> None:
    made = case("before screens")
    left = {name: figures for name, figures in made.figures.items() if figures.state != "standby open"}
    assert judged(rule, replace(made, figures=left), "standby").verdict == "not checked"
