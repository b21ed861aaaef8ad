from __future__ import annotations

import math

import pytest

from psucheck.checks.fuse_opening import opening
from psucheck.supply.model import Fuse
from tests.checks import cases


def fuse(marking: object) -> Fuse:
    return cases.supply(fuses={"mains": marking}).fuses["mains"]


@pytest.mark.parametrize(
    ("multiple", "step"),
    [(2.1, 120.0), (2.5, 120.0), (2.75, 10.0), (3.9, 10.0), (4.0, 3.0), (9.9, 3.0), (10.0, 0.3), (40.0, 0.3)],
)
def test_a_step_holds_for_all_that_is_more(multiple: float, step: float) -> None:
    """IEC 60127-2 sheet 3: 2.1 times within 2 min, 2.75 within 10 s, 4 within 3 s, 10 within 300 ms."""
    found = opening(fuse("T2AL250V"), 2.0 * multiple)
    assert found is not None
    assert found.step == step
    assert found.line is not None
    assert found.line <= step


@pytest.mark.parametrize("multiple", [0.5, 1.5, 2.09])
def test_below_its_first_time_a_fuse_need_not_open(multiple: float) -> None:
    found = opening(fuse("T2AL250V"), 2.0 * multiple)
    assert found is not None
    assert found.step is None
    assert found.line is None
    assert found.stated


def test_the_line_is_straight_on_logarithmic_scales() -> None:
    found = opening(fuse("T1AL250V"), math.sqrt(4.0 * 10.0))
    assert found is not None
    assert found.line == pytest.approx(math.sqrt(3.0 * 0.3))


def test_a_marking_without_its_breaking_capacity_may_be_the_slower_kind() -> None:
    """Sheet 3 opens within 3 s at 4 times, sheet 5 within 5 s; at 2.1 times 2 min against 30."""
    found = opening(fuse("T2A250V"), 8.0)
    assert found is not None
    assert found.step == 5.0


def test_a_kind_without_a_gate() -> None:
    assert opening(fuse("FF2AL250V"), 20.0) is None


def test_a_gate_that_ends_at_an_overload_says_nothing_of_a_short() -> None:
    """UL 248-14 ends at twice the rating; a known melting I2t says what happens beyond it."""
    bare = opening(fuse("UL slow 2 A 250 V"), 12.0)
    assert bare is not None
    assert bare.step == 120.0
    assert not bare.stated
    near = opening(fuse("UL slow 2 A 250 V"), 5.0)
    assert near is not None
    assert near.stated
    known = opening(fuse({"rating": "UL slow 2 A 250 V", "melting_i2t": "10 A^2 s"}), 20.0)
    assert known is not None
    assert known.step == 120.0
    assert known.line == pytest.approx(10.0 / 20.0**2)
