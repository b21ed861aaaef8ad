from __future__ import annotations

from typing import Any

import pytest

from psucheck.checks import fuse_breaking as rule
from psucheck.checks.case import Case
from psucheck.checks.limits import default_limits
from psucheck.figures.faults import Stage
from psucheck.figures.model import PlaceFigures
from psucheck.supply.assumptions import Assumption
from tests.checks import cases
from tests.checks.fault_courses import MAINS, course, currents
from tests.checks.rules import judged


def shorted(amps: float, marking: str = "T2AL250V", **more: Any) -> Case:
    made = cases.case(fuses={"mains": marking}, **more)
    faults = (course(Stage(currents(3.0, 1.0))), course(Stage(currents(amps, 5.0), MAINS, 0.3, 0.3)))
    return Case(made.supply, made.figures, made.assumptions, faults)


def test_passing_example() -> None:
    finding = judged(rule, shorted(9.7), "mains")
    assert (finding.verdict, finding.figure, finding.limit) == ("ok", 9.7, 35.0)
    assert finding.why == "A fault drives up to 9.7 A through it; it breaks 35 A."
    assert finding.condition == "shorted rectifier: ht, high mains"


def test_failing_example() -> None:
    finding = judged(rule, shorted(47.0), "mains")
    assert finding.verdict == "over"
    assert finding.change == "Fit one of high breaking capacity (H) of the same rating and speed."


@pytest.mark.parametrize(("marking", "limit"), [
    ("T2AH250V", 1500.0),
    ("T2AE250V", 150.0),
    ("T6.3AL250V", 63.0),
    ("UL slow 2 A 250 V", 100.0),
    ("UL slow 1 A 250 V", 35.0),
    ("UL slow 2 A 125 V", 10_000.0),
])  # fmt: skip
def test_what_each_kind_breaks(marking: str, limit: float) -> None:
    assert judged(rule, shorted(9.7, marking), "mains").limit == limit


def test_without_its_letter_a_breach_is_marginal() -> None:
    finding = judged(rule, shorted(47.0, "T2A250V"), "mains")
    assert (finding.verdict, finding.guessed) == ("marginal", True)
    assert "if it is the L kind" in finding.why


def test_a_voltage_for_which_no_figure_is_held() -> None:
    finding = judged(rule, shorted(9.7, "UL slow 2 A 600 V"), "mains")
    assert finding.verdict == "not checked"
    assert finding.measure == "the breaking capacity on the sheet of the fuse"


@pytest.mark.parametrize(("marking", "told"), [("T2AL250V", True), ("T2AH250V", False)])
def test_a_short_of_the_mains_wires_is_told(marking: str, told: bool) -> None:
    ohms = Assumption("mains.impedance", 0.4, "ohm", "default", "its resistive part")
    finding = judged(rule, shorted(9.7, marking, assumptions=(ohms,)), "mains")
    assert finding.verdict == "ok"
    assert ("before the transformer could draw 575 A" in finding.why) == told


def test_a_fuse_in_a_rail_and_faults_that_were_not_run() -> None:
    assert list(rule.judge(cases.case(), default_limits())) == []
    made = shorted(9.7)
    railed = {
        name: cases.figures(one.state, one.level, places={"mains": PlaceFigures(0.5, 1.0, 400.0, True)})
        for name, one in made.figures.items()
    }
    assert list(rule.judge(Case(made.supply, railed, (), made.faults), default_limits())) == []
