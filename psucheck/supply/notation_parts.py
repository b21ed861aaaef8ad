"""Short forms of single parts: capacitor, resistor, choke, device, valves.

Each function turns text into the plain table form, with SI floats; :mod:`psucheck.supply.notation` offers
them all under one name.
"""

from __future__ import annotations

import math
import re
from typing import Any

from psucheck import quantity
from psucheck.quantity import QuantityError
from psucheck.supply.notation_words import NUMBER, NotationError, Table, Words, put

_CAPACITOR = "50 uF 500 V"
_STRING = "2 x 100 uF 350 V in series with 220k 1 W each"
_JOIN = ("in series", "in parallel")


def capacitor(text: str) -> Table:
    """Read a capacitor: ``"50 uF 500 V"``.

    Also a series string with its balancing resistors (``"2 x 100 uF 350 V in series with 220k 1 W each"``),
    and the sections of one can, joined in parallel (``"32+32 uF 450 V"``, ``"2 x 50 uF 500 V in parallel"``),
    which are added up in ``value``. Further, in any order: ``ESR 1.5 ohm``, ``ripple 0.45 A``,
    ``surge 550 V``, ``105 degC``, ``life 5000 h``, ``+-20 %`` or ``-10/+50 %``.

    Raises
    ------
    NotationError
        If anything else is written, or the capacitance is missing.
    """
    words = Words(text, _CAPACITOR)
    count = words.count()
    found: Table = {}
    if sections := words.sum("F"):
        found |= {"value": math.fsum(sections), "sections": sections}
    joined: str | None = None
    while not words.done:
        column = words.column
        if join := words.take(*_JOIN):
            if joined:
                words.fail("in series or in parallel is said twice", column)
            joined = join
        elif words.take("with"):
            if joined != "in series":
                words.fail("balancing resistors stand across parts in series", column)
            put(found, "balancing", _balancing(words), words, column)
        elif not (count > 1 and words.take("each")):
            put(found, *_capacitor_detail(words), words, column)
    if "value" not in found:
        words.fail("the capacitance is missing")
    return _join_capacitors(found, count, joined, words)


_DETAILS = {
    "esr": ("esr", "ohm"),
    "ripple": ("ripple_current", "A"),
    "surge": ("surge_voltage", "V"),
    "life": ("life", "s"),
}
_PLAIN_DETAILS = {"F": "value", "V": "voltage", "degC": "temperature"}


def _tolerance(words: Words) -> list[float] | None:
    """A tolerance, if one comes next: two shares of one, low and high."""
    column = words.column
    if both := words.match(rf"(?:\+/?-|±)\s*({NUMBER})\s*%"):
        share = words.read(both[1] + " %", "%", column)
        return [-share, share]
    if each := words.match(rf"-\s*({NUMBER})\s*%?\s*/?\s*\+\s*({NUMBER})\s*%"):
        low, high = (words.read(number + " %", "%", column) for number in each.groups())
        return [-low, high]
    return None


def tolerance(text: str) -> list[float]:
    """Read a tolerance: ``"+-20 %"``, ``"-10/+50 %"``; two shares of one, low and high.

    Raises
    ------
    NotationError
        If anything else is written.
    """
    words = Words(text, "-10/+50 %")
    shares = _tolerance(words)
    if shares is None or not words.done:
        words.unknown()
    return shares


def _capacitor_detail(words: Words) -> tuple[str, Any]:
    """One fact about a capacitor, as key and value."""
    if named := words.take(*_DETAILS):
        key, unit = _DETAILS[named]
        return key, words.quantity(unit)[1]
    if shares := _tolerance(words):
        return "tolerance", shares
    if re.match(r"[A-Za-z]{2}", words.word):
        words.unknown(*_DETAILS, "in series", "in parallel", "with", "each")
    unit, value = words.quantity(*_PLAIN_DETAILS)
    return _PLAIN_DETAILS[unit], value


