"""The values that parts are made in: voltage classes, sizes, and the next of a series of preferred ones."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from typing import Annotated

from psucheck.parts.sourced import Frozen, Positive, Sourced, entry

_CLOSE = 1e-9


class Electrolytics(Frozen):
    """Rated voltages [V] and capacitances [F] of electrolytic capacitors."""

    volts: Annotated[Sourced[tuple[Positive, ...]], entry("volts")]
    farads: Annotated[Sourced[tuple[Positive, ...]], entry("farads")]


class Resistors(Frozen):
    """Rated powers of resistors [W]."""

    watts: Annotated[Sourced[tuple[Positive, ...]], entry("watts")]


class PreferredFile(Frozen):
    """preferred.toml."""

    electrolytics: Electrolytics
    resistors: Resistors


def at_least(held: Sequence[float], least: float) -> tuple[float, ...]:
    """The values of ``held`` that are not below ``least``, smallest first."""
    return tuple(value for value in sorted(held) if value >= least * (1 - _CLOSE))


def at_most(held: Sequence[float], most: float) -> tuple[float, ...]:
    """The values of ``held`` that are not above ``most``, largest first."""
    return tuple(value for value in sorted(held, reverse=True) if value <= most * (1 + _CLOSE))


def upwards(mantissas: Sequence[float], least: float) -> Iterator[float]:
    """The preferred values from ``least`` upwards, without end.

    Raises
    ------
    ValueError
        If ``least`` is not above zero.
    """
    decade, place = _place(mantissas, least)
    while True:
        if place == len(mantissas):
            decade, place = decade + 1, 0
        yield _value(mantissas[place], decade)
        place += 1


def downwards(mantissas: Sequence[float], most: float) -> Iterator[float]:
    """The preferred values from ``most`` downwards, without end.

    Raises
    ------
    ValueError
        If ``most`` is not above zero.
    """
    decade, place = _place(mantissas, most)
    if place == len(mantissas) or _value(mantissas[place], decade) > most * (1 + _CLOSE):
        place -= 1
    while True:
        if place < 0:
            decade, place = decade - 1, len(mantissas) - 1
        yield _value(mantissas[place], decade)
        place -= 1


def _place(mantissas: Sequence[float], value: float) -> tuple[int, int]:
    """Decade, and index of the first mantissa that is not below ``value`` there."""
    if not value > 0:
        raise ValueError(f"preferred values are above zero, not {value}")
    decade = math.floor(math.log10(value) + _CLOSE)
    return decade, bisect_left(mantissas, value / 10.0**decade * (1 - _CLOSE))


def _value(mantissa: float, decade: int) -> float:
    return float(f"{mantissa * 10.0**decade:.3g}")
