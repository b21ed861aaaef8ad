"""Series of preferred numbers, E3 to E192 of IEC 60063."""

from __future__ import annotations

import math
from functools import cache
from typing import Annotated

from psucheck.parts import library
from psucheck.parts.sourced import Frozen, Positive, Sourced, entry

SERIES: tuple[int, ...] = (3, 6, 12, 24, 48, 96, 192)
"""Numbers a decade."""
_CLOSE = 1e-9


class Exceptions(Frozen):
    """Numbers that the rule gives, and what is printed in their place."""

    by_rule: tuple[Positive, ...]
    printed: tuple[Positive, ...]


class ESeries(Frozen):
    """What no rule gives: the numbers of E24, and the exceptions of the finer series."""

    e24: Annotated[Sourced[tuple[Positive, ...]], entry("mantissas")]
    exceptions: Annotated[Sourced[Exceptions], entry()]


class SeriesFile(Frozen):
    """series.toml."""

    e: ESeries


@cache
def mantissas(numbers: int) -> tuple[float, ...]:
    """The numbers of a series from 1 to below 10.

    Raises
    ------
    ValueError
        If there is no series of so many ``numbers`` a decade.
    """
    if numbers not in SERIES:
        raise ValueError(f"there is no series E{numbers}")
    held = library().e_series
    if numbers <= 24:
        return held.e24.value[:: 24 // numbers]
    other = dict(zip(held.exceptions.value.by_rule, held.exceptions.value.printed, strict=True))
    by_rule = [round(10.0 ** (place / numbers), 2) for place in range(numbers)]
    return tuple(other.get(number, number) for number in by_rule)


def between(low: float, high: float, numbers: int) -> tuple[float, ...]:
    """The preferred values of a series from ``low`` to ``high``, both among them where they are preferred.

    Raises
    ------
    ValueError
        If there is no such series, or ``low`` is not above zero.
    """
    if not low > 0:
        raise ValueError(f"preferred values are above zero, not {low:g}")
    held = mantissas(numbers)
    decades = range(math.floor(math.log10(low) + _CLOSE), math.floor(math.log10(max(high, low)) + _CLOSE) + 1)
    # Through text, so that 4.7 times a power of ten is the number that "47 uF" is read as.
    values = (float(f"{number:.2f}e{decade}") for decade in decades for number in held)
    return tuple(value for value in values if low * (1 - _CLOSE) <= value <= high * (1 + _CLOSE))