def _balancing(words: Words) -> Table:
    """The resistor across each part of a string: ``220k 1 W each``."""
    found: Table = {"value": words.quantity("ohm")[1]}
    while more := words.maybe("W", "V"):
        put(found, {"W": "power", "V": "voltage"}[more[0]], more[1], words, words.column)
    words.take("each", "across each")
    return found


def _join_capacitors(found: Table, count: int, joined: str | None, words: Words) -> Table:
    words.allowed = _STRING
    if count == 1 and joined:
        words.fail(f"how many {joined}?", 0)
    if count > 1 and not joined:
        words.fail(f"{count} of them: in series or in parallel?")
    if count > 1 and "sections" in found:
        words.fail("one can with sections, or several equal capacitors, not both", 0)
    if joined == "in series":
        return {"value": found["value"], "in_series": count} | found
    if joined == "in parallel":
        sections = [found["value"]] * count
        return found | {"value": math.fsum(sections), "sections": sections}
    return found


def resistor(text: str) -> Table:
    """Read a resistor: ``"10k 1 W"``, with its voltage limit if known, ``"10k 1 W 350 V"``.

    Equal resistors in series or in parallel (``"2 x 220k 1 W in series"``) become the one they amount to.

    Raises
    ------
    NotationError
        If anything else is written, or the resistance is missing.
    """
    words = Words(text, "10k 1 W")
    count, joined = words.count(), None
    found: Table = {}
    while not words.done:
        column = words.column
        if join := words.take(*_JOIN):
            if joined:
                words.fail("in series or in parallel is said twice", column)
            joined = join
        elif not (count > 1 and words.take("each")):
            if re.match(r"[A-Za-z]{2}", words.word):
                words.unknown("in series", "in parallel", "each")
            unit, value = words.quantity("ohm", "W", "V")
            put(found, {"ohm": "value", "W": "power", "V": "voltage"}[unit], value, words, column)
    if "value" not in found:
        words.fail("the resistance is missing")
    if re.search(r"[0-9]\s*M\s", text) and "voltage" in found and "power" not in found:
        words.allowed = "8 Mohm"
        words.fail("M: megohms or microfarads? Write 8 Mohm, or 8 mfd", 0)
    if (count > 1) != bool(joined):
        words.allowed = "2 x 220k 1 W in series"
        words.fail(f"{count} of them: in series or in parallel?" if count > 1 else f"how many {joined}?")
    series = joined == "in series"
    factors = {"value": count if series else 1 / count, "power": count, "voltage": count if series else 1}
    return {key: value * factors[key] for key, value in found.items()}


_ZENER = "zener 50 V 10 W"


def series(text: str) -> Table:
    """Read what stands in series at a place: a resistor, ``"10 ohm 10 W"``, or ``"zener 50 V 10 W"``.

    A zener's differential resistance may be added, ``"zener 50 V 10 W 20 ohm"``; equal zeners in series
    (``"2 x zener 27 V 5 W in series"``) become the one they amount to.

    Raises
    ------
    NotationError
        If anything else is written, or the zener's voltage is missing.
    """
    words = Words(text, _ZENER)
    words.count()
    return zener(text) if words.take("zeners", "zener") else resistor(text)


def zener(text: str) -> Table:
    """Read a zener, ``"zener 50 V 10 W"``, as :func:`series` has it; the word may be left out.

    Raises
    ------
    NotationError
        If anything else is written, or the zener's voltage is missing.
    """
    words = Words(text, _ZENER)
    count = words.count()
    words.take("zeners", "zener")
    found: Table = {}
    joined = False
    while not words.done:
        column = words.column
        if words.take("in series"):
            joined = True
        elif not (count > 1 and words.take("each")):
            unit, value = words.quantity("V", "W", "ohm")
            put(found, {"V": "zener", "W": "power", "ohm": "resistance"}[unit], value, words, column)
    if "zener" not in found:
        words.fail("the zener's voltage is missing")
    if joined != (count > 1):
        words.allowed = "2 x zener 27 V 5 W in series"
        words.fail(f"{count} of them: zeners share nothing but in series" if count > 1 else "how many?")
    return {key: value * count for key, value in found.items()}


