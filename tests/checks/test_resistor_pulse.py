from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from psucheck.checks import resistor_pulse as rule
from psucheck.checks.case import Case
from psucheck.checks.limits import default_limits
from psucheck.figures.model import PlaceFigures, ResistorFigures
from tests.checks import cases
from tests.checks.rules import every, judged, with_rectifier, with_resistor


def dropping(volts: float, farads: str, **resistor: Any) -> Case:
    """A splitter dropper that sees ``volts`` when the supply is switched on."""
    run = with_resistor(cases.figures("switch-on", "high"), "splitter dropper", max_volts=volts)
    node = {"resistor": resistor, "capacitor": {"value": farads, "in_series": 1, "balancing": None}}
    return cases.case(run, filter={"splitter": node})


def test_passing_example() -> None:
    finding = judged(rule, dropping(388.0, "22 uF", value="10k", power="2 W"), "splitter dropper")
    assert (finding.verdict, finding.unit) == ("ok", "J")
    assert finding.figure == pytest.approx(1.66, abs=0.01)
    assert finding.limit == pytest.approx(9.27, abs=0.01)


def test_failing_example() -> None:
    finding = judged(rule, dropping(450.0, "100 uF", value="4k7", power="0.5 W"), "splitter dropper")
    assert finding.verdict == "marginal"
    assert finding.figure == pytest.approx(10.1, abs=0.05)
    assert finding.limit == pytest.approx(3.39, abs=0.01)


def test_at_five_seconds_the_limit_is_the_makers_overload() -> None:
    limits = default_limits()
    assert rule.capability(limits, 2.0, 5.0) == pytest.approx(2.5**2 * 2.0 * 5.0)
    assert rule.capability(limits, 2.0, 60.0) == rule.capability(limits, 2.0, 5.0)
    # A hundredth of the time, ten times the watts: a tenth of the energy.
    assert rule.capability(limits, 2.0, 0.05) == pytest.approx(rule.capability(limits, 2.0, 5.0) / 10)


def test_volts_beyond_twice_the_limiting_voltage_are_over() -> None:
    case = dropping(510.0, "22 uF", value="10k", power="5 W", voltage="250 V")
    finding = judged(rule, case, "splitter dropper")
    assert (finding.verdict, finding.figure, finding.limit) == ("over", 510.0, 500.0)


def test_volts_within_it_leave_the_energy_to_be_told() -> None:
    case = dropping(490.0, "22 uF", value="10k", power="5 W", voltage="250 V")
    assert judged(rule, case, "splitter dropper").unit == "J"


def test_an_anode_resistor_takes_its_share_of_charging_the_reservoir() -> None:
    run = with_rectifier(cases.figures("switch-on", "high"), "ht", source_resistance=200.0)
    run = cases.with_node(run, "reservoir", cases.node(400.0))
    only = Case(cases.supply(rectifiers={"ht": {"anode_resistors": "100 ohm 5 W"}}), {run.name: run})
    finding = judged(rule, only, "ht anode resistor")
    assert finding.figure == pytest.approx(0.5 * 0.5 * 50e-6 * 400**2 / 2)
    assert finding.limit == pytest.approx(6.25 * 5 * (5 * 200 * 50e-6 / 2) ** 0.5)


@pytest.mark.parametrize(("amps", "verdict"), [(3.5, "ok"), (4.5, "marginal")])
def test_a_series_resistor_is_held_by_the_windows_of_its_current(amps: float, verdict: str) -> None:
    """47 ohm 5 W for 10 ms: 7 J, which is 3.9 A; the minute's window is beyond the law."""
    found = PlaceFigures(0.2, 2 * amps, 320.0, False, i2t=1.0, window_rms=((0.01, amps), (60.0, 3.0)))
    run = replace(
        cases.figures("switch-on", "high", places={"centre tap ht": found}),
        resistors={"centre tap ht": ResistorFigures(0.2, 2.0, 2 * amps * 47)},
    )
    only = Case(cases.supply(series={"centre tap ht": "47 ohm 5 W"}), {run.name: run})
    finding = judged(rule, only, "centre tap ht")
    assert finding.verdict == verdict
    assert finding.figure == pytest.approx(47 * amps**2 * 0.01)


def test_without_watts_it_is_left_to_the_rule_on_power() -> None:
    assert every(rule, dropping(450.0, "100 uF", value="4k7", power=None), "splitter dropper") == []
