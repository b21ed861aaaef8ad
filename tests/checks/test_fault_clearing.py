from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest

from psucheck.checks import fault_clearing as rule
from psucheck.checks.case import Case
from psucheck.checks.cautions import cautions
from psucheck.checks.copper import copper_of
from psucheck.checks.fault_table import fault_lines
from psucheck.checks.finding import Finding
from psucheck.checks.limits import default_limits
from psucheck.checks.red_plate import red_plates
from psucheck.figures.faults import FaultCourse, FaultCurrents, RedPlate, Stage
from tests.checks import cases
from tests.checks.fault_courses import CENTRE_TAP, FUSES, MAINS, course, currents

ARM = "shorted rectifier: ht"


def case(*courses: FaultCourse, **description: Any) -> Case:
    made = cases.case(**{"fuses": FUSES, **description})
    return Case(made.supply, made.figures, made.assumptions, courses)


def judged(*courses: FaultCourse, **description: Any) -> Finding:
    (finding,) = rule.judge(case(*courses, **description), default_limits())
    return finding


def arm(seconds: float, on_line: float, ht: float = 5.0) -> FaultCourse:
    return course(Stage(currents(9.7, ht, 3.0), MAINS, seconds, on_line))


def test_passing_example() -> None:
    """5 A where 350 mA are rated is 42.9 A/mm^2: 200 degC in (226/42.9)^2 x 0.3392 = 9.4 s."""
    finding = judged(arm(5.0, 1.0))
    assert finding.verdict == "ok"
    assert finding.limit == pytest.approx((226 / (3 * 5.0 / 0.35)) ** 2 * math.log(434.5 / 309.5))
    assert finding.figure == 5.0
    spent = 5.0 / 9.431
    degrees = 309.5 * math.exp(spent * math.log(434.5 / 309.5)) - 234.5
    assert f"is at {degrees:.0f} degC by then" in finding.why
    assert finding.guessed


def test_failing_example() -> None:
    fuses = {"mains": "T6.3AH250V", "centre tap ht": None}
    finding = judged(course(Stage(currents(9.7, 5.0)), cleared=False), fuses=fuses)
    assert finding.verdict == "over"
    assert "No fuse need open (mains carries 9.7 A)" in finding.why
    assert finding.change is not None


@pytest.mark.parametrize(("seconds", "on_line", "verdict"), [
    (9.0, 9.0, "ok"),
    (12.0, 9.0, "marginal"),
    (12.0, 12.0, "marginal"),
    (15.0, 15.0, "over"),
])  # fmt: skip
def test_step_line_and_the_guess_of_the_copper(seconds: float, on_line: float, verdict: str) -> None:
    """Between 9.4 and 13.6 s only a winding that was made for 2.5 A/mm^2 survives."""
    assert judged(arm(seconds, on_line)).verdict == verdict


def test_a_fault_of_less_common_parts_is_marginal_at_most() -> None:
    stage = Stage(currents(3.0, 0.1, 0.1, heaters=90.0))
    finding = judged(course(stage, kind="shorted heaters", at="heaters", cleared=False))
    assert finding.verdict == "marginal"
    assert "The heaters winding carries 90 A" in finding.why


def test_what_goes_on_mildly_behind_an_opened_fuse_is_marginal() -> None:
    """One half goes on feeding the amplifier, a little over its rating: copper would take half an hour."""
    first = Stage(currents(9.7, 5.0, 3.0), CENTRE_TAP, 3.0, 1.0)
    finding = judged(course(first, Stage(currents(0.9, 0.4, 0.0)), cleared=False))
    assert finding.verdict == "marginal"
    assert "The ht winding carries 400 mA" in finding.why


def test_two_fuses_add_up_their_heat() -> None:
    first = Stage(currents(9.7, 5.0, 3.0), CENTRE_TAP, 3.0, 1.0)
    second = Stage(currents(11.0, 6.0, 0.0), MAINS, 2.0, 0.5)
    finding = judged(course(first, second))
    spent = 3.0 / 9.431 + 2.0 / (9.431 * (5 / 6) ** 2)
    assert finding.figure == 5.0
    assert finding.limit == pytest.approx(5.0 / spent, rel=1e-3)
    assert finding.why.startswith(
        "Centre tap ht (T 500 mA) opens within 3 s at 3 A; then mains (T 2 A) opens"
    )


