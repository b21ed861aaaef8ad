"""When a fuse opens at the latest: its gate's longest times, as a step and as a line between the points.

As a step: a fuse that must open at 4 times its rating within 3 s opens at anything more within 3 s. As a
line: straight between the points on logarithmic scales, which no standard states. Below the lowest current
that must open it a fuse may stay whole for good.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from psucheck.checks.fuse_gates import gates
from psucheck.checks.fuse_inrush import known_melting
from psucheck.parts.fuse_gates import Gate
from psucheck.supply.model import Fuse

_BEYOND = 1.5
"""How far beyond its last point a gate that ends at an overload still speaks of a current, as a multiple."""
_SHORT_CIRCUIT = 4.0
"""Multiple of its rating from which a gate's last point speaks of short circuits."""
_ADIABATIC = 0.1
"""Longest time for which a maker's melting I2t tells when the fuse melts [s]."""


@dataclass(frozen=True, slots=True)
class Opening:
    """How long a fuse may take to open [s]: read as a step, and on the line; None where it need not open.

    ``stated`` is False where the current is so far beyond the gate's last point that the time there says
    nothing of it.
    """

    step: float | None
    line: float | None
    stated: bool = True

    @property
    def surely(self) -> bool:
        """Whether it must open at all."""
        return self.step is not None


NEVER = Opening(None, None)


def opening(fuse: Fuse, amps: float) -> Opening | None:
    """When ``fuse`` opens at ``amps`` [A RMS] at the latest; None for a kind of which no gate is held.

    Of the gates that a marking may mean, the slowest counts.
    """
    known = gates(fuse)
    if not known:
        return None
    found = [_by(gate, amps, _melting(fuse)) for gate in known]
    if not all(each.surely for each in found):
        return NEVER
    return Opening(
        step=max(each.step or 0.0 for each in found),
        line=max(each.line or 0.0 for each in found),
        stated=all(each.stated for each in found),
    )


def _melting(fuse: Fuse) -> float | None:
    rated = known_melting(fuse, short=False)
    return None if rated is None else rated.value


def _by(gate: Gate, amps: float, i2t: float | None) -> Opening:
    multiple = amps / gate.rated_current
    points = [(point.multiple, point.longest) for point in gate.points if point.longest is not None]
    reached = [longest for at, longest in points if at <= multiple]
    if not reached:
        return NEVER
    last = points[-1][0]
    stated = last >= _SHORT_CIRCUIT or multiple <= _BEYOND * last
    line = [*points, *_melts(gate, i2t, last)]
    return Opening(step=reached[-1], line=_on_line(line, multiple, i2t, gate.rated_current), stated=stated)


def _melts(gate: Gate, i2t: float | None, last: float) -> list[tuple[float, float]]:
    """The point at which a known melting I2t says that a fuse whose gate ends at an overload melts."""
    if i2t is None or last >= _SHORT_CIRCUIT:
        return []
    multiple = math.sqrt(i2t / _ADIABATIC) / gate.rated_current
    return [(multiple, _ADIABATIC)] if multiple > last else []


def _on_line(
    points: list[tuple[float, float]], multiple: float, i2t: float | None, rated_current: float
) -> float:
    for (low, long), (high, short) in pairwise(points):
        if low <= multiple <= high:
            part = math.log(multiple / low) / math.log(high / low)
            return float(long * (short / long) ** part)
    if points[-1][1] == _ADIABATIC and i2t is not None:
        return i2t / (multiple * rated_current) ** 2
    return points[-1][1]
