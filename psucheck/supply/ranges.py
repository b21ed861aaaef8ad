"""Several values written as one: ``10k..47k E12 1 W`` stands for eight resistors, ``a; b`` for two values."""

from __future__ import annotations

import re

from psucheck import quantity
from psucheck.parts.series import SERIES, between

_NUMBER = r"\d+(?:\.\d+)?\s*[A-Za-zµμΩ]*\d*"
_RANGE = re.compile(rf"(?P<low>{_NUMBER})\s*\.\.\s*(?P<high>{_NUMBER})(?:\s+[Ee](?P<series>\d+)(?!\w))?")
_UNITS = ("ohm", "F", "H", "A", "V", "W", "VA")
_WORDS = ", ".join(f"E{numbers}" for numbers in SERIES)


class BadRange(ValueError):
    """A range that stands for nothing; the message says why."""


def values_of(text: str) -> tuple[str, ...]:
    """What ``text`` stands for: itself, or one text for each value of its list or range.

    Raises
    ------
    BadRange
        If a range is not of preferred values, is turned round, or holds none.
    """
    parts = [part.strip() for part in text.split(";")]
    if not all(parts):
        raise BadRange(f'"{text}": nothing stands before or behind a semicolon')
    return tuple(value for part in parts for value in _ranged(part))


def _ranged(text: str) -> tuple[str, ...]:
    if ".." not in text:
        return (text,)
    found = _RANGE.search(text)
    if found is None or text.count("..") > 1:
        raise BadRange(f'"{text}": a range is one of preferred values, such as "10k..47k E12 1 W"')
    if found["series"] is None:
        raise BadRange(f'"{text}": of which series? Add one of {_WORDS}: "10k..47k E12"')
    numbers = int(found["series"])
    if numbers not in SERIES:
        raise BadRange(f'"{text}": there is no series E{numbers}; there are {_WORDS}')
    low, high, unit = _ends(text, found["low"].strip(), found["high"].strip())
    if low > high:
        raise BadRange(f'"{text}": the range is empty, since {found["low"].strip()} is above {found["high"]}')
    chosen = between(low, high, numbers)
    if not chosen:
        raise BadRange(f'"{text}": the range is empty: E{numbers} has no value in it')
    before, behind = text[: found.start()], text[found.end() :]
    return tuple(f"{before}{quantity.show(value, unit)}{behind}" for value in chosen)


def _ends(text: str, low: str, high: str) -> tuple[float, float, str]:
    """Both ends and their unit; one without a word (``22..100 uF``) has the other's."""
    if low.replace(".", "").isdigit():
        low += re.sub(r"^[\d.]+", "", high)
    for unit in _UNITS:
        if quantity.is_quantity(low, unit) and quantity.is_quantity(high, unit):
            ends = quantity.read(low, unit), quantity.read(high, unit)
            if min(ends) <= 0:
                raise BadRange(f'"{text}": preferred values are above zero')
            return *ends, unit
    raise BadRange(f'"{text}": {low} and {high} are not two quantities of one kind')
