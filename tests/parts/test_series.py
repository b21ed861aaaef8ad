"""Series of preferred numbers: the finer hold the coarser, and follow their rule."""

from __future__ import annotations

import pytest

from psucheck.parts.series import SERIES, between, mantissas


@pytest.mark.parametrize("numbers", SERIES)
def test_each_has_its_numbers_rising_within_a_decade(numbers: int) -> None:
    held = mantissas(numbers)
    assert len(held) == len(set(held)) == numbers
    assert list(held) == sorted(held)
    assert held[0] == 1.0
    assert held[-1] < 10.0


def test_the_finer_of_a_family_hold_the_coarser() -> None:
    assert set(mantissas(3)) < set(mantissas(6)) < set(mantissas(12)) < set(mantissas(24))
    assert set(mantissas(48)) < set(mantissas(96)) < set(mantissas(192))


def test_e12() -> None:
    assert mantissas(12) == (1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2)


def test_the_number_of_e192_that_is_no_rounding() -> None:
    assert 9.2 in mantissas(192)
    assert 9.19 not in mantissas(192)


def test_both_ends_belong_to_a_range() -> None:
    assert between(10e3, 47e3, 12) == (10e3, 12e3, 15e3, 18e3, 22e3, 27e3, 33e3, 39e3, 47e3)
    assert between(22e-6, 100e-6, 6) == (22e-6, 33e-6, 47e-6, 68e-6, 100e-6)


def test_a_range_without_a_value() -> None:
    assert between(11e3, 11.5e3, 12) == ()
    assert between(47e3, 10e3, 12) == ()


def test_what_is_no_series_or_no_range() -> None:
    with pytest.raises(ValueError, match="E13"):
        between(1.0, 2.0, 13)
    with pytest.raises(ValueError, match="above zero"):
        between(0.0, 2.0, 12)
