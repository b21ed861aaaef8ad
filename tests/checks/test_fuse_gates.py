from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from psucheck.checks.fuse_gates import gates, hold
from psucheck.supply.model import Fuse, Supply
from tests.checks import cases


def fuse(marking: str) -> Fuse:
    described: Supply = cases.supply(fuses={"mains": marking})
    return described.fuses["mains"]


def test_a_marking_leads_to_its_sheet() -> None:
    (gate,) = gates(fuse("T2AL250V"))
    assert gate.rated_current == 2.0
    assert "sheet 3" in gate.source


def test_a_marking_without_its_breaking_capacity_may_be_either_sheet() -> None:
    assert len(gates(fuse("T2A250V"))) == 2


@pytest.mark.parametrize("marking", ["FF1AL250V", "TT1AL250V", "M1AL250V"])
def test_no_gate_is_held_for_other_speeds(marking: str) -> None:
    assert gates(fuse(marking)) == ()


@pytest.mark.parametrize(
    ("seconds", "step"),
    [
        (0.02, 20.0),  # 10 In hold 20 ms
        (0.021, 8.0),
        (0.15, 8.0),  # 4 In hold 150 ms
        (0.3, 5.5),  # 2.75 In hold 600 ms
        (0.7, 3.0),  # 1.5 In hold an hour
        (60.0, 3.0),
    ],
)
def test_the_steps_of_sheet_3(seconds: float, step: float) -> None:
    (gate,) = gates(fuse("T2AL250V"))
    assert hold(gate, seconds).step == pytest.approx(step)


def test_the_line_meets_the_points_and_lies_above_the_steps_between() -> None:
    (gate,) = gates(fuse("T2AL250V"))
    assert hold(gate, 0.15).line == pytest.approx(8.0)
    assert hold(gate, 0.6).line == pytest.approx(5.5)
    # Straight on logarithmic scales: half way between 0.15 s and 0.6 s is 0.3 s.
    assert hold(gate, 0.3).line == pytest.approx((8.0 * 5.5) ** 0.5)


def test_below_the_last_point_its_i2t_holds_and_half_of_it_for_short_spikes() -> None:
    """2.0 In^2 A^2s for T,L: 8 A^2s at 2 A."""
    (gate,) = gates(fuse("T2AL250V"))
    assert hold(gate, 0.012).line ** 2 * 0.012 == pytest.approx(8.0)
    assert hold(gate, 0.002).line ** 2 * 0.002 == pytest.approx(4.0)


def test_a_ul_gate_says_nothing_of_pulses() -> None:
    (gate,) = gates(fuse("UL slow 2 A 250 V"))
    assert not hold(gate, 0.1).stated
    assert hold(gate, 5.0).stated
    assert hold(gate, 5.0).step == pytest.approx(4.0)


@given(st.floats(1e-3, 60.0), st.floats(1e-3, 60.0))
def test_a_longer_time_never_allows_more(one: float, other: float) -> None:
    for gate in gates(fuse("T500mAH250V")) + gates(fuse("F1AL250V")):
        short, long = hold(gate, min(one, other)), hold(gate, max(one, other))
        assert long.line <= short.line * (1 + 1e-12) or min(one, other) < 0.5 * _last(gate.points) <= max(
            one, other
        )
        assert short.step <= short.line * (1 + 1e-12)


def _last(points: object) -> float:
    assert isinstance(points, tuple)
    return float(next(point.shortest for point in reversed(points) if point.shortest is not None))
