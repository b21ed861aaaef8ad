"""Several values written as one."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from psucheck import quantity
from psucheck.parts.series import SERIES
from psucheck.supply.ranges import BadRange, values_of


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("47 uF 450 V", ("47 uF 450 V",)),
        ("10k..22k E12", ("10 kohm", "12 kohm", "15 kohm", "18 kohm", "22 kohm")),
        ("10k..15k E12 1 W", ("10 kohm 1 W", "12 kohm 1 W", "15 kohm 1 W")),
        ("22 uF..47 uF E6 500 V", ("22 uF 500 V", "33 uF 500 V", "47 uF 500 V")),
        ("22..47 uF E6 500 V", ("22 uF 500 V", "33 uF 500 V", "47 uF 500 V")),
        (
            "2 x 100 uF..150 uF E6 350 V in series",
            ("2 x 100 uF 350 V in series", "2 x 150 uF 350 V in series"),
        ),
        ("4k7..6k8 e12", ("4.7 kohm", "5.6 kohm", "6.8 kohm")),
        ("10k; 15k ;22k 1 W", ("10k", "15k", "22k 1 W")),
        ("-37 V; -40 V", ("-37 V", "-40 V")),
        ("100..120 V E24", ("100 V", "110 V", "120 V")),
    ],
)
def test_what_a_text_stands_for(text: str, values: tuple[str, ...]) -> None:
    assert values_of(text) == values


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("10k..47k", "of which series"),
        ("10k..47k E13", "there is no series E13"),
        ("47k..10k E12", "the range is empty, since 47k is above 10k"),
        ("11k..11.5k E12", "the range is empty: E12 has no value in it"),
        ("10k..47 uF E12", "not two quantities of one kind"),
        ("0..10k E12", "above zero"),
        ("10k..22k..47k E12", "a range is one of preferred values"),
        ("small..large E12", "a range is one of preferred values"),
        ("10k;;15k", "nothing stands before or behind a semicolon"),
    ],
)
def test_what_stands_for_nothing(text: str, said: str) -> None:
    with pytest.raises(BadRange, match=said):
        values_of(text)


@given(
    st.floats(1.0, 1e6),
    st.floats(1.0, 1e6),
    st.sampled_from(SERIES),
)
def test_every_value_of_a_range_lies_in_it(one: float, other: float, numbers: int) -> None:
    low, high = sorted((float(f"{one:.3g}"), float(f"{other:.3g}")))
    text = f"{low:.10g} ohm..{high:.10g} ohm E{numbers}"
    try:
        values = values_of(text)
    except BadRange as error:
        assert "empty" in str(error)  # noqa: PT017 - narrow ranges may hold none
        return
    assert all(low * 0.999 <= quantity.read(value, "ohm") <= high * 1.001 for value in values)
