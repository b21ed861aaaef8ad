from __future__ import annotations

import math

import numpy as np
import pytest

from psucheck.bench.runs import Setting
from psucheck.bench.spread import Spread, deviation
from psucheck.supply.tolerances import Tolerance
from tests.bench.benches import plan

OUT, IDLE = Setting("valves out", 240.0), Setting("idle", 240.0)


def _slope(key: str, setting: Setting, point: str) -> float:
    spread = plan("hundred watts").up.spread
    place = [one.key for one in spread.tolerances].index(key)
    return float(spread.slope(setting, point)[place])


def test_off_load_volts_go_as_the_winding_and_as_nothing_else() -> None:
    assert _slope("windings.ht.volts", OUT, "ht a") == pytest.approx(1.0, abs=5e-3)
    assert _slope("windings.ht.volts", OUT, "reservoir DC") == pytest.approx(1.0, abs=5e-3)
    # Each run is within 1e-4 of the rail, and the slope is taken over a few per cent.
    assert _slope("windings.heaters.volts", OUT, "reservoir DC") == pytest.approx(0.0, abs=5e-3)
    assert _slope("filter.splitter.resistor", OUT, "splitter DC") == pytest.approx(0.0, abs=5e-3)


def test_ripple_goes_as_one_over_the_first_capacitor() -> None:
    assert _slope("filter.reservoir.capacitance", IDLE, "reservoir AC") == pytest.approx(-1.0, abs=0.15)
    assert _slope("filter.reservoir.capacitance", IDLE, "reservoir DC") == pytest.approx(0.0, abs=0.01)


def test_of_one_supply_the_points_move_together() -> None:
    """A winding that is high lifts both its halves: their ratio is known better than either."""
    spread = plan("hundred watts").up.spread
    covariance = spread.covariance([(OUT, "ht a"), (OUT, "ht b"), (IDLE, "ht a"), (OUT, "heaters a")])
    np.testing.assert_allclose(covariance, covariance.T)
    assert np.linalg.eigvalsh(covariance).min() > -1e-12
    assert covariance[0, 1] == pytest.approx(covariance[0, 0], rel=0.05)
    assert covariance[0, 2] > 0.8 * covariance[0, 0]
    assert abs(covariance[0, 3]) < 0.2 * covariance[0, 0]


def _hand(*slopes: float) -> Spread:
    tolerances = (
        Tolerance("a", 0.9, 1.1, "-", "practice"), Tolerance("b", 0.8, 1.5, "-", "practice", "peaked"),
    )  # fmt: skip
    return Spread(tolerances, {OUT: {"x": np.array(slopes)}})


def test_limits_by_hand() -> None:
    low, high = _hand(1.0, 0.0).limits(OUT, "x")
    assert low == pytest.approx(0.9)
    assert high == pytest.approx(1.1)
    low, high = _hand(1.0, -1.0).limits(OUT, "x")
    assert high == pytest.approx(1 + math.hypot(0.1, 1 / 0.8 - 1))
    assert low == pytest.approx(1 - math.hypot(0.1, 1 - 1 / 1.5))


def test_deviation_by_hand() -> None:
    one, other = _hand(1.0, 1.0).tolerances
    assert deviation(one) == pytest.approx(math.log(1.1 / 0.9) / math.sqrt(12))
    assert deviation(other) == pytest.approx(math.log(1.5 / 0.8) / 4)
    assert _hand(1.0, 2.0).deviation(OUT, "x") == pytest.approx(
        math.hypot(deviation(one), 2 * deviation(other))
    )


def test_the_nearest_setting_of_the_same_state_serves() -> None:
    spread = plan("hundred watts").up.spread
    assert spread.nearest(Setting("idle", 200.0)) == IDLE
    assert np.array_equal(spread.slope(Setting("valves out", 24.0), "ht a"), spread.slope(OUT, "ht a"))
    with pytest.raises(KeyError):
        spread.nearest(Setting("sag", 240.0))
