from __future__ import annotations

from typing import Any

import pytest

from psucheck.checks import rectifier_mean_current as rule
from psucheck.checks.case import Case
from tests.checks import cases
from tests.checks.rules import judged, loaded, with_rectifier


def drawing(idle: float, full: float, device: object = "GZ34", **changes: Any) -> Case:
    runs = loaded(
        idle,
        full,
        lambda made, amps: with_rectifier(made, "ht", mean_current=amps, arm_mean_current=amps / 2),
    )
    return cases.case(*runs, rectifiers={"ht": {"device": device}}, **changes)


def test_passing_example() -> None:
    finding = judged(rule, drawing(0.120, 0.215), "ht")
    assert (finding.verdict, finding.figure, finding.limit) == ("ok", 0.215, 0.250)
    assert finding.guessed  # the GZ34's rating is recalled
    assert "recalled" in finding.source


def test_failing_example() -> None:
    finding = judged(rule, drawing(0.180, 0.180, "EZ81"), "ht")
    assert finding.verdict == "over"
    assert finding.limit == pytest.approx(0.153)
    # The sheet's 160 mA at 250 V and 150 mA at 350 V, read at 320 V.
    assert finding.why == "It delivers 180 mA DC; EZ81 allows 153 mA."


def test_over_at_continuous_full_output_alone_is_marginal() -> None:
    finding = judged(rule, drawing(0.120, 0.260), "ht")
    assert finding.verdict == "marginal"
    assert finding.why.endswith("; only continuous full output exceeds it.")


def test_over_at_a_third_of_full_output_is_over() -> None:
    finding = judged(rule, drawing(0.200, 0.340), "ht")
    assert finding.verdict == "over"
    assert finding.condition == "33 % of the time at full output, low mains"


def test_silicon_counts_the_arm_and_the_capacitive_load() -> None:
    finding = judged(rule, drawing(0.5, 1.5, "1N4007"), "ht")
    assert (finding.verdict, finding.figure, finding.limit) == ("ok", 0.75, 0.8)


def test_devices_in_parallel_share() -> None:
    finding = judged(rule, drawing(0.180, 0.180, {"type": "EZ81", "in_parallel": 2}), "ht")
    assert (finding.verdict, finding.figure) == ("ok", 0.090)


def test_choke_input_has_its_own_rating() -> None:
    choke = {"reservoir": {"choke": {"inductance": "10 H", "resistance": "110 ohm", "current": "400 mA"}}}
    assert judged(rule, drawing(0.300, 0.300, "GZ37"), "ht").verdict == "over"
    finding = judged(rule, drawing(0.300, 0.300, "GZ37", filter=choke), "ht")
    assert (finding.verdict, finding.limit) == ("ok", 0.350)


def test_an_unknown_rating_is_not_checked() -> None:
    finding = judged(rule, drawing(0.1, 0.2, {"kind": "valve", "drop": "20 V at 150 mA"}), "ht")
    assert finding.verdict == "not checked"
    assert finding.measure == "the mean (DC) current on the data sheet of the device"
