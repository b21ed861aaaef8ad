"""The table of tolerances: every entry has its reason, a size, and a test that uses it."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.tolerances import share, table, within

TESTS = Path(__file__).parent


@pytest.mark.parametrize("quantity", table())
def test_entry(quantity: str) -> None:
    entry = table()[quantity]
    assert entry["why"].strip()
    assert entry.keys() <= {"rel", "abs", "why"}
    assert entry.get("rel", entry.get("abs", 0.0)) > 0
    # Ten per cent is for what the makers print; nothing is wider.
    assert entry.get("rel", 0.0) <= 0.10
    assert any(f'"{quantity}"' in path.read_text(encoding="utf-8") for path in TESTS.rglob("*.py"))


def test_either_tolerance_is_enough() -> None:
    assert within("dc", 400.0) == 401.0
    assert within("dc", 400.0) != 402.0
    assert within("dc-small", 1.0) == 1.04
    assert share("sheet-dc") == 0.10


def test_an_unknown_quantity_is_an_error() -> None:
    with pytest.raises(KeyError):
        within("nothing", 1.0)