def without_mains_fuse(made: FaultCurrents) -> FaultCurrents:
    return replace(made, fuses={lead: amps for lead, amps in made.fuses.items() if lead != MAINS})


def test_no_fuse_fitted_for_that_fault() -> None:
    first = Stage(without_mains_fuse(currents(9.7, 5.0, 3.0)), CENTRE_TAP, 3.0, 1.0)
    made = course(first, Stage(without_mains_fuse(currents(11.0, 6.0, 0.0))), cleared=False)
    fuses = {"mains": None, "centre tap ht": "T500mAL250V"}
    finding = judged(replace(made, idle=without_mains_fuse(made.idle)), fuses=fuses)
    assert finding.verdict == "marginal"
    assert finding.why.endswith("No fuse is fitted for that fault.")


def test_the_worst_mains_is_told() -> None:
    low, high = arm(9.0, 9.0, 4.5), arm(9.0, 9.0, 5.2)
    finding = judged(low, high)
    assert finding.limit == pytest.approx(9.431 * (5 / 5.2) ** 2, rel=1e-3)


def test_without_a_rated_current_it_is_not_checked() -> None:
    windings = {"ht": {"current": None}}
    finding = judged(arm(5.0, 1.0), windings=windings)
    assert finding.verdict == "not checked"
    assert finding.measure == "the current on its label, or the transformer's VA or weight"


UNRATED = {"ht": {"current": None}}


@pytest.mark.parametrize("ht", [0.13, 0.16, 5.0])
def test_a_winding_that_carries_more_and_is_not_rated_is_not_checked(ht: float) -> None:
    """0.11 A at idle: whether 0.16 A is too much nobody knows, though it is under half as much again."""
    stage = Stage(currents(0.8, ht, 0.2), CENTRE_TAP, 3.0, 1.0)
    finding = judged(course(stage), windings=UNRATED, transformer={"power": "200 VA"})
    assert finding.verdict == "not checked"
    assert "The rated current of ht is not given" in finding.why
    assert finding.measure == "the current on its label, or the transformer's VA or weight"


def test_what_the_other_windings_leave_it_is_no_overload() -> None:
    stage = Stage(currents(0.8, 0.11, 0.2, heaters=4.2), CENTRE_TAP, 3.0, 1.0)
    finding = judged(course(stage), windings={"heaters": {"current": None}}, transformer={"power": "200 VA"})
    assert finding.verdict == "ok"


def test_a_primary_that_is_not_rated_counts() -> None:
    """300 mA through a primary of which nothing is known: no label, and no winding that is rated."""
    bare = {name: {"current": None} for name in ("ht", "heaters", "rectifier heater")}
    finding = judged(course(Stage(currents(0.8, 0.11)), cleared=False), windings=bare)
    assert finding.verdict == "not checked"
    assert "The rated current of primary is not given" in finding.why


@pytest.mark.parametrize(("mains", "verdict"), [(0.7, "ok"), (3.0, "ok"), (30.0, "not checked")])
def test_the_windings_that_are_rated_tell_the_least_of_the_primary(mains: float, verdict: str) -> None:
    """640/sqrt 2 V x 350 mA and 5.2 V x 2 A are 169 VA: 0.73 A at the least, whatever the heaters add."""
    made = course(Stage(currents(mains, 0.4, 0.3), MAINS, 5.0, 1.0))
    assert judged(made, windings={"heaters": {"current": None}}).verdict == verdict


def test_what_is_surely_over_is_told_before_what_is_not_known() -> None:
    fuses = {"mains": "T6.3AH250V", "centre tap ht": None}
    finding = judged(
        course(Stage(currents(9.7, 5.0, heaters=9.0)), cleared=False),
        fuses=fuses,
        windings={"heaters": {"current": None}},
    )
    assert finding.verdict == "over"


def test_no_winding_overloaded() -> None:
    plate = RedPlate("output", "EL34", 2, 0.05, 300.0, 15.0)
    stage = Stage(currents(0.8, 0.2, 0.3, plate=plate))
    finding = judged(course(stage, kind="lost bias", at="output"))
    assert finding.verdict == "ok"
    assert not finding.guessed


