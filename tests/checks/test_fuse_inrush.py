from __future__ import annotations

import pytest

from psucheck.checks import fuse_inrush as rule
from psucheck.checks.case import Case
from psucheck.figures.model import PlaceFigures, State
from tests.checks import cases
from tests.checks.rules import judged, with_place

RAIL = "before reservoir"


def starting(
    fuse: object,
    *windows: tuple[float, float],
    place: str = RAIL,
    remarks: tuple[str, ...] = (),
    state: State = "switch-on",
) -> Case:
    found = PlaceFigures(0.2, 9.0, 450.0, place == RAIL, i2t=1.0, window_rms=windows)
    made = with_place(cases.figures(state, "high"), place, found, *remarks)
    return cases.case(made, fuses={"mains": None, place: fuse})


def test_passing_example() -> None:
    finding = judged(rule, starting("T500mAL250V", (0.02, 1.1), (1.0, 0.3)), RAIL)
    assert finding.verdict == "ok"
    assert not finding.guessed


def test_failing_example() -> None:
    finding = judged(rule, starting("F250mAL250V", (0.02, 1.9)), RAIL)
    assert finding.verdict == "over"
    assert finding.why == "1.9 A RMS over the worst 20 ms; this marking is sure to carry 688 mA that long."
    assert "sheet 2" in finding.source


def test_every_window_counts_for_itself() -> None:
    """1.2 times the rating for a minute is nothing; 5 times for a second opens it, whatever came first."""
    assert judged(rule, starting("T1AL250V", (0.01, 4.0), (60.0, 1.2)), RAIL).verdict == "ok"
    finding = judged(rule, starting("T1AL250V", (0.01, 4.0), (1.0, 5.0)), RAIL)
    assert (finding.verdict, finding.figure) == ("over", 5.0)


def test_between_the_gates_points_is_marginal() -> None:
    finding = judged(rule, starting("T1AL250V", (0.3, 3.0)), RAIL)
    assert finding.verdict == "marginal"
    assert finding.why == (
        "3 A RMS over the worst 300 ms; this marking is sure to carry 2.75 A that long; between the gate's "
        "points it may."
    )


def test_a_known_melting_i2t_decides_for_pulses() -> None:
    """5.5 A RMS over 20 ms are 0.605 A^2s. The gate of T500mAL lets 0.5 A^2s pass for sure."""
    assert judged(rule, starting("T500mAL250V", (0.02, 5.5)), RAIL).verdict == "over"
    known = {"rating": "T500mAL250V", "melting_i2t": "3.1 A^2 s"}
    finding = judged(rule, starting(known, (0.02, 5.5)), RAIL)
    assert finding.verdict == "ok"
    assert finding.why == "5.5 A RMS over 20 ms is 20 % of the fuse's melting I²t."


def test_pulse_life_makes_it_marginal_and_over() -> None:
    known = {"rating": "T500mAL250V", "melting_i2t": "3.1 A^2 s"}
    assert judged(rule, starting(known, (0.02, 7.5)), RAIL).verdict == "marginal"
    assert judged(rule, starting(known, (0.02, 9.0)), RAIL).verdict == "over"


def test_a_named_series_gives_its_melting_i2t() -> None:
    named = {"rating": "T500mAL250V", "maker": "Bel 5ST"}
    finding = judged(rule, starting(named, (0.02, 5.5)), RAIL)
    assert finding.verdict == "ok"
    assert "Bel 5ST" in finding.source


def test_both_starts_count() -> None:
    held = starting("F250mAL250V", (0.02, 1.9), state="switch-on, valves cold")
    assert judged(rule, held, RAIL).verdict == "over"


def test_the_mains_fuse_is_not_checked_without_the_core() -> None:
    remark = f"{rule.NO_CORE}; all cathodes hot"
    finding = judged(rule, starting("T2AL250V", (0.02, 3.0), place="mains", remarks=(remark,)), "mains")
    assert finding.verdict == "not checked"
    assert finding.measure == "whether the mains fuse holds ten switch-ons, five minutes apart"
    assert finding.why.startswith("The core is taken as ideal, without its inrush")


def test_the_mains_fuse_that_fails_by_charging_alone_is_over() -> None:
    over = starting("T1AL250V", (0.02, 25.0), place="mains", remarks=(rule.NO_CORE,))
    assert judged(rule, over, "mains").verdict == "over"


def test_the_core_does_not_matter_to_a_rail() -> None:
    held = starting("T500mAL250V", (0.02, 1.1), remarks=(rule.NO_CORE,))
    assert judged(rule, held, RAIL).verdict == "ok"


def test_a_ul_fuse_is_not_checked_for_pulses_without_its_melting_i2t() -> None:
    finding = judged(rule, starting("UL slow 500 mA 250 V", (0.02, 3.0)), RAIL)
    assert finding.verdict == "not checked"
    assert finding.measure is not None
    assert "melting I2t" in finding.measure


def test_without_switch_on_it_is_not_checked() -> None:
    idle = cases.figures()
    finding = judged(rule, Case(cases.supply(), {idle.name: idle}), "mains")
    assert finding.verdict == "not checked"


@pytest.mark.parametrize("state", ["hot restart", "standby closes"])
def test_a_start_that_is_not_from_cold_counts_too(state: State) -> None:
    finding = judged(rule, starting("F250mAL250V", (0.02, 1.9), state=state), RAIL)
    assert (finding.verdict, finding.figure) == ("over", 1.9)
