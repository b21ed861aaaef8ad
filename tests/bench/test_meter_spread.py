from __future__ import annotations

import pytest

from psucheck.bench.meter_spread import Meter


@pytest.mark.parametrize(
    ("volts", "bound"), [(150.0, 1.5 + 0.3), (250.0, 2.5 + 3.0), (1.0, 0.01 + 0.003), (2.0, 0.02 + 0.003)]
)
def test_a_share_of_the_reading_and_digits_of_its_range(volts: float, bound: float) -> None:
    assert float(Meter(0.01, 3).bound(volts)) == pytest.approx(bound)


def test_its_sign_does_not_matter_and_its_spread_is_that_of_an_even_error() -> None:
    meter = Meter()
    assert float(meter.bound(-37.0)) == float(meter.bound(37.0))
    assert float(meter.spread(37.0)) == pytest.approx(float(meter.bound(37.0)) / 3**0.5)
