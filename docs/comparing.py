"""Whether two texts say the same: the same words in the same order on as many lines, and figures that agree.

Versions of the simulator differ in the last digit of a figure, and now and then that moves a blank.
"""

from __future__ import annotations

import math
import re

SHARE = 0.005
"""How far two figures may lie apart, as a share of the larger."""
LAST_DIGITS = 2.0
"""Or by so many units of the last digit that both are written with."""
SMALL = 1e-6
"""Or by this much, in whatever unit: below it a figure is noise of the simulator."""

_FIGURE = re.compile(r"(?<![\w.])\d+(?:\.\d+)?(?:e[-+]?\d+)?(?![\w])")
_RULE = re.compile(r"-{3,}")


def alike(one: str, other: str) -> str | None:
    """None if the texts say the same, else the first words that differ."""
    first, second = _words(one), _words(other)
    for number, (left, right) in enumerate(zip(first, second, strict=False)):
        if left != right and not _same_figures(left, right):
            before = " ".join(first[max(number - 4, 0) : number])
            return f"after {before!r} stands {left!r}, not {right!r}"
    if len(first) != len(second):
        longer = max(first, second, key=len)
        more = " ".join(longer[min(len(first), len(second)) :][:8])
        return f"{'too much' if longer is first else 'missing'} at the end: {more!r}"
    lines = one.count("\n"), other.count("\n")
    return None if lines[0] == lines[1] else f"the same words stand on {lines[0]} lines, not {lines[1]}"


def _words(text: str) -> list[str]:
    return _RULE.sub("---", text).split()


def _same_figures(left: str, right: str) -> bool:
    """Whether two words are the same but for figures that agree."""
    if _FIGURE.sub("#", left) != _FIGURE.sub("#", right):
        return False
    return all(map(_agree, _FIGURE.findall(left), _FIGURE.findall(right)))


def _agree(left: str, right: str) -> bool:
    digit = LAST_DIGITS * max(_last_digit(left), _last_digit(right))
    return math.isclose(float(left), float(right), rel_tol=SHARE, abs_tol=max(digit, SMALL))


def _last_digit(figure: str) -> float:
    """One unit of the last digit that is written."""
    mantissa, _, exponent = figure.partition("e")
    decimals = len(mantissa.partition(".")[2])
    return float(10.0 ** (int(exponent or 0) - decimals))
