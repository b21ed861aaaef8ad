"""The failing example of a rule is found by that rule, and by no other."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from psucheck.checks.case import Case
from psucheck.checks.limits import default_limits
from psucheck.checks.registry import judge_all
from psucheck.figures.model import NodeFigures
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


FAILING: dict[str, Callable[[], Case]] = {
    "capacitor-voltage": lambda: _capacitor("reservoir", 551.0),
    "capacitor-sharing": _sharing,
    "capacitor-ripple-current": _ripple_current,
    "ripple": _ripple,
    "loaded-voltage": _loaded_voltage,
}


@pytest.mark.parametrize("rule", FAILING)
def test_the_failing_example_is_found_by_its_rule_alone(rule: str) -> None:
    findings = judge_all(FAILING[rule](), default_limits())
    assert {finding.rule for finding in findings if finding.verdict in ("over", "marginal")} == {rule}


def test_the_passing_example_of_all_rules_at_once() -> None:
    findings = judge_all(cases.case(), default_limits())
    assert [finding for finding in findings if finding.verdict in ("over", "marginal")] == []
