from __future__ import annotations

import pytest

from psucheck.checks.copper import Copper
from psucheck.checks.winding_heat import burning, in_doubt, not_known_to_stand, overloaded
from psucheck.figures.faults import Stage
from tests.checks.fault_courses import MAINS, course, currents

IDLE = currents(0.55, 0.11)


def copper(rated: dict[str, float], at_least: dict[str, float] | None = None) -> Copper:
    return Copper(rated, at_least or {}, density=3.0, constant=226.0, zero=234.5, start=75.0, end=200.0)


@pytest.mark.parametrize(("ht", "found"), [(0.34, []), (0.36, ["ht"])])
def test_a_rated_winding_is_overloaded_above_its_rating(ht: float, found: list[str]) -> None:
    assert overloaded(copper({"ht": 0.35}), currents(0.55, ht), IDLE) == found


def test_what_it_carries_at_idle_is_no_overload_of_a_fault() -> None:
    assert overloaded(copper({"ht": 0.1}), currents(0.55, 0.112), IDLE) == []


@pytest.mark.parametrize(("ht", "found"), [(0.12, []), (0.13, ["ht"]), (5.0, ["ht"])])
def test_one_that_is_not_rated_is_in_doubt_as_soon_as_it_carries_more(ht: float, found: list[str]) -> None:
    rated = copper({"heaters": 5.0, "rectifier heater": 2.0, "primary": 2.0})
    assert in_doubt(rated, currents(0.55, ht), IDLE) == found
    assert overloaded(rated, currents(0.55, ht), IDLE) == []


def test_at_its_least_rating_a_winding_may_be_known_to_stand_it() -> None:
    made = course(Stage(currents(9.7, 0.3), MAINS, 1.0, 1.0))
    others = {"ht": 0.35, "heaters": 5.0, "rectifier heater": 2.0}
    # 9.7 A where 0.6 A are rated is 48.5 A/mm^2: 7.4 s; where 0.2 A are, 0.8 s.
    assert not_known_to_stand(copper(others, {"primary": 0.6}), made) == []
    assert not_known_to_stand(copper(others, {"primary": 0.2}), made) == ["primary"]
    assert not_known_to_stand(copper(others), made) == ["primary"]


def test_of_windings_the_one_that_heats_fastest_is_told() -> None:
    made = course(Stage(currents(9.7, 5.0), MAINS, 1.0, 1.0))
    worst = burning(copper({"ht": 0.35, "primary": 2.0}), made)
    assert worst is not None
    assert worst.winding == "ht"
    assert burning(copper({"heaters": 5.0}), made) is None


def test_what_goes_on_behind_an_opened_fuse_is_told_with_its_own_current() -> None:
    made = course(
        Stage(currents(9.7, 2.2), MAINS, 3.0, 1.0),
        Stage(currents(0.6, 0.4), None, None, None),
        cleared=False,
    )
    worst = burning(copper({"ht": 0.35}), made)
    assert worst is not None
    assert (worst.winding, worst.amps, worst.spent) == ("ht", 0.4, None)
    # 0.4 A where 0.35 A are rated is 3.43 A/mm^2: 1474 s.
    assert worst.copper_seconds == pytest.approx(1474.0, rel=0.01)
