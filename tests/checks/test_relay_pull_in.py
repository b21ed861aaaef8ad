from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from psucheck.checks import relay_pull_in as rule
from psucheck.checks.case import Case
from psucheck.checks.finding import Verdict
from psucheck.figures.model import NodeFigures
from psucheck.supply.assumptions import Assumption
from tests.checks import cases
from tests.checks.rules import judged


def at(idle: float, full: float, relay: Any, ripple: float = 0.0, *assumptions: Assumption) -> Case:
    made = []
    for state, volts in (("idle", idle), ("full output", full)):
        figures = cases.figures(state, "low")  # type: ignore[arg-type]
        low = NodeFigures(volts, ripple, ripple / 3.46, volts - ripple / 2, volts + ripple / 2)
        made.append(replace(figures, nodes={**figures.nodes, "low": low}))
    description: dict[str, Any] = {
        "windings": {"low": "12.5 V 2 A"},
        "rectifiers": {"low": {"circuit": "bridge", "winding": "low", "device": "1N5408"}},
        "filter": {
            "reservoir": {"from": "rectifiers.ht"},
            "low": {"from": "rectifiers.low", "capacitor": "4700 uF 25 V"},
        },
        "loads": {"relay": {"node": "low", "relay": relay}},
    }
    return cases.case(*made, assumptions=assumptions, **description)


RELAY = {"pull_in": "8.4 V", "resistance": "360 ohm"}


def test_passing_example() -> None:
    finding = judged(rule, at(12.1, 11.8, RELAY), "relay")
    assert (finding.verdict, finding.figure, finding.limit) == ("ok", 11.8, 8.4)
    assert finding.margin == pytest.approx(0.40, abs=0.01)
    assert finding.condition == "full output, low mains"


def test_failing_example() -> None:
    finding = judged(rule, at(8.6, 7.9, RELAY), "relay")
    assert (finding.verdict, finding.lower_limit) == ("over", True)
    assert finding.why == "7.9 V on a relay that pulls in at 8.4 V."


def test_less_than_a_tenth_in_hand_is_marginal() -> None:
    assert judged(rule, at(9.4, 9.2, RELAY), "relay").verdict == "marginal"


@pytest.mark.parametrize(("volts", "verdict"), [(8.0, "marginal"), (7.0, "over"), (9.3, "ok")])
def test_a_guessed_pull_in_softens_what_it_could_explain(volts: float, verdict: Verdict) -> None:
    note = Assumption("loads.relay.relay.pull_in", 8.4, "V", "guess", "", "", low=7.14, high=9.66)
    finding = judged(rule, at(volts, volts, "12 V 360 ohm", 0.0, note), "relay")
    assert (finding.verdict, finding.guessed) == (verdict, True)


def test_the_lowest_instant_must_hold_it() -> None:
    relay = {**RELAY, "holds": "8 V"}
    finding = judged(rule, at(9.9, 9.5, relay, 3.2), "relay")
    assert (finding.verdict, finding.limit) == ("over", 8.0)
    assert finding.figure == pytest.approx(7.9)


def test_without_a_run_at_low_mains_it_is_not_checked() -> None:
    case = at(12.0, 12.0, RELAY)
    high = {name: figures for name, figures in case.figures.items() if figures.level != "low"}
    assert judged(rule, replace(case, figures=high), "relay").verdict == "not checked"
