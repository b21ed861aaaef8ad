"""Reading the tables of published and computed values in ``data/``."""

from __future__ import annotations

import csv
from pathlib import Path

_DATA = Path(__file__).with_name("data")


def rows(name: str) -> list[dict[str, str]]:
    """The rows of a table, without its comment lines."""
    lines = (_DATA / f"{name}.csv").read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def number(row: dict[str, str], column: str) -> float | None:
    """A value of a row; None where the table has none."""
    text = row[column]
    return float(text) if text else None
