from __future__ import annotations

import pytest

from psucheck.checks import resistor_power as rule
from psucheck.checks.case import Case
from psucheck.checks.finding import Verdict
from psucheck.figures.model import ResistorFigures, State
from tests.checks import cases
from tests.checks.rules import every, judged, with_resistor


def heated(watts: float, state: State = "full output", power: str | None = "1 W") -> Case:
    made = with_resistor(cases.figures(state, "high"), "splitter dropper", watts=watts)
    return cases.case(made, filter={"splitter": {"resistor": {"power": power}}})


@pytest.mark.parametrize(("watts", "verdict"), [(0.31, "ok"), (0.7, "marginal"), (1.4, "over")])
def test_above_its_rating_is_over_and_above_three_fifths_marginal(watts: float, verdict: Verdict) -> None:
    assert judged(rule, heated(watts), "splitter dropper").verdict == verdict


def test_failing_example() -> None:
    finding = judged(rule, heated(1.4), "splitter dropper")
    assert finding.why == "1.4 W in 10 kohm rated 1 W: 140 % of the rating."
    assert finding.change == "Fit 3 W or more, clear of the board."
    assert finding.condition == "full output, high mains"


@pytest.mark.parametrize("state", ["valves out", "cold", "standby open", "idle"])
def test_every_lasting_state_counts(state: State) -> None:
    assert judged(rule, heated(1.4, state), "splitter dropper").verdict == "over"


def test_the_start_does_not_count() -> None:
    assert judged(rule, heated(20.0, "switch-on"), "splitter dropper").verdict == "ok"


def test_without_watts_it_is_not_checked() -> None:
    finding = judged(rule, heated(0.3, power=None), "splitter dropper")
    assert (finding.verdict, finding.measure) == (
        "not checked",
        "the resistor's watts, by its marking or size",
    )


def test_every_kind_of_resistor_finds_its_rating() -> None:
    part = {"value": "100k", "power": "2 W"}
    keys = (
        "splitter dropper", "preamp bleeder", "splitter balancing", "output screen resistor",
        "output cathode resistor", "bias feed", "ht anode resistor", "standby bypass", "before preamp",
    )  # fmt: skip
    made = cases.figures("idle", "high", resistors=dict.fromkeys(keys, ResistorFigures(0.01, 0.1, 10.0)))
    described = cases.supply(
        loads={"output": {"cathode_resistor": part}},
        rectifiers={"ht": {"anode_resistors": part}},
        switches={"standby": {"place": "before screens", "bypass": part}},
        series={"before preamp": part},
    )
    found = Case(described, {made.name: made})
    assert [judged(rule, found, key).verdict for key in keys] == ["ok"] * len(keys)


def test_a_derived_resistance_is_nobodys_part() -> None:
    made = cases.figures(resistors={"bias pot": ResistorFigures(0.01, 9.0, 10.0)})
    assert every(rule, Case(cases.supply(), {made.name: made}), "bias pot") == []


def test_a_zener_across_a_node_is_judged_by_its_watts() -> None:
    described = cases.supply(filter={"preamp": {"zener": {"zener": "300 V", "power": "5 W"}}})
    made = cases.figures("valves out", "high", resistors={"preamp zener": ResistorFigures(0.02, 6.0, 301.0)})
    finding = judged(rule, Case(described, {made.name: made}), "preamp zener")
    assert finding.verdict == "over"
    assert "a zener of 300 V" in finding.why


@pytest.mark.parametrize(("power", "verdict"), [("10 W", "ok"), ("5 W", "over"), (None, "not checked")])
def test_a_zener_at_a_place_is_judged_by_its_watts(power: str | None, verdict: Verdict) -> None:
    described = cases.supply(series={"before preamp": {"zener": "50 V", "power": power}})
    made = cases.figures(resistors={"before preamp": ResistorFigures(0.12, 5.5, 51.0)})
    finding = judged(rule, Case(described, {made.name: made}), "before preamp")
    assert finding.verdict == verdict
    assert "a zener of 50 V" in finding.why or power is None
    assert finding.measure is None or finding.measure == "the zener's watts, by its marking or size"
