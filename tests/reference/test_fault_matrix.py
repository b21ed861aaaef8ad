"""What the fault finder makes of the fault matrix, as its script last computed it.

The smaller share that runs with the tests is in ``tests/bench/test_matrix.py``.
"""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from tests.accuracy import Accuracy

_DATA = tomllib.loads((Path(__file__).parents[1] / "bench" / "data" / "fault_matrix.toml").read_text("utf-8"))
_SUPPLIES: dict[str, dict[str, Any]] = _DATA["supplies"]
_SOURCE = "the aim for the fault matrix"
_SEEDS = " and ".join(str(seed) for seed in _DATA["seeds"])


def _sum(key: str) -> int:
    return sum(supply[key] for supply in _SUPPLIES.values())


def _together() -> float:
    """Causes in the first group, on average."""
    return float(sum(supply["together"] * supply["faults"] for supply in _SUPPLIES.values()) / _sum("faults"))


@pytest.mark.parametrize(
    ("quantity", "right", "all_", "aim"),
    [
        ("true cause, or its named group, first", "first", "faults", 0.80),
        ("true cause, or its named group, in the first three", "in_three", "faults", 0.95),
        ('"nothing wrong" first with no fault', "sound_first", "sound", 0.95),
    ],
)
def test_the_matrix(accuracy: Accuracy, quantity: str, right: str, all_: str, aim: float) -> None:
    count, of = _sum(right), _sum(all_)
    accuracy(
        _SOURCE,
        f"five supplies, seeds {_SEEDS}",
        quantity,
        (aim, None),
        count / of,
        "",
        None,
        "computed",
        f"{count} of {of}; readings by simulation, parts, meter and wall off; "
        f"{_together():.1f} causes in the first group on average",
    )


def test_every_supply_has_enough_faults() -> None:
    seeds = len(_DATA["seeds"])
    assert len(_SUPPLIES) == 5
    assert all(supply["faults"] >= 25 * seeds for supply in _SUPPLIES.values())
