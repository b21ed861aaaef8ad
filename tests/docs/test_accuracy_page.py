"""docs/accuracy.md and what records its rows."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest

from docs.accuracy_page import identities, identity, page
from tests.accuracy import PROPERTY, Accuracy, Row, agrees

PAGE = (Path(__file__).parents[2] / "docs" / "accuracy.md").read_text("utf-8")


def _row(**values: Any) -> Row:
    usual: dict[str, Any] = {
        "source": "a book", "case": "case 2", "quantity": "DC", "published": 100.0, "computed": 100.1,
        "unit": "V", "tolerance": "dc", "known": "read", "note": "", "differs": None, "group": "",
        "test": "tests/published/test_textbooks.py",
    }  # fmt: skip
    return Row(**{**usual, **values})


def _lines(*rows: Row) -> list[str]:
    return [line for line in page([asdict(row) for row in rows]).splitlines() if line.startswith("| a book")]


def _item(tmp_path: Path) -> pytest.Item:
    item = SimpleNamespace(
        path=tmp_path / "test_x.py", config=SimpleNamespace(rootpath=tmp_path), user_properties=[]
    )
    return cast(pytest.Item, item)


def test_a_row() -> None:
    row = "| a book | case 2 | DC | 100 V | 100.1 V | +0.1 % | dc: 0.3 % | read |  |"
    assert _lines(_row()) == [row]


def test_rows_stand_in_the_order_of_their_numbers() -> None:
    lines = _lines(_row(case="case 10"), _row(case="case 2"), _row(case="case 2", quantity="AC"))
    assert [line.split(" | ")[1:3] for line in lines] == [
        ["case 2", "AC"], ["case 2", "DC"], ["case 10", "DC"],
    ]  # fmt: skip


def test_a_group_shows_its_worst_and_its_median() -> None:
    rows = [_row(case=f"case {n}", computed=100.0 + n / 10, group="all") for n in (1, 2, 0)]
    row = "| a book | all (3 cases) | DC | 100 V | 100.2 V | +0.2 %; median 0.1 % | dc: 0.3 % | read |"
    assert _lines(*rows) == [f"{row} worst: case 2 |"]


def test_ranges_and_open_rows() -> None:
    inside = _row(case="inside", published=(90.0, 110.0), tolerance=None)
    below = _row(case="below", published=(None, 99.0), tolerance="bench-fact")
    differs = _row(case="open", published=80.0, tolerance=None, differs=(0.2, 0.3), note="why?")
    assert [line.split(" | ")[1:7] for line in _lines(inside, below, differs)] == [
        ["below", "DC", "at most 99 V", "100.1 V", "+1.1 %", "bench-fact: 3 %"],
        ["inside", "DC", "90 to 110 V", "100.1 V", "inside", "the range"],
        ["open", "DC", "80 V", "100.1 V", "+25.1 %", "**open**: +20 to +30 %"],
    ]


def test_two_rows_of_one_name_are_an_error() -> None:
    with pytest.raises(ValueError, match="two rows are called"):
        page([asdict(_row()), asdict(_row(computed=99.9))])


def test_the_page_names_its_rows() -> None:
    rows = [_row(), _row(case="|x|"), _row(case="c", group="all"), _row(case="open", differs=(0.1, 0.2))]
    held = [asdict(row) for row in rows]
    assert identities(page(held)) == {identity(row) for row in held}


def test_the_committed_page_has_what_was_asked_of_it() -> None:
    assert len(identities(PAGE)) >= 40
    assert sum("**open**" in name for name in identities(PAGE)) >= 10


@pytest.mark.parametrize(
    ("row", "agreed"),
    [
        (_row(), True),
        (_row(computed=101.0), False),
        (_row(published=(101.0, None), tolerance=None), False),
        (_row(published=(101.0, None), tolerance="bench-fact"), True),
        (_row(published=(None, 100.0), tolerance="dc"), True),
        (_row(published=(None, 90.0), tolerance="dc"), False),
    ],
)
def test_agreeing(row: Row, agreed: bool) -> None:
    assert agrees(row) == agreed


def test_a_row_is_recorded_even_when_it_fails(tmp_path: Path) -> None:
    item = _item(tmp_path)
    with pytest.raises(AssertionError, match="case: DC 90 V, not 100"):
        Accuracy(item, None)("a book", "case", "DC", 100.0, 90.0, "V", "dc", "read")
    assert [name for name, _ in item.user_properties] == [PROPERTY]


@pytest.mark.parametrize(
    ("computed", "note", "said"),
    [
        (90.0, "", "a discrepancy needs its reason or its question"),
        (100.0, "why?", "deviates by"),
        (70.0, "why?", "deviates by -30"),
    ],
)
def test_a_discrepancy_must_go_on_disagreeing(tmp_path: Path, computed: float, note: str, said: str) -> None:
    record = Accuracy(_item(tmp_path), None)
    with pytest.raises(AssertionError, match=said):
        record("a book", "case", "DC", 100.0, computed, "V", None, "read", note, differs=(-0.15, -0.05))


def test_the_band_of_a_discrepancy_leaves_agreement_out(tmp_path: Path) -> None:
    record = Accuracy(_item(tmp_path), None)
    with pytest.raises(AssertionError, match="the band holds agreement too"):
        record("a book", "case", "DC", 100.0, 90.0, "V", None, "read", "why?", differs=(-0.15, 0.05))


def test_a_row_that_the_page_lacks_is_an_error(tmp_path: Path) -> None:
    held = page([asdict(_row(case="case"))])
    Accuracy(_item(tmp_path), held)("a book", "case", "DC", 100.0, 100.0, "V", "dc", "read")
    with pytest.raises(AssertionError, match="lacks this row"):
        Accuracy(_item(tmp_path), held)("a book", "case", "AC", 100.0, 100.0, "V", "dc", "read")
