from __future__ import annotations

import math
from typing import Any

import pytest

from psucheck.checks import ladder_resonance as rule
from psucheck.checks.case import Case
from psucheck.checks.limits import default_limits
from tests.checks import cases
from tests.checks.rules import every, guess, judged


def section(henries: str | None, farads: str, **more: Any) -> Case:
    screens = {"choke": {"inductance": henries}, "capacitor": {"value": farads}}
    return cases.case(filter={"screens": screens}, **more)


def test_passing_example() -> None:
    finding = judged(rule, section("10 H", "50 uF"), "screens")
    assert finding.verdict == "ok"
    assert finding.figure == pytest.approx(7.1, abs=0.05)
    assert finding.limit == pytest.approx(33.3, abs=0.05)
    assert "7.12 Hz, where amplifiers motor-boat, with a Q of" in finding.why


def test_failing_example() -> None:
    finding = judged(rule, section("1 H", "8 uF"), "screens")
    assert finding.verdict == "marginal"
    assert finding.figure == pytest.approx(56.3, abs=0.05)


@pytest.mark.parametrize(
    ("henries", "farads", "hertz"), [(5, 32e-6, 12.6), (10, 50e-6, 7.1), (10, 20e-6, 11.3)]
)
def test_the_worked_resonances(henries: float, farads: float, hertz: float) -> None:
    finding = judged(rule, section(f"{henries} H", f"{farads * 1e6:.0f} uF"), "screens")
    assert finding.figure == pytest.approx(hertz, abs=0.05)


def test_q_of_a_section_damped_by_its_load_alone_is_the_load_over_its_impedance() -> None:
    assert rule.quality(10.0, 40e-6, 0.0, 5000.0) == pytest.approx(5000 / math.sqrt(10 / 40e-6))


def test_q_is_halved_where_copper_damps_as_much() -> None:
    impedance = math.sqrt(10 / 40e-6)
    assert rule.quality(10.0, 40e-6, impedance / 4, 4 * impedance) == pytest.approx(2.0)


def test_a_guessed_inductance_marks_it() -> None:
    case = section(None, "50 uF", assumptions=(guess("filter.screens.choke.inductance"),))
    assert judged(rule, case, "screens").guessed


def test_nodes_without_a_choke_are_not_judged() -> None:
    assert [finding.subject for finding in rule.judge(cases.case(), default_limits())] == ["screens"]
    assert every(rule, cases.case(), "splitter") == []