def test_what_no_standard_says_is_not_checked() -> None:
    fuses = {"mains": "UL slow 2 A 250 V", "centre tap ht": None}
    stage = Stage(currents(9.7, 5.0), MAINS, 120.0, 120.0)
    finding = judged(course(stage), fuses=fuses)
    assert finding.verdict == "not checked"
    assert finding.measure is not None
    assert "melting I2t" in finding.measure


def test_a_short_behind_a_rectifier_valve_is_not_checked_once() -> None:
    finding = judged(course(), course(kind="shorted reservoir", at="reservoir"))
    assert finding.verdict == "not checked"
    assert "shorted rectifier: ht; shorted reservoir: reservoir" in finding.why


def test_a_supply_that_describes_no_fuse() -> None:
    finding = judged(fuses={"mains": None, "centre tap ht": None})
    assert finding.verdict == "not checked"
    assert finding.subject == "every fault"


def test_where_faults_were_not_run_nothing_is_said() -> None:
    assert list(rule.judge(cases.case(), default_limits())) == []


def plates(watts: float, opens: bool) -> FaultCourse:
    plate = RedPlate("output", "EL34", 1, 0.33, 345.0, watts)
    made = currents(1.0, 0.5, 0.7, plate=plate)
    stage = Stage(made, CENTRE_TAP, 120.0, 100.0) if opens else Stage(made)
    return course(stage, kind="lost bias of one valve", at="output", cleared=opens)


def test_a_red_plate_is_said_in_place_of_a_finding() -> None:
    made = case(plates(114.0, opens=False))
    assert list(rule.judge(made, default_limits())) == []
    (said,) = red_plates(made)
    assert said == (
        "If one EL34 loses its bias, it passes 330 mA and burns 114 W (rated 25 W) until switched off: "
        "a red plate that no fuse need open for."
    )
    assert said in cautions(made, default_limits())


def test_a_red_plate_of_a_supply_that_describes_no_fuse() -> None:
    made = plates(114.0, opens=False)
    bare = replace(made, stages=(Stage(replace(made.stages[0].currents, fuses={}, fuse_peaks={})),))
    (said,) = red_plates(case(bare, fuses={"mains": None, "centre tap ht": None}))
    assert said.endswith("until switched off: a red plate and no fuse described.")


@pytest.mark.parametrize(("watts", "opens"), [(20.0, False), (114.0, True)])
def test_a_plate_within_its_rating_or_a_fuse_that_opens_says_nothing(watts: float, opens: bool) -> None:
    assert red_plates(case(plates(watts, opens))) == []


def test_ratings_of_the_copper() -> None:
    copper = copper_of(cases.supply(), default_limits())
    assert copper.rated["ht"] == 0.35
    # 640/sqrt 2 V x 350 mA, 6.6 V x 5 A and 5.2 V x 2 A on a primary of 230 V.
    assert copper.rated["primary"] == pytest.approx((640 / math.sqrt(2) * 0.35 + 33.0 + 10.4) / 230)
    assert copper.seconds("ht", 0.35) == pytest.approx(1925, rel=0.01)
    assert copper.celsius(0.0) == pytest.approx(75.0)
    assert copper.celsius(1.0) == pytest.approx(200.0)
    given = copper_of(cases.supply(transformer={"power": "150 VA"}), default_limits())
    assert given.rated["primary"] == pytest.approx(150 / 230)
    direct = copper_of(cases.supply(windings={"ht": {"current_is": "DC"}}), default_limits())
    # The guide's ratio for a centre-tapped winding with capacitor input is one.
    assert direct.rated["ht"] == pytest.approx(0.35)


def test_the_table_tells_the_worst_winding_and_its_temperature() -> None:
    (line,) = fault_lines(case(arm(5.0, 1.0)), default_limits())
    assert (line.winding, line.amps, line.seconds) == ("ht", 5.0, 5.0)
    assert line.copper_seconds == pytest.approx(9.43, rel=1e-3)
    assert line.celsius is not None
    assert 75.0 < line.celsius < 200.0
    (burnt,) = fault_lines(case(arm(15.0, 15.0)), default_limits())
    assert burnt.celsius is None
    (lasting,) = fault_lines(case(course(Stage(currents(9.7, 5.0, 3.0)), cleared=False)), default_limits())
    assert lasting.seconds is None
    assert lasting.course.subject == ARM
