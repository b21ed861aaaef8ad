"""The failing example of a rule is found by that rule, and by no other."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from psucheck.checks.case import Case
from psucheck.checks.limits import default_limits
from psucheck.checks.registry import judge_all
from psucheck.figures.model import ChokeFigures, Figures, NodeFigures, PlaceFigures, Sag
from tests.checks import cases


def _capacitor(name: str, volts: float, parts: int = 1, **description: Any) -> Case:
    held = cases.with_capacitor(
        cases.figures("valves out", "high"), name, cases.capacitor(volts, parts=parts)
    )
    return cases.case(held, **description)


def _sharing() -> Case:
    part = {"voltage": "300 V", "balancing": {"value": "470k"}}
    return _capacitor("splitter", 530.0, 2, filter={"splitter": {"capacitor": part}})


def _ripple_current() -> Case:
    return cases.case(filter={"reservoir": {"capacitor": {"ripple_current": "100 mA"}}})


def _ripple() -> Case:
    found = NodeFigures(400.0, 52.0, 15.0, 374.0, 426.0)
    return cases.case(cases.with_node(cases.figures("full output"), "reservoir", found))


def _loaded_voltage() -> Case:
    return cases.case(filter={"reservoir": {"target": "350 V +-5 %"}})


def _regulation() -> Case:
    burst = {"reservoir": Sag(400.0, 310.0, 0.05, 0.1)}
    return cases.case(replace(cases.figures("sag", "wall"), sag=burst))


def _critical_inductance() -> Case:
    """A choke input whose current stops; the reservoir's rail is that of the case."""

    def change(made: Figures) -> Figures:
        drawn = 0.05 if made.state in ("idle", "full output") else 0.002
        choke = ChokeFigures(drawn, drawn, drawn if drawn > 0.01 else 0.0, 2 * drawn, 5.0)
        return replace(made, chokes={**made.chokes, "reservoir": choke})

    choke = {"inductance": "10 H", "resistance": "110 ohm", "current": "250 mA"}
    made = cases.case(filter={"reservoir": {"choke": choke, "was": None}})
    return replace(made, figures={name: change(run) for name, run in made.figures.items()})


def _ladder_resonance() -> Case:
    screens = {"choke": {"inductance": "1 H"}, "capacitor": {"value": "8 uF"}}
    return cases.case(filter={"screens": screens})


def _resistor_pulse() -> Case:
    run = cases.figures("switch-on", "high")
    dropper = replace(run.resistors["splitter dropper"], max_volts=450.0)
    run = replace(run, resistors={**run.resistors, "splitter dropper": dropper})
    node = {"resistor": {"value": "4k7", "power": "0.5 W"}, "capacitor": {"value": "200 uF"}}
    return cases.case(run, filter={"splitter": node})


def _mains_dip() -> Case:
    place = PlaceFigures(1.2, 90.0, 253.0, False, i2t=20.0, window_rms=((0.01, 45.0),))
    run = cases.figures("switch-on", "high", places={"mains": place})
    return cases.case(run, fuses={"mains": None})


FAILING: dict[str, Callable[[], Case]] = {
    "capacitor-voltage": lambda: _capacitor("reservoir", 551.0),
    "capacitor-sharing": _sharing,
    "capacitor-ripple-current": _ripple_current,
    "ripple": _ripple,
    "loaded-voltage": _loaded_voltage,
    "regulation": _regulation,
    "critical-inductance": _critical_inductance,
    "ladder-resonance": _ladder_resonance,
    "resistor-pulse": _resistor_pulse,
    "bias-loss": lambda: cases.case(fuses={"before bias": "F100mAL250V"}),
    "mains-dip": _mains_dip,
}


@pytest.mark.parametrize("rule", FAILING)
def test_the_failing_example_is_found_by_its_rule_alone(rule: str) -> None:
    findings = judge_all(FAILING[rule](), default_limits())
    assert {finding.rule for finding in findings if finding.verdict in ("over", "marginal")} == {rule}


def test_the_passing_example_of_all_rules_at_once() -> None:
    findings = judge_all(cases.case(), default_limits())
    assert [finding for finding in findings if finding.verdict in ("over", "marginal")] == []
