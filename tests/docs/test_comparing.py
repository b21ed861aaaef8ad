from __future__ import annotations

import pytest

from docs.comparing import alike


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("reservoir 441 V", "reservoir 440 V"),
        ("9.99 V  high", "10.0 V high"),
        ("-----\n440 V", "------\n441 V"),
        ("ic=373.5936182087963", "ic=373.5936181"),
        ("4.04797e-07 V", "1.2e-07 V"),
        ("(37 % inside);", "(38 % inside);"),
    ],
)
def test_figures_may_differ_in_their_last_digit(one: str, other: str) -> None:
    assert alike(one, other) is None


@pytest.mark.parametrize(
    ("one", "other", "said"),
    [
        ("reservoir 441 V over", "reservoir 441 V ok", "stands 'over', not 'ok'"),
        ("reservoir 441 V", "reservoir 430 V", "stands '441', not '430'"),
        ("0.39 A", "0.35 A", "stands '0.39', not '0.35'"),
        ("2 x EL34", "2 x EL35", "stands 'EL34', not 'EL35'"),
        ("-33 V", "33 V", "stands '-33', not '33'"),
        ("a line", "a line more", "missing at the end: 'more'"),
        ("a line more", "a line", "too much at the end: 'more'"),
        ("two lines", "two\nlines", "on 0 lines, not 1"),
    ],
)
def test_words_signs_and_figures_may_not(one: str, other: str, said: str) -> None:
    assert said in str(alike(one, other))
