import math

import pytest

from psucheck.supply.fill_limiter import ROOM_KELVIN, fill_limiter
from psucheck.supply.filled import FilledLimiter
from psucheck.supply.model import Limiter
from tests.supply.sketch import filled, notes


def _resistance(limiter: FilledLimiter, kelvin: float) -> float:
    return limiter.cold * math.exp(limiter.beta * (1 / kelvin - 1 / ROOM_KELVIN))


def test_a_limiter_written_out_comes_to_its_hot_resistance_at_its_current() -> None:
    limiter = fill_limiter("x", Limiter(cold=10.0, hot=0.4, current=2.0), [])
    # Bisection for the temperature at which it loses what it takes up.
    low, high = ROOM_KELVIN, 600.0
    for _ in range(100):
        middle = (low + high) / 2
        gained = 2.0**2 * _resistance(limiter, middle)
        low, high = (middle, high) if gained > limiter.dissipation * (middle - ROOM_KELVIN) else (low, middle)
    assert _resistance(limiter, low) == pytest.approx(0.4, rel=1e-6)
    assert _resistance(limiter, ROOM_KELVIN) == pytest.approx(10.0)
    assert limiter.capacity > 0


def test_what_is_not_given_of_a_limiter_is_noted() -> None:
    supply = filled(limiters='[limiters]\nmains = { cold = "10 ohm", hot = "0.5 ohm", current = "2 A" }')
    assert {key for key in notes(supply) if key.startswith("limiters.")} == {
        "limiters.mains.beta", "limiters.mains.time_constant"
    }  # fmt: skip
