"""Reading tables."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from psucheck.parts.curve import check_points, interpolate, interpolate_log, power_law

XS, YS = (1.0, 2.0, 4.0), (10.0, 20.0, 60.0)


@pytest.mark.parametrize(
    ("x", "value", "outside"),
    [(1.0, 10.0, None), (1.5, 15.0, None), (2.0, 20.0, None), (3.0, 40.0, None), (4.0, 60.0, None),
     (0.5, 10.0, "below"), (5.0, 60.0, "above")],
)  # fmt: skip
def test_straight_lines(x: float, value: float, outside: str | None) -> None:
    reading = interpolate(XS, YS, x)
    assert reading.value == pytest.approx(value)
    assert reading.outside == outside


def test_one_point() -> None:
    assert interpolate((2.0,), (5.0,), 2.0) == (5.0, None)
    assert interpolate((2.0,), (5.0,), 1.0) == (5.0, "below")


def test_logarithmic() -> None:
    assert interpolate_log((100.0, 10000.0), (1.0, 2.0), 1000.0).value == pytest.approx(1.5)


@given(st.floats(0.01, 100.0))
def test_power_law_is_exact_for_a_power_law(x: float) -> None:
    reading = power_law(XS, [3.0 * one**-1.4 for one in XS], x)
    assert reading.value == pytest.approx(3.0 * x**-1.4, rel=1e-9)


def test_power_law_needs_two_points() -> None:
    with pytest.raises(ValueError, match="two points"):
        power_law((1.0,), (1.0,), 1.0)


@pytest.mark.parametrize(
    ("xs", "ys"), [((), ()), ((1.0,), ()), ((2.0, 1.0), (1.0, 1.0)), ((1.0, 1.0), (1.0, 1.0))]
)
def test_unreadable_tables(xs: tuple[float, ...], ys: tuple[float, ...]) -> None:
    with pytest.raises(ValueError, match="table"):
        check_points(xs, ys)