def choke(text: str) -> Table:
    """Read a choke: ``"choke 10 H 110 ohm 180 mA"``; the word may be left out, and henries and current too.

    Raises
    ------
    NotationError
        If anything else is written, or the resistance is missing.
    """
    words = Words(text, "choke 10 H 110 ohm 180 mA")
    words.take("choke")
    found: Table = {}
    while not words.done:
        column = words.column
        unit, value = words.quantity("H", "ohm", "A")
        put(found, {"H": "inductance", "ohm": "resistance", "A": "current"}[unit], value, words, column)
    if "resistance" not in found:
        words.fail("the choke's resistance is missing: measure it with an ohmmeter")
    return found


_TYPE = r"(?!x(?:\s|$))(?=\S*[A-Z]|[0-9]{3})[A-Z0-9][A-Z0-9./_-]*"
# Glued to its count a type must not be mistaken for one: 6X4, 6x5GT and 2X2A are types, 2xEL34 is not.
_COUNTED = r"([0-9]{1,3})(?:\s+x\s*|(?-i:x)(?:\s+|(?=[A-Z]|[0-9]{1,2}[A-Z]+[0-9]|[0-9]{3})))"


def _types(words: Words) -> tuple[int, str]:
    """A count, 1 if none is written, and a type."""
    column = words.column
    counted = words.match(_COUNTED)
    count = int(counted[1]) if counted else 1
    if not count:
        words.fail("at least one is wanted", column)
    named = words.match(_TYPE + r"(?=\s|$)")
    if not named:
        words.fail("a type is wanted here" + (f", not {words.word!r}" if words.word else ""))
    return count, named[0].strip()


def valves(text: str) -> list[Table]:
    """Read a valve line-up: ``"2 x EL34, 3 x ECC83"``.

    Raises
    ------
    NotationError
        If a part between commas is no count and type.
    """
    found: list[Table] = []
    at = 0
    for part in re.split(r"(,|\s(?:and|&)\s)", text):
        if not re.fullmatch(r",|\s(?:and|&)\s", part):
            words = Words(text, "2 x EL34, 3 x ECC83", at, at + len(part))
            count, named = _types(words)
            words.take("valves", "valve", "tubes", "tube")
            if not words.done:
                words.fail(f"{words.word!r} is not understood here: put a comma between types")
            found.append({"count": count, "type": named})
        at += len(part)
    return found


def device(text: str) -> Table:
    """Read a rectifying device: ``"GZ34"``, or several per arm, ``"2 x 1N4007 in series"``.

    Raises
    ------
    NotationError
        If several are named without saying how they are joined, or the reverse.
    """
    words = Words(text, "2 x 1N4007 in series")
    count, named = _types(words)
    words.take("each")
    column = words.column
    joined = words.take(*_JOIN)
    if not words.done:
        words.unknown(*_JOIN)
    if (count > 1) != bool(joined):
        words.fail(
            f"{count} of them: in series or in parallel?" if count > 1 else f"how many {joined}?", column
        )
    return {"type": named} | ({joined.replace(" ", "_"): count} if joined else {})


def drop(text: str) -> Table:
    """Read a point of a forward characteristic: ``"17 V at 225 mA"``.

    Raises
    ------
    NotationError
        If it is not a voltage at a current.
    """
    try:
        volts, amps = quantity.read_at(text, "V", "A")
    except QuantityError as error:
        raise NotationError(text, error.reason, "17 V at 225 mA", error.column) from None
    return {"volts": volts, "amps": amps}


def heater(text: str) -> Table:
    """Read a heater rating: ``"5 V 1.9 A"``.

    Raises
    ------
    NotationError
        If it is not a voltage and a current.
    """
    words = Words(text, "5 V 1.9 A")
    _, volts = words.quantity("V")
    words.take("at")
    _, amps = words.quantity("A")
    if not words.done:
        words.unknown()
    return {"volts": volts, "amps": amps}
