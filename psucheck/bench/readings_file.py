"""Readings taken at the bench, from a file: a table of them in TOML, or a line each in CSV."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from psucheck.bench.points import Point
from psucheck.bench.reading import Reading
from psucheck.bench.readings_csv import parse_csv
from psucheck.bench.readings_toml import parse_toml
from psucheck.supply.text_file import read_text

__all__ = ["Reading", "read_readings"]


def read_readings(path: Path, points: Sequence[Point]) -> tuple[Reading, ...]:
    """Read a file of readings, TOML or (by its name's end) CSV.

    Parameters
    ----------
    points
        The test points of the supply.

    Raises
    ------
    DescriptionError
        If it cannot be used, with everything that is wrong with it.
    """
    text = read_text(path, "a file of readings")
    parse = parse_csv if path.suffix.lower() == ".csv" else parse_toml
    return parse(text, str(path), points)
