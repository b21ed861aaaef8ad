"""The short forms of a description: one line of trade notation for what could be a table.

Every function is pure: text in, the table form out, as plain dicts with SI floats. What cannot be read
raises :class:`NotationError`, which says why, shows a form that is allowed, and points at the word.

>>> capacitor("2 x 100 uF 350 V in series")
{'value': 0.0001, 'in_series': 2, 'voltage': 350.0}
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from psucheck import quantity
from psucheck.quantity import QuantityError
from psucheck.supply.notation_fuse import fuse
from psucheck.supply.notation_meter import meter
from psucheck.supply.notation_parts import (
    capacitor,
    choke,
    device,
    drop,
    heater,
    resistor,
    series,
    tolerance,
    valves,
    zener,
)
from psucheck.supply.notation_relay import relay
from psucheck.supply.notation_windings import primary, tap, winding
from psucheck.supply.notation_words import NUMBER, NotationError, Table, Words, clauses, put

__all__ = [
    "NotationError",
    "capacitor",
    "choke",
    "device",
    "drop",
    "fuse",
    "heater",
    "idle",
    "meter",
    "node",
    "place",
    "primary",
    "relay",
    "resistor",
    "series",
    "tap",
    "target",
    "tolerance",
    "two_resistances",
    "valves",
    "winding",
    "zener",
]

# --- filter nodes -----------------------------------------------------------------------------------------

_NODE = "choke 10 H 110 ohm 180 mA, 50 uF 500 V, was 455 V"
_NODE_WORDS = ("choke", "was", "bleeder", "zener", "target", "from", "original", "temperature")


def node(text: str) -> Table:
    """Read a filter node: parts and facts between commas, in any order.

    ``"choke 10 H 110 ohm 180 mA, 50 uF 500 V, was 455 V"``; a resistor or a choke leads to the node, the
    capacitor stands on it. Further: ``bleeder 220k 1 W``, ``zener 300 V 10 W`` (across the node),
    ``target 440 V +-5 %``, ``from screens``, ``original 32 uF 450 V``, ``temperature 55 degC``.

    Raises
    ------
    NotationError
        If a part between commas is none of these, or is given twice.
    """
    found: Table = {}
    for words in clauses(text, _NODE):
        column = words.column
        put(found, *_node_clause(words), words, column)
    return found


def _node_clause(words: Words) -> tuple[str, object]:
    key = words.take(*_NODE_WORDS)
    if key == "was":
        return key, _only(words, "V", allow_negative=True)  # a bias node reads below chassis
    if key == "temperature":
        return key, _only(words, "degC")
    if key == "from":
        return key, _name(words)
    if key:
        readers = {
            "choke": choke,
            "bleeder": resistor,
            "zener": zener,
            "target": target,
            "original": capacitor,
        }
        return key, _part(words, readers[key])
    return _unlabelled(words)


def _unlabelled(words: Words) -> tuple[str, Table]:
    """Read the resistor that leads to a node, or the capacitor on it: neither needs a word before it."""
    if words.take("regulator", "stabiliser", "stabilizer"):
        words.fail("a regulator is not modelled")
    if re.match(r"[A-Za-z]{2}", words.word):
        words.unknown(*_NODE_WORDS)
    if words.mentions("H"):
        words.fail("a choke is written with that word before it: 'choke 10 H 110 ohm 180 mA'")
    if words.mentions("F"):
        return "capacitor", _part(words, capacitor)
    if words.mentions("ohm"):
        if words.peek(rf"{NUMBER}\s*M(?:\s|$)") and not words.mentions("W"):
            words.fail("M: megohms or microfarads? Write 1 Mohm, or 8 mfd")
        return "resistor", _part(words, resistor)
    words.count()
    words.quantity("F", "ohm")
    return words.fail("neither a resistor, a choke nor a capacitor")


def target(text: str) -> list[float]:
    """Read the voltage a node should hold: ``"440 V +-5 %"``, as volts and a share of one.

    Raises
    ------
    NotationError
        If it is not a voltage with a tolerance in per cent.
    """
    try:
        return list(quantity.read_tolerance(text, "V"))
    except QuantityError as error:
        raise NotationError(text, error.reason, "440 V +-5 %", error.column) from None


# --- loads ------------------------------------------------------------------------------------------------


def idle(text: str) -> Table:
    """Read an idle current: ``"38 mA each at the cathode"``, ``"76 mA together at the anode"``.

    It must say whether it is each valve's or that of all together. Where no electrode is named it is the
    cathode's, since that is where it is read (across a resistor from cathode to chassis).

    Raises
    ------
    NotationError
        If that is missing, or anything else is written.
    """
    words = Words(text, "38 mA each at the cathode")
    _, current = words.quantity("A")
    found: Table = {}
    while not words.done:
        column = words.column
        if words.take("each", "per valve", "per tube", "a valve", "a tube"):
            put(found, "each", True, words, column)
        elif words.take("together", "in all", "all together", "total", "in total"):
            put(found, "each", False, words, column)
        elif electrode := words.take("cathode", "anode", "plate", "cathodes", "anodes", "plates"):
            put(found, "electrode", electrode.rstrip("s").replace("plate", "anode"), words, column)
        elif not words.take("at", "the"):
            words.unknown("each", "together", "at", "the", "cathode", "anode", "plate")
    if "each" not in found:
        words.fail(f"is that each valve's, or all together? Write '{text.strip()} each' or 'together'")
    return {found.get("electrode", "cathode"): current, "each": found["each"]}


def two_resistances(text: str) -> list[float]:
    """Read an output transformer's resistances, half by half: ``"38 + 41 ohm"``; or whole, ``"79 ohm"``.

    Raises
    ------
    NotationError
        If there are more than two, or anything else is written.
    """
    words = Words(text, "38 + 41 ohm")
    found = words.sum("ohm") or [words.quantity("ohm")[1]]
    if not words.done:
        words.unknown()
    if len(found) > 2:
        words.fail("two halves at most are wanted", 0)
    return found


# --- places -----------------------------------------------------------------------------------------------

_PLACES = {
    "each winding": "each winding",
    "winding": "winding",
    **dict.fromkeys(("centre tap", "center tap", "centre-tap", "center-tap", "CT"), "centre tap"),
    "before": "before",
    "after": "after",
}


def place(text: str) -> Table:
    """Read where a fuse, switch or limiter stands.

    ``"mains"``, ``"winding ht"``, ``"each winding ht"``, ``"centre tap ht"``, ``"before reservoir"``,
    ``"after reservoir"``; the name of a winding or node is given back in lower case.

    Raises
    ------
    NotationError
        If it is no such place.
    """
    words = Words(text, "mains, winding ht, each winding ht, centre tap ht, before reservoir")
    if words.take("mains", "wall"):
        if not words.done:
            words.unknown()
        return {"kind": "mains"}
    kind = words.take(*_PLACES)
    if not kind:
        words.unknown("mains", "wall", *_PLACES)
    return {"kind": _PLACES[kind], "name": _name(words)}


# --- shared -----------------------------------------------------------------------------------------------


def _name(words: Words) -> str:
    """The name of a winding or node, which may be of several words."""
    if words.done:
        words.fail("a name is missing")
    return " ".join(words.rest().lower().split())


def _only(words: Words, unit: str, **bounds: bool) -> float:
    """One quantity and nothing after it."""
    _, value = words.quantity(unit, **bounds)
    if not words.done:
        words.unknown()
    return value


def _part(words: Words, reader: Callable[[str], Any]) -> Any:
    """Read the rest of a clause as a part of its own; errors point into the whole text."""
    column = words.column
    try:
        return reader(words.rest())
    except QuantityError as error:
        raise NotationError(words.text, error.reason, error.allowed, column + error.column) from None
