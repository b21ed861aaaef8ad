from __future__ import annotations

from typing import Any

from psucheck.checks.case import Case
from psucheck.checks.fuse_values import FuseChoice, fuse_values
from psucheck.checks.limits import default_limits
from psucheck.figures.faults import FaultCourse, Stage
from psucheck.figures.model import PlaceFigures
from tests.checks import cases
from tests.checks.fault_courses import CENTRE_TAP, MAINS, course, currents


# 4.5 A RMS over 0.1 s at switch-on: a T,L fuse of 1 A rides through that, one of 800 mA need not.
def choices(*courses: FaultCourse, **description: Any) -> dict[str, FuseChoice]:
    described = {"fuses": {"mains": "T2AL250V"}, **description}
    started = PlaceFigures(0.55, 9.0, 253.0, False, i2t=1.0, window_rms=((0.01, 6.0), (0.1, 4.5), (1.0, 1.2)))
    made = cases.case(cases.figures("switch-on", "high", places={"mains": started}), **described)
    found = fuse_values(Case(made.supply, made.figures, made.assumptions, courses), default_limits())
    return {choice.place: choice for choice in found}


SURE = (1.0, 1.12, 1.25, 1.4, 1.6, 1.8, 2.0, 2.24)
"""Below a quarter of 9.7 A: R10, and R20 between."""


def shorted(mains: float, opens: bool = True) -> FaultCourse:
    stage = Stage(currents(mains, 5.0), MAINS, 3.0, 1.0) if opens else Stage(currents(mains, 5.0))
    return course(stage, cleared=opens)


def test_between_riding_through_and_opening_in_time() -> None:
    """At 9.7 A and 9.4 s of copper: within 3 s by 4 times the rating, which 2.24 A are and 2.5 A are not."""
    choice = choices(shorted(9.7))["mains"]
    assert choice.fitted == 2.0
    assert choice.values == SURE
    # 3.9 times: on the line 3.3 s, as a step 10 s.
    assert choice.on_line == (1.0, 1.12, 1.25, 1.4, 1.6, 1.8, 2.0, 2.24, 2.5, 2.8, 3.15)
    assert choice.duty == ("shorted rectifier: ht",)
    assert choice.beyond == ()
    assert choice.why == ""


def test_a_fault_that_no_value_opens_in_is_named_and_left_out() -> None:
    heaters = Stage(currents(1.6, 0.1, heaters=90.0))
    both = choices(shorted(9.7), course(heaters, kind="shorted heaters", at="heaters", cleared=False))
    choice = both["mains"]
    assert choice.beyond == ("shorted heaters: heaters",)
    assert choice.values == SURE


def test_none_and_why() -> None:
    choice = choices(shorted(3.9, opens=False))["mains"]
    assert choice.values == ()
    assert choice.why == (
        "the smallest that rides through switch-on is 1 A; "
        "sure to open in time: none for shorted rectifier: ht"
    )
    beyond = choices(shorted(1.9, opens=False))["mains"]
    assert beyond.why == (
        "the smallest that rides through switch-on is 1 A, which is too large for shorted rectifier: ht"
    )


def test_a_fuse_that_clears_nothing_has_no_duty() -> None:
    fuses = {"mains": "T2AL250V", "centre tap ht": "T500mAL250V"}
    first = Stage(currents(9.7, 5.0, 3.0), CENTRE_TAP, 3.0, 1.0)
    second = Stage(currents(11.0, 6.0, 0.0), MAINS, 2.0, 0.5)
    found = choices(course(first, second), fuses=fuses)
    assert found["centre tap ht"].why == "it clears no fault by itself"
    assert found["mains"].duty == ("shorted rectifier: ht",)


def test_shorts_that_were_not_run_are_said_to_be_left_out() -> None:
    assert choices(shorted(9.7), course())["mains"].why == "shorts behind a rectifier valve are not in this"


def test_a_fault_of_a_winding_that_is_not_rated_is_left_out_and_said() -> None:
    heaters = Stage(currents(1.6, 0.1, heaters=9.0))
    shorted_heaters = course(heaters, kind="shorted heaters", at="heaters", cleared=False)
    both = choices(shorted(9.7), shorted_heaters, windings={"heaters": {"current": None}})
    assert both["mains"].duty == ("shorted rectifier: ht",)
    assert both["mains"].values == SURE
    assert both["mains"].why == (
        "shorted heaters: heaters not in this: what a winding that is not rated stands is not known"
    )


def test_without_runs_or_gates_there_is_nothing() -> None:
    assert choices() == {}
    assert choices(shorted(9.7), fuses={"mains": "FF2AL250V"}) == {}


def test_values_between_the_preferred_ones_are_told_apart_and_marked() -> None:
    choice = choices(shorted(9.7))["mains"]
    assert choice.intermediate == (1.12, 1.4, 1.8, 2.24, 2.8)
    assert choice.markings[:2] == (
        "T1AL250V (brown, black, red, blue)",
        "T1.12AL250V (brown, brown, red, blue)",
    )


def test_fuses_of_the_other_standard_have_ratings_of_their_own() -> None:
    made = choices(shorted(9.7), fuses={"mains": {"rating": "UL slow 2 A 250 V", "melting_i2t": "30 A^2 s"}})
    choice = made["mains"]
    assert choice.intermediate == ()
    assert not {3.15, 6.3} & set(choice.on_line)
