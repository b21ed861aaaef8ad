"""Preferred values, upwards and downwards from anywhere."""

from __future__ import annotations

from itertools import islice

import pytest
from hypothesis import given
from hypothesis import strategies as st

from psucheck.parts import library
from psucheck.parts.preferred import at_least, at_most, downwards, upwards
from psucheck.parts.series import mantissas

E12 = mantissas(12)
E24 = mantissas(24)


def test_e24_holds_e12() -> None:
    assert set(E12) < set(E24)
    assert len(E12) == 12
    assert len(E24) == 24
    assert list(E24) == sorted(E24)


def test_upwards_and_downwards_from_a_value_begin_with_it() -> None:
    assert list(islice(upwards(E12, 8200.0), 4)) == [8200.0, 10e3, 12e3, 15e3]
    assert list(islice(downwards(E12, 1200.0), 4)) == [1200.0, 1000.0, 820.0, 680.0]
    assert list(islice(upwards(E12, 8300.0), 2)) == [10e3, 12e3]
    assert list(islice(downwards(E12, 9900.0), 2)) == [8200.0, 6800.0]


@given(st.floats(1e-3, 1e7))
def test_the_neighbours_enclose_a_value(value: float) -> None:
    above, below = next(upwards(E24, value)), next(downwards(E24, value))
    assert below <= value * 1.000001
    assert above >= value * 0.999999
    assert above / below < 1.16


@pytest.mark.parametrize("value", [0.0, -1.0, float("nan")])
def test_there_is_none_from_zero_or_below(value: float) -> None:
    with pytest.raises(ValueError, match="above zero"):
        next(upwards(E12, value))


def test_classes_from_a_list() -> None:
    volts = library().preferred.electrolytics.volts.value
    assert at_least(volts, 451.0)[:2] == (500.0, 550.0)
    assert at_most(volts, 451.0)[:2] == (450.0, 400.0)
    assert at_least(volts, 450.0)[0] == 450.0 == at_most(volts, 450.0)[0]
