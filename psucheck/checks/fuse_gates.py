"""The time-current gate of a described fuse, read for pulses: which current it surely carries for how long.

A gate states, at a few multiples of the rated current, a time before which no fuse of the kind opens. It is
read in two ways. As a step: a fuse that holds 4 times its rating for 150 ms holds anything less for 150 ms.
As a line: straight between the points on logarithmic scales, which no standard states.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from psucheck.parts import NotTabulated, library
from psucheck.parts.fuse_gates import Gate
from psucheck.supply.model import Fuse

_UL_SLOW = ("T", "TT")
# A gate whose last point lies at seconds says nothing of pulses; the library draws the line at the same time.
_LONGEST_PULSE = 1.0


@dataclass(frozen=True, slots=True)
class Hold:
    """Current [A] that the fuse surely carries for a time: read as a step, and as a line between points.

    ``stated`` is False for a time shorter than any that the gate speaks of, where nothing follows from it.
    """

    step: float
    line: float
    stated: bool = True


def gates(fuse: Fuse) -> tuple[Gate, ...]:
    """The gates that a fuse's marking may mean: two where the letter for the breaking capacity is missing.

    None for a speed or rating that no gate is held for.
    """
    held = library().fuses
    try:
        if fuse.standard == "UL":
            return (held.ul_gate("slow" if fuse.speed in _UL_SLOW else "fast", fuse.current),)
        if fuse.speed != "T" and fuse.speed != "F":
            return ()
        breakings: tuple[Literal["L", "H"], ...] = ("L", "H")
        if fuse.breaking == "L" or fuse.breaking == "H":
            breakings = (fuse.breaking,)
        speed = fuse.speed
        return tuple(held.iec_gate(held.sheet(speed, breaking), fuse.current) for breaking in breakings)
    except NotTabulated:
        return ()


def hold(gate: Gate, seconds: float) -> Hold:
    """What a fuse inside its gate surely carries for ``seconds`` [A].

    For pulses shorter than the gate's last shortest time, that point's I^2 t is taken to hold (derived). One
    of less than half that time is short and tall, and can melt the element at less: the I^2 t is then halved.
    """
    points = [
        (point.multiple * gate.rated_current, point.shortest)
        for point in gate.points
        if point.shortest is not None
    ]
    amps, shortest = points[-1]
    if seconds < shortest:
        return _pulse(amps, shortest, seconds)
    step = next(one for one, time in reversed(points) if time >= min(seconds, points[0][1]))
    return Hold(step=step, line=_line(points, seconds))


def _pulse(amps: float, shortest: float, seconds: float) -> Hold:
    if shortest >= _LONGEST_PULSE:
        return Hold(amps, amps, stated=False)
    share = library().fuses.pulses.short_spike_factor.value if seconds < shortest / 2 else 1.0
    carried = amps * math.sqrt(share * shortest / seconds)
    return Hold(carried, carried)


def _line(points: list[tuple[float, float]], seconds: float) -> float:
    """Current at ``seconds`` on straight lines through the points, both scales logarithmic [A]."""
    for (low_amps, long), (high_amps, short) in pairwise(points):
        if short <= seconds <= long:
            part = math.log(long / seconds) / math.log(long / short)
            return low_amps * math.pow(high_amps / low_amps, part)
    return points[0][0]
