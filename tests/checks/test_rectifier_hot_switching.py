from __future__ import annotations

from dataclasses import replace

import pytest

from psucheck.checks import rectifier_hot_switching as rule
from psucheck.checks.case import Case
from psucheck.figures.model import State
from tests.checks import cases
from tests.checks.rules import judged, with_rectifier


def met(peak: float, device: str, state: State = "hot restart") -> Case:
    run = with_rectifier(replace(cases.figures("idle", "high"), state=state), "ht", peak_current=peak)
    return cases.case(run, rectifiers={"ht": {"device": {"type": device}}})


def test_passing_example() -> None:
    assert judged(rule, met(2.9, "5U4GB"), "ht").verdict == "ok"


def test_failing_example() -> None:
    finding = judged(rule, met(3.4, "5Y3GT"), "ht")
    assert (finding.verdict, finding.limit) == ("over", 2.2)


def test_standby_counts_too() -> None:
    assert judged(rule, met(3.4, "5Y3GT", "standby closes"), "ht").verdict == "over"


@pytest.mark.parametrize(("peak", "verdict"), [(1.4, "ok"), (2.0, "not checked")])
def test_a_sheet_without_a_limit(peak: float, verdict: str) -> None:
    """The 5Z4 states a steady peak of 375 mA and no transient."""
    assert judged(rule, met(peak, "5Z4"), "ht").verdict == verdict


def test_without_such_a_run_it_is_not_checked() -> None:
    case = cases.case(cases.figures("idle", "high"), rectifiers={"ht": {"device": {"type": "5U4GB"}}})
    assert judged(rule, case, "ht").measure == "whether it sparks on a quick restart"
