from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest

from psucheck.checks import mains_dip as rule
from psucheck.checks.case import Case
from psucheck.checks.limits import default_limits
from psucheck.figures.model import MainsFigures, PlaceFigures
from tests.checks import cases
from tests.checks.rules import judged


def taking(amps: float, **description: Any) -> Case:
    place = PlaceFigures(1.2, 2 * amps, 253.0, False, i2t=1.0, window_rms=((0.005, 2 * amps), (0.01, amps)))
    run = cases.figures("switch-on", "high", places={"mains": place})
    return cases.case(run, **description)


def test_passing_example() -> None:
    finding = judged(rule, taking(11.7), "mains")
    assert finding.verdict == "ok"
    assert finding.limit == pytest.approx(7.0)
    assert finding.figure == pytest.approx(100 * 11.7 * math.hypot(0.40, 0.25) / 230, rel=0.002)
    assert "blink" not in finding.why


def test_failing_example() -> None:
    finding = judged(rule, taking(45.0), "mains")
    assert finding.verdict == "marginal"
    assert finding.figure == pytest.approx(9.2, abs=0.05)


@pytest.mark.parametrize(("amps", "verdict"), [(19.4, "ok"), (19.6, "ok"), (34.0, "ok"), (34.2, "marginal")])
def test_the_bounds_of_the_standard_in_amps(amps: float, verdict: str) -> None:
    """4 and 7 % of 230 V through 0.472 ohm are 19.5 and 34.1 A."""
    finding = judged(rule, taking(amps), "mains")
    assert finding.verdict == verdict
    assert ("blink" in finding.why) == (amps > 19.5)


def test_the_impedance_described_goes_first() -> None:
    finding = judged(rule, taking(45.0, mains={"impedance": "0.2 ohm"}), "mains")
    assert finding.verdict == "ok"
    assert finding.figure == pytest.approx(100 * 45 * 0.2 / 230)
    assert "60725" not in finding.source


def test_with_nothing_in_the_mains_lead_a_half_sine_of_the_peak_stands_in() -> None:
    drawn = MainsFigures(253.0, 0.5, 90.0, 120.0, 20.0)
    run = replace(cases.figures("switch-on", "high"), places={}, mains_supply=drawn)
    assert rule.half_cycle(run, 50.0) == pytest.approx(20 / math.sqrt(2))


def test_mains_that_the_standard_does_not_know_are_not_judged() -> None:
    american = {"voltage": "120 V", "frequency": "60 Hz", "low": "114 V", "high": "126 V", "wall": "121 V"}
    assert list(rule.judge(taking(45.0, mains=american), default_limits())) == []


def test_without_a_switch_on_it_is_not_checked() -> None:
    finding = judged(rule, Case(cases.supply(), {}), "mains")
    assert (finding.verdict, finding.measure) == ("not checked", "whether the lights dip")
