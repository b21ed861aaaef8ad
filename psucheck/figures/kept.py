"""The figures that a study of many supplies keeps of each: single numbers by their path."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from psucheck.figures.model import Figures, WindingFigures


@dataclass(frozen=True, slots=True)
class Quantity:
    """What one number of a part is called, and its unit."""

    words: str
    unit: str


KEPT: Mapping[str, Mapping[str, Quantity]] = {
    "nodes": {"dc": Quantity("DC", "V"), "ripple_pp": Quantity("ripple p-p", "V")},
    "rectifiers": {
        "mean_current": Quantity("DC", "A"),
        "peak_current": Quantity("peak, each arm", "A"),
        "reverse_voltage": Quantity("reverse", "V"),
    },
    "windings": {"volts": Quantity("volts", "V"), "rms_current": Quantity("RMS", "A")},
    "capacitors": {"ripple_current": Quantity("ripple RMS", "A")},
    "chokes": {"dc": Quantity("DC", "A"), "peak_current": Quantity("peak", "A")},
    "resistors": {"watts": Quantity("watts", "W")},
    "valves": {
        "anode_current": Quantity("anode, each", "A"),
        "anode_watts": Quantity("anode, each", "W"),
        "screen_watts": Quantity("screen, each", "W"),
        "bias": Quantity("grid", "V"),
    },
    "mains_supply": {"rms_current": Quantity("RMS", "A"), "watts": Quantity("watts", "W")},
}
"""Group of :class:`Figures` -> its numbers that are kept."""


def kept_numbers(figures: Figures) -> dict[str, float]:
    """The kept numbers by their path, ``"nodes.reservoir.dc"``; of a winding's sections the busiest [SI]."""
    return dict(_numbers(figures))


def quantity_of(path: str) -> tuple[str, str, Quantity]:
    """Group, part and quantity of a path; the part of what the mains deliver is ``"mains"``."""
    group, _, rest = path.partition(".")
    part, _, key = rest.rpartition(".")
    return group, part or "mains", KEPT[group][key]


def _numbers(figures: Figures) -> Iterator[tuple[str, float]]:
    for group, quantities in KEPT.items():
        held = getattr(figures, group)
        if held is None:
            continue
        parts = {"": held} if group == "mains_supply" else held
        for name, part in parts.items():
            for key in quantities:
                value = getattr(part, key)
                if isinstance(part, WindingFigures) and key == "rms_current":
                    value = max(value)
                yield ".".join(filter(None, (group, name, key))), value
