from __future__ import annotations

from typing import Any

import pytest

from psucheck.checks import rectifier_peak_current as rule
from psucheck.checks.case import Case
from psucheck.figures.model import State
from tests.checks import cases
from tests.checks.rules import guess, judged, with_rectifier


def peak(amps: float, state: State = "full output", device: object = "GZ34", **more: Any) -> Case:
    made = with_rectifier(cases.figures(state, "high"), "ht", peak_current=amps)
    return cases.case(made, rectifiers={"ht": {"device": device}}, **more)


def test_passing_example() -> None:
    finding = judged(rule, cases.case(), "ht")
    assert finding.verdict == "ok"
    assert finding.why == "Peak 595 mA per anode; GZ34 allows 750 mA."


def test_failing_example() -> None:
    finding = judged(rule, peak(1.1), "ht")
    assert (finding.verdict, finding.figure, finding.limit, finding.unit) == ("over", 1.1, 0.75, "A")
    assert finding.why == "Peak 1.1 A per anode; GZ34 allows 750 mA."
    assert finding.guessed


def test_a_breach_within_a_quarter_is_marginal_without_the_leakage_inductance() -> None:
    finding = judged(rule, peak(0.91), "ht")
    assert finding.verdict == "marginal"
    assert finding.why == (
        "Peak 910 mA per anode; GZ34 allows 750 mA; the winding's leakage inductance is not given and would "
        "lower it."
    )
    assert judged(rule, peak(0.91, transformer={"leakage": "20 mH"}), "ht").verdict == "over"


def test_a_guessed_winding_resistance_softens_a_breach_it_could_explain() -> None:
    guessed = (guess("windings.ht.resistance"),)
    assert judged(rule, peak(0.98, assumptions=guessed), "ht").verdict == "marginal"
    assert judged(rule, peak(1.2, assumptions=guessed), "ht").verdict == "over"


def test_the_start_does_not_count_for_a_valve() -> None:
    assert judged(rule, peak(3.0, "switch-on"), "ht").verdict == "ok"


@pytest.mark.parametrize(("hertz", "limit"), [("50 Hz", 27.33), ("60 Hz", 29.94)])
def test_silicon_stands_its_surge_for_half_a_cycle_of_this_mains(hertz: str, limit: float) -> None:
    finding = judged(rule, peak(28.0, "switch-on", "1N4007", mains={"frequency": hertz}), "ht")
    assert finding.limit == pytest.approx(limit, abs=0.01)
    assert finding.verdict == ("over" if hertz == "50 Hz" else "ok")


@pytest.mark.parametrize(("state", "words"), [
    ("switch-on, valves cold", "at switch-on"),
    ("hot restart", "at a hot restart"),
    ("standby closes", "when standby closes"),
])  # fmt: skip
def test_silicon_is_held_at_every_stroke_that_charges_the_supply(state: State, words: str) -> None:
    """A warm limiter, or a reservoir behind a closing standby switch, asks more than a cold start."""
    finding = judged(rule, peak(28.0, state, "1N4007"), "ht")
    assert (finding.verdict, finding.condition) == ("over", f"{state}, high mains")
    assert f"through one diode {words};" in finding.why


def test_silicon_is_not_checked_without_switch_on() -> None:
    supply = cases.supply(rectifiers={"ht": {"device": "1N4007"}})
    idle = cases.figures()
    finding = judged(rule, Case(supply, {idle.name: idle}), "ht")
    assert finding.verdict == "not checked"


def test_an_unknown_rating_is_not_checked() -> None:
    finding = judged(rule, peak(0.5, device={"kind": "valve", "drop": "20 V at 150 mA"}), "ht")
    assert finding.verdict == "not checked"
    assert finding.measure == "the peak anode current on the data sheet of the device"
