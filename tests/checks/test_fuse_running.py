from __future__ import annotations

import pytest

from psucheck.checks import fuse_running as rule
from psucheck.checks.case import Case
from psucheck.checks.finding import Verdict
from psucheck.figures.model import PlaceFigures
from tests.checks import cases
from tests.checks.rules import judged, loaded, with_place


def carrying(idle: float, full: float, fuse: str) -> Case:
    runs = loaded(
        idle,
        full,
        lambda made, amps: with_place(made, "mains", PlaceFigures(amps, 3 * amps, 230.0, False)),
    )
    return cases.case(*runs, fuses={"mains": fuse})


def test_passing_example() -> None:
    finding = judged(rule, carrying(0.55, 0.92, "T2AL250V"), "mains")
    assert finding.verdict == "ok"
    # 15 degrees at half a per cent each.
    assert finding.limit == pytest.approx(2.0 * 0.925)


def test_failing_example() -> None:
    finding = judged(rule, carrying(0.71, 0.71, "T630mAL250V"), "mains")
    assert finding.verdict == "over"
    assert finding.why == "710 mA RMS through a fuse of 630 mA, good for 583 mA at 40 degC."


def test_no_larger_fuse_is_advised_without_the_fault_side() -> None:
    finding = judged(rule, carrying(0.71, 0.71, "T630mAL250V"), "mains")
    assert finding.change is not None
    assert "only if the winding still survives the fault" in finding.change


@pytest.mark.parametrize(
    ("fuse", "idle", "verdict"),
    [
        ("T1AL250V", 0.73, "ok"),
        ("T1AL250V", 0.76, "marginal"),
        ("UL slow 1 A 250 V", 0.68, "ok"),
        ("UL slow 1 A 250 V", 0.71, "marginal"),
        ("UL slow 1 A 250 V", 0.94, "over"),
    ],
)
def test_iec_fuses_are_used_to_80_per_cent_and_ul_fuses_to_75(
    fuse: str, idle: float, verdict: Verdict
) -> None:
    assert judged(rule, carrying(idle, idle, fuse), "mains").verdict == verdict


def test_continuous_full_output_alone_is_marginal() -> None:
    finding = judged(rule, carrying(0.4, 0.95, "T1AL250V"), "mains")
    assert finding.verdict == "marginal"
    assert finding.why.endswith("; only continuous full output exceeds it.")


def test_without_a_run_it_is_not_checked() -> None:
    made = cases.case(fuses={"before reservoir": "T500mAL250V"})
    finding = judged(rule, made, "before reservoir")
    assert (finding.verdict, finding.measure) == ("not checked", "true-RMS current through the fuse at idle")
