"""The one table of tolerances, ``tolerances.toml``, as pytest comparisons."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import pytest

_FILE = Path(__file__).with_name("tolerances.toml")


@cache
def table() -> dict[str, dict[str, Any]]:
    """Quantity -> ``rel``, ``abs`` (its own unit), ``why``."""
    return tomllib.loads(_FILE.read_text(encoding="utf-8"))


def within(quantity: str, expected: float) -> Any:
    """``expected``, to compare with: equal to whatever lies inside the tolerance of ``quantity``.

    Raises
    ------
    KeyError
        If the table has no such quantity.
    """
    entry = table()[quantity]
    return pytest.approx(expected, rel=entry.get("rel", 0.0), abs=entry.get("abs", 0.0))


def share(quantity: str) -> float:
    """The relative tolerance of ``quantity``, as a share of one."""
    return float(table()[quantity]["rel"])
