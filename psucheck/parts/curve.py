"""Reading a sheet's table between its points, and saying when one reads outside it."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from itertools import pairwise
from math import exp, log
from typing import Literal, NamedTuple


class Reading(NamedTuple):
    """A value read from a table; ``outside`` tells beyond which end of the table it was asked, if it was."""

    value: float
    outside: Literal["below", "above"] | None


def check_points(xs: Sequence[float], ys: Sequence[float]) -> None:
    """Check that a table can be read.

    Raises
    ------
    ValueError
        Lengths differ, the table is empty, or ``xs`` do not rise.
    """
    if len(xs) != len(ys) or not xs:
        raise ValueError("a table needs as many arguments as values, and at least one")
    if any(right <= left for left, right in pairwise(xs)):
        raise ValueError("the arguments of a table must rise")


def interpolate(xs: Sequence[float], ys: Sequence[float], x: float) -> Reading:
    """Read ``ys`` at ``x`` by straight lines between the points; beyond an end, the end's value.

    Parameters
    ----------
    xs, ys : sequence of float
        The table; ``xs`` rise.
    x : float
        Where to read, in the unit of ``xs``.
    """
    if x < xs[0]:
        return Reading(ys[0], "below")
    if x > xs[-1]:
        return Reading(ys[-1], "above")
    right = min(bisect_right(xs, x), len(xs) - 1)
    left = max(right - 1, 0)
    if left == right:
        return Reading(ys[0], None)
    part = (x - xs[left]) / (xs[right] - xs[left])
    return Reading(ys[left] + part * (ys[right] - ys[left]), None)


def interpolate_log(xs: Sequence[float], ys: Sequence[float], x: float) -> Reading:
    """As ``interpolate``, on a logarithmic scale of ``x``: for tables over frequency."""
    return interpolate([log(one) for one in xs], ys, log(x))


def power_law(xs: Sequence[float], ys: Sequence[float], x: float) -> Reading:
    """Read on logarithmic scales of both; beyond an end, along the last segment's slope."""
    log_x, log_y, at = [log(one) for one in xs], [log(one) for one in ys], log(x)
    if len(xs) == 1:
        raise ValueError("a power law needs two points")
    right = min(max(bisect_right(log_x, at), 1), len(xs) - 1)
    slope = (log_y[right] - log_y[right - 1]) / (log_x[right] - log_x[right - 1])
    outside: Literal["below", "above"] | None = "below" if x < xs[0] else "above" if x > xs[-1] else None
    return Reading(exp(log_y[right - 1] + slope * (at - log_x[right - 1])), outside)
