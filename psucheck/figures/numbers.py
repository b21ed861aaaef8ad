"""Every number of the figures under a path of its own, so that two runs can be held beside each other."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from typing import Any

from psucheck.figures.model import Figures

_GROUPS = (
    "nodes",
    "capacitors",
    "resistors",
    "chokes",
    "windings",
    "rectifiers",
    "valves",
    "places",
    "discharge",
    "sag",
)
_SINGLE = ("mains_supply", "core")


def numbers(figures: Figures) -> dict[str, float]:
    """Every number of ``figures`` by its path, in SI units.

    ``"nodes.reservoir.dc"``; of a tuple by its index, ``"windings.ht.rms_current.0"``; of pairs by their
    first: ``"places.mains.window_rms.0.01"`` (window [s]), ``"capacitors.screens.ripple_spectrum.100"`` (Hz).
    """
    found: dict[str, float] = {}
    for group in _GROUPS:
        for name, part in getattr(figures, group).items():
            found |= _numbers_of(f"{group}.{name}", asdict(part))
    for group in _SINGLE:
        part = getattr(figures, group)
        if part is not None:
            found |= _numbers_of(group, asdict(part))
    return found


def differences(one: Figures, other: Figures) -> dict[str, float]:
    """How far every number that both have is apart, by its path."""
    others = numbers(other)
    return {path: abs(value - others[path]) for path, value in numbers(one).items() if path in others}


def _numbers_of(path: str, part: dict[str, Any]) -> dict[str, float]:
    return {f"{path}.{key}": value for name, item in part.items() for key, value in _each(name, item)}


def _each(name: str, item: Any) -> Iterator[tuple[str, float]]:
    """Yield the numbers of one field; counts, words and what is missing are none."""
    if isinstance(item, float):
        yield name, item
    elif isinstance(item, tuple):
        for index, one in enumerate(item):
            if isinstance(one, tuple):
                yield f"{name}.{one[0]:g}", one[1]
            else:
                yield f"{name}.{index}", one
