"""Short forms of the mains transformer's windings."""

from __future__ import annotations

import re

from psucheck.supply.notation_words import NUMBER, NotationError, Table, Words, clauses, put


def primary(text: str) -> Table:
    """Read a primary: ``"230 V, 6.2 ohm"``, or ``"230 V"`` when its resistance is not known.

    Raises
    ------
    NotationError
        If anything else is written, or the voltage is missing.
    """
    found: Table = {}
    for words in clauses(text, "230 V, 6.2 ohm"):
        while not words.done:
            column = words.column
            unit, value = words.quantity("V", "ohm")
            put(found, {"V": "voltage", "ohm": "resistance"}[unit], value, words, column)
    if "voltage" not in found:
        raise NotationError(text, "the primary's voltage is missing", "230 V, 6.2 ohm")
    return found


_WINDING = "365-0-365 V off load at 243 V, 33 + 35 ohm"
_OFF_LOAD = ("off load", "off-load", "no load", "no-load", "unloaded", "open circuit")


def winding(text: str) -> Table:
    """Read a secondary: ``"365-0-365 V off load at 243 V, 33 + 35 ohm"``, or rated, ``"345-0-345 V 220 mA"``.

    ``"690 V CT"`` is a winding of 690 V end to end with a centre tap. ``200 mA DC`` says that the label's
    current is the DC taken from it. Taps: ``tap bias 50 V 12 ohm``, volts from the centre tap, or from one
    end of a plain winding.

    Raises
    ------
    NotationError
        If anything else is written, the volts are missing, or the resistances are not one a half.
    """
    found: Table = {}
    parts = clauses(text, _WINDING)
    words = next(parts)
    found["volts"] = _winding_volts(words)
    _winding_facts(words, found)
    for words in parts:
        _winding_facts(words, found)
    halves = len(found["volts"])
    ohms = len(found["resistance"]) if "resistance" in found else halves
    if (halves, ohms) == (2, 1):
        words.fail("one resistance for two halves: measure each half from the centre tap, '33 + 35 ohm'")
    if halves != ohms:
        words.fail(
            f"{ohms} resistances for {'two halves' if halves > 1 else 'a winding without a centre tap'}"
        )
    return found


def _winding_volts(words: Words) -> list[float]:
    column = words.column
    if whole := words.match(rf"({NUMBER}\s*V)\s*(?:AC)?\s*CT(?=\s|$)"):
        half = words.read(whole[1], "V", column) / 2
        return [half, half]
    if words.match(rf"{NUMBER}(?:\s*-\s*{NUMBER}){{3,}}"):
        words.fail("more than two ends and a centre tap: write the ends in use, '350-0-350 V'", column)
    words.match(rf"0\s*-\s*(?={NUMBER}\s*V)")  # "0-6.3 V"
    if first := words.match(rf"({NUMBER})\s*V?\s*-\s*0\s*V?\s*-\s*(?={NUMBER})"):
        return [words.read(first[1] + " V", "V", column), words.quantity("V")[1]]
    return [words.quantity("V")[1]]


def _winding_facts(words: Words, found: Table) -> None:
    """Read what stands in one part between commas into ``found``."""
    while not words.done:
        column = words.column
        if words.take("taps", "tap"):
            _winding_taps(words, found)
        elif words.take(*_OFF_LOAD):
            if not words.take("at"):
                words.fail("off load at what mains voltage? A reading needs it: 'off load at 243 V'")
            put(found, "off_load_at", words.quantity("V")[1], words, column)
            words.take("mains", "wall", "line")
        elif ohms := words.sum("ohm"):
            put(found, "resistance", ohms, words, column)
        elif re.match(r"[A-Za-z]{2}", words.word):
            words.unknown(*_OFF_LOAD, "tap", "taps")
        else:
            _winding_quantity(words, found)


def _winding_quantity(words: Words, found: Table) -> None:
    column = words.column
    unit, value = words.quantity("A", "ohm")
    if unit == "A":
        put(found, "current", value, words, column)
        if words.take("DC"):
            found["current_is"] = "DC"
        else:
            words.take("AC", "RMS")
    else:
        put(found, "resistance", [value] * (len(found["volts"]) if words.take("each") else 1), words, column)


def _winding_taps(words: Words, found: Table) -> None:
    taps = found.setdefault("taps", {})
    while not words.done:
        column = words.column
        named = words.match(r"[a-z][^\s]*")
        if not named:
            words.fail("a tap is written with its name: 'tap bias 50 V 12 ohm'")
        put(taps, named[0].lower(), _tap(words), words, column)


def _tap(words: Words) -> Table:
    found: Table = {"volts": words.quantity("V")[1]}
    if ohms := words.maybe("ohm"):
        found["resistance"] = ohms[1]
    return found


def tap(text: str) -> Table:
    """Read a tap of a winding in the table form: ``"50 V 12 ohm"``, or ``"50 V"``.

    Raises
    ------
    NotationError
        If anything else is written.
    """
    words = Words(text, "50 V 12 ohm")
    found = _tap(words)
    if not words.done:
        words.unknown()
    return found
