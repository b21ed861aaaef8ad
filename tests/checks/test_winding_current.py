from __future__ import annotations

from typing import Any

import pytest

from psucheck.checks import winding_current as rule
from psucheck.checks.case import Case
from tests.checks import cases
from tests.checks.rules import every, guess, judged, loaded, with_winding


def carrying(idle: float, full: float, **more: Any) -> Case:
    runs = loaded(idle, full, lambda made, amps: with_winding(made, "ht", rms_current=(amps, 0.98 * amps)))
    return cases.case(*runs, **more)


def test_passing_example() -> None:
    finding = judged(rule, carrying(0.112, 0.205, windings={"ht": {"current": "220 mA"}}), "ht")
    assert (finding.verdict, finding.figure, finding.limit) == ("ok", 0.205, 0.220)
    assert finding.why == "Each half carries 205 mA RMS, rated 220 mA."


def test_failing_example_of_a_heater_winding() -> None:
    finding = judged(rule, cases.case(windings={"heaters": {"current": "3 A"}}), "heaters")
    assert (finding.verdict, finding.figure, finding.limit) == ("over", 3.9, 3.0)
    assert finding.why == "It carries 3.9 A RMS, rated 3 A."


@pytest.mark.parametrize(("rated", "verdict"), [("4 A", "ok"), ("3.8 A", "marginal"), ("3.6 A", "over")])
def test_heaters_within_their_spread_over_the_label_are_marginal(rated: str, verdict: str) -> None:
    finding = judged(rule, cases.case(windings={"heaters": {"current": rated}}), "heaters")
    assert finding.verdict == verdict
    assert ("differ from their sheet" in finding.why) == (verdict == "marginal")


def test_an_ht_winding_has_no_such_spread() -> None:
    assert judged(rule, carrying(0.36, 0.36), "ht").verdict == "over"


def test_over_at_a_third_of_full_output_is_over() -> None:
    finding = judged(rule, carrying(0.300, 0.460), "ht")
    assert finding.verdict == "over"
    assert finding.figure == pytest.approx((2 / 3 * 0.3**2 + 1 / 3 * 0.46**2) ** 0.5, rel=1e-3)


def test_continuous_full_output_alone_is_marginal_and_the_guide_stands_beside_it() -> None:
    guided = carrying(
        0.200, 0.400, rectifiers={"bias": None}, filter={"bias": None}, loads={"output": {"bias": "-37 V"}}
    )
    finding = judged(rule, guided, "ht")
    assert finding.verdict == "marginal"
    assert finding.why == (
        "Each half carries 400 mA RMS, rated 350 mA; only continuous full output exceeds it "
        "(Hammond's guide: 170 mA)."
    )


def test_a_dc_rating_is_held_against_the_direct_current() -> None:
    rated = {"ht": {"current": "160 mA", "current_is": "DC"}}
    finding = judged(rule, carrying(0.9, 0.9, windings=rated), "ht")
    # 170 mA of HT and 1 mA of bias at full output.
    assert finding.verdict == "marginal"
    assert finding.figure == pytest.approx(0.171)
    assert finding.why.startswith("It carries 171 mA DC, rated 160 mA")


def test_a_guessed_copper_softens_a_breach_it_could_explain() -> None:
    guessed = (guess("windings.ht.resistance"),)
    assert judged(rule, carrying(0.38, 0.38, assumptions=guessed), "ht").verdict == "marginal"
    assert judged(rule, carrying(0.45, 0.45, assumptions=guessed), "ht").verdict == "over"


def test_without_a_rating_it_is_not_checked() -> None:
    finding = judged(rule, carrying(0.2, 0.3, windings={"ht": {"current": None}}), "ht")
    assert (finding.verdict, finding.figure) == ("not checked", 0.3)
    assert finding.measure == "the current on its label, or the transformer's VA or weight"


def test_the_primary_is_judged_where_the_power_is_given() -> None:
    assert every(rule, cases.case(), "primary") == []
    finding = judged(rule, cases.case(transformer={"power": "100 VA"}), "primary")
    assert finding.verdict == "over"
    assert finding.why == "It draws 550 mA RMS; 100 VA are 435 mA at 230 V."
