"""What the moments of a warm-up amount to: how high B+ stands, when, and whether the valves draw by then."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from psucheck.figures.model import Figures
from psucheck.supply.fill_warm_up import VALVES

_SAME = 0.005
"""What a rail may be below its peak and still be told as standing there, as a share of it."""


@dataclass(frozen=True, slots=True)
class Peak:
    """The node that stands highest while cathodes warm up: its mean volts, from when to when [s].

    ``drawing``: share of their emission that the valves have at the end of that time.
    """

    node: str
    volts: float
    since: float
    until: float
    drawing: float


def moments(figures: Mapping[str, Figures]) -> list[Figures]:
    """The figures of the warm-up, in the order of time."""
    return sorted(
        (each for each in figures.values() if each.state == "warm-up"), key=lambda each: each.seconds or 0.0
    )


def peak(warming: Sequence[Figures]) -> Peak | None:
    """The highest that B+ stands in ``warming``; None for no moments at all."""
    if not warming:
        return None
    node, volts = max(
        ((name, one.dc) for each in warming for name, one in each.nodes.items()), key=lambda found: found[1]
    )
    there = [each for each in warming if each.nodes[node].dc >= (1.0 - _SAME) * volts]
    return Peak(
        node, volts, there[0].seconds or 0.0, there[-1].seconds or 0.0, there[-1].emission.get(VALVES, 1.0)
    )


def with_peak(figures: Mapping[str, Figures]) -> dict[str, Figures]:
    """``figures`` with the peak of the warm-up told by the last of its moments."""
    told = dict(figures)
    warming = moments(figures)
    highest = peak(warming)
    if highest is not None:
        last = warming[-1]
        said = _said(highest, warming) + _at_most(highest, figures)
        told[last.name] = replace(last, remarks=(*last.remarks, said))
    return told


def _at_most(highest: Peak, figures: Mapping[str, Figures]) -> str:
    """What B+ would reach if the rectifier came before the valves, where the times do not say so."""
    bounds = [f.nodes[highest.node].dc for f in figures.values() if f.state == "cold" and f.level == "high"]
    if not bounds or highest.drawing <= 0.0 or bounds[0] <= (1.0 + _SAME) * highest.volts:
        return ""
    return f" (the times are guesses: before the valves draw it would be {bounds[0]:.0f} V)"


def _said(highest: Peak, warming: Sequence[Figures]) -> str:
    drawn = next((each.seconds for each in warming if each.emission.get(VALVES, 1.0) >= 1.0), None)
    when = f"{highest.since:g} s"
    if highest.until > highest.since:
        when = f"{highest.since:g} to {highest.until:g} s"
    said = f"B+ peaks at {highest.volts:.0f} V ({highest.node}) {when} after switch-on from cold"
    if highest.drawing >= 1.0:
        return f"{said}, onto valves that draw"
    by_then = "before the valves draw" if highest.drawing <= 0.0 else "while the valves warm up"
    return f"{said}, {by_then}; they draw in full after {drawn:g} s"
