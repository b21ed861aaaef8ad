from __future__ import annotations

import pytest

from psucheck.bench.meter import USUAL, error, meter_of, resolution
from psucheck.quantity import QuantityError
from psucheck.supply import notation
from psucheck.supply.model import Meter
from tests.bench.benches import HUNDRED_WATTS
from tests.conditions.supplies import SUPPLIES
from tests.engine_runs import described


@pytest.mark.parametrize(
    ("value", "count"),
    [(0.69, 1e-3), (1.999, 1e-3), (2.1, 1e-2), (41.2, 0.1), (199.9, 0.1), (423.0, 1.0), (-41.2, 0.1)],
)
def test_three_and_a_half_digits(value: float, count: float) -> None:
    assert resolution(USUAL, value) == pytest.approx(count)


def test_per_cent_of_the_reading_and_counts() -> None:
    # 1 % of 41.2 V and three counts of 0.1 V.
    assert error(USUAL, 41.2) == pytest.approx(0.412 + 0.3)
    assert error(Meter(share=0.005, counts=2, display=6000), 41.2) == pytest.approx(0.206 + 0.02)
    assert error(USUAL, -41.2) == error(USUAL, 41.2)


def test_nothing_is_read_to_some_counts_too() -> None:
    assert 0 < error(USUAL, 0.0) < 0.01


@pytest.mark.parametrize(
    ("text", "table"),
    [
        ("1 % + 3", {"share": 0.01, "counts": 3}),
        ("0.5%+2", {"share": 0.005, "counts": 2}),
        ("0.8 % + 5 digits of 6000", {"share": 0.008, "counts": 5, "display": 6000}),
    ],
)
def test_its_short_form(text: str, table: dict[str, float]) -> None:
    assert notation.meter(text) == table


@pytest.mark.parametrize(
    "text", ["1 %", "3", "1 % + x", "1 % + 3 of", "1 % + 3 V", "", "1 V + 3", "1 % + 3.5"]
)
def test_what_is_no_accuracy_is_refused(text: str) -> None:
    with pytest.raises(QuantityError):
        notation.meter(text)


def test_the_description_names_it_once() -> None:
    assert meter_of(described(HUNDRED_WATTS).supply) == Meter(share=0.005, counts=2)
    assert meter_of(described(SUPPLIES["bridge"]).supply) == USUAL
