from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from psucheck.checks import inrush_limiter as rule
from psucheck.checks.case import Case
from psucheck.checks.limits import default_limits
from psucheck.figures.model import Figures, PlaceFigures
from psucheck.parts import library
from psucheck.supply.fill_limiter import fill_limiter
from psucheck.supply.model import Limiter
from tests.checks import cases
from tests.checks.rules import judged

LIMITER: dict[str, Any] = {"type": "SL10 10003"}


def limited(idle: float, full: float, **limiter: Any) -> Case:
    def change(made: Figures) -> Figures:
        amps, peak = {"idle": (idle, 1.5), "full output": (full, 2.5)}.get(made.state, (0.3, 1.0))
        peak = {"switch-on": 9.0, "hot restart": 21.0}.get(made.state, peak)
        return replace(made, places={"mains": PlaceFigures(amps, peak, made.mains, False)})

    made = cases.case(cases.figures("hot restart", "high"), limiters={"mains": limiter or LIMITER})
    return replace(made, figures={name: change(run) for name, run in made.figures.items()})


def test_passing_example() -> None:
    finding = judged(rule, limited(0.8, 1.4), "mains")
    assert (finding.verdict, finding.figure, finding.limit) == ("ok", 1.4, 3.0)
    assert "At idle" in finding.why
    assert finding.why.endswith("A restart while it is hot takes 21 A peak, a start from cold 9 A.")


def test_failing_example() -> None:
    finding = judged(rule, limited(3.4, 3.6), "mains")
    assert finding.verdict == "over"
    assert finding.change == "Fit a type of more amps."


def test_continuous_full_output_alone_is_marginal() -> None:
    assert judged(rule, limited(1.0, 3.5), "mains").verdict == "marginal"


@pytest.mark.parametrize("name", ["SL10 10003", "B57236S0100"])
def test_it_settles_near_the_resistance_of_its_sheet(name: str) -> None:
    """The law has one B for all temperatures: within a third of the sheet's points."""
    limiter, hot = fill_limiter("limiters.mains", Limiter(type=name), []), library().ntc(name).hot.value
    for amps, ohms in zip(hot.amps, hot.ohms, strict=True):
        assert rule.steady_ohms(limiter, amps) == pytest.approx(ohms, rel=0.34)


def test_of_one_described_by_its_points_the_hot_one_comes_out() -> None:
    limiter = fill_limiter("limiters.mains", Limiter(cold=10.0, hot=0.38, current=2.0), [])
    assert rule.steady_ohms(limiter, 2.0) == pytest.approx(0.38, rel=1e-6)
    assert rule.steady_ohms(limiter, 0.0) == pytest.approx(10.0)


def test_one_that_stays_cold_is_told() -> None:
    finding = judged(rule, limited(0.3, 0.5, cold="47 ohm", hot="1 ohm", current="4 A"), "mains")
    assert finding.verdict == "ok"
    assert "too cold to be out of the way" in finding.why


def test_beyond_the_point_that_is_known_it_is_not_checked() -> None:
    finding = judged(rule, limited(2.5, 2.8, cold="10 ohm", hot="0.38 ohm", current="2 A"), "mains")
    assert (finding.verdict, finding.figure) == ("not checked", 2.8)


def test_without_a_run_it_is_not_checked() -> None:
    finding = judged(rule, Case(cases.supply(limiters={"mains": LIMITER}), {}), "mains")
    assert finding.measure == "true-RMS current through the limiter at idle"


def test_without_a_limiter_nothing_is_judged() -> None:
    assert list(rule.judge(cases.case(), default_limits())) == []
