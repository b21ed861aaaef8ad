"""The failing example of a rule on a part's rating is found by that rule, and by no other."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from psucheck.checks.case import Case
from psucheck.checks.limits import default_limits
from psucheck.checks.registry import judge_all
from psucheck.figures.model import Figures, PlaceFigures
from tests.checks import cases
from tests.checks.rules import (
    with_choke,
    with_place,
    with_rectifier,
    with_resistor,
    with_valves,
    with_winding,
)


def _every(change: Callable[[Figures], Figures], **description: Any) -> Case:
    """The invented amplifier with one change to all its conditions."""
    made = cases.case(**description)
    return replace(made, figures={name: change(figures) for name, figures in made.figures.items()})


def _rail_fuse(rms: float, volts: float, *windows: tuple[float, float]) -> Callable[[Figures], Figures]:
    found = PlaceFigures(rms, 3 * rms, volts, True, window_rms=windows)

    def change(made: Figures) -> Figures:
        started = found if made.state == "switch-on" else replace(found, window_rms=())
        return with_place(made, "before reservoir", started)

    return change


def _fused(marking: str, volts: str) -> dict[str, Any]:
    return {"fuses": {"before reservoir": {"rating": marking, "dc_voltage": volts}}}


def _in_the_mains(rms: float) -> Callable[[Figures], Figures]:
    """A limiter's current, behind a mains fuse that carries it."""
    return lambda made: with_place(made, "mains", PlaceFigures(rms, 3 * rms, 253.0, False))


def _limited() -> dict[str, Any]:
    return {"limiters": {"mains": {"type": "SL10 10003"}}, "fuses": {"mains": None}}


FAILING: dict[str, Callable[[], Case]] = {
    "rectifier-reverse-voltage": lambda: cases.case(
        with_rectifier(cases.figures("valves out", "nominal"), "ht", reverse_voltage=1520.0)
    ),
    "rectifier-mean-current": lambda: _every(lambda made: with_rectifier(made, "ht", mean_current=0.27)),
    "rectifier-peak-current": lambda: _every(lambda made: with_rectifier(made, "ht", peak_current=1.1)),
    "rectifier-first-capacitor": lambda: cases.case(filter={"reservoir": {"capacitor": {"value": "100 uF"}}}),
    "rectifier-source-resistance": lambda: _every(
        lambda made: with_rectifier(made, "ht", source_resistance=40.0)
    ),
    "winding-current": lambda: cases.case(windings={"heaters": {"current": "3 A"}}),
    "heater-voltage": lambda: cases.case(with_winding(cases.figures("idle", "wall"), "heaters", volts=7.06)),
    "choke-current": lambda: _every(lambda made: with_choke(made, "screens", dc=0.205)),
    "resistor-power": lambda: _every(lambda made: with_resistor(made, "splitter dropper", watts=3.4)),
    "resistor-voltage": lambda: cases.case(filter={"preamp": {"bleeder": {"voltage": "350 V"}}}),
    "valve-voltage": lambda: cases.case(with_valves(cases.figures(), screen_volts=610.0)),
    "valve-dissipation": lambda: cases.case(with_valves(cases.figures(), anode_watts=26.0)),
    "cathode-current": lambda: cases.case(with_valves(cases.figures(), anode_current=0.15)),
    "inrush-limiter": lambda: _every(_in_the_mains(3.4), **_limited()),
    "bias-range": lambda: cases.case(filter={"bias": {"range": ["-28 V", "-36 V"]}}),
    "fuse-running": lambda: _every(_rail_fuse(0.6, 420.0), **_fused("T500mAL250V", "500 V")),
    "fuse-inrush": lambda: _every(_rail_fuse(0.15, 420.0, (0.02, 1.9)), **_fused("F250mAL250V", "500 V")),
    "fuse-voltage": lambda: _every(_rail_fuse(0.15, 420.0, (0.02, 1.1)), **_fused("T500mAL250V", "400 V")),
}


@pytest.mark.parametrize("rule", FAILING)
def test_the_failing_example_is_found_by_its_rule_alone(rule: str) -> None:
    findings = judge_all(FAILING[rule](), default_limits())
    assert {finding.rule for finding in findings if finding.verdict == "over"} == {rule}
    assert {finding.rule for finding in findings if finding.verdict == "marginal"} <= {rule}
