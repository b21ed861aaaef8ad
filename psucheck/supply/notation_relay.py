"""The short form of a relay's coil."""

from __future__ import annotations

from psucheck.supply.notation_words import Table, Words


def relay(text: str) -> Table:
    """Read a relay's coil: ``"12 V 360 ohm"``; the resistance may be left out.

    Raises
    ------
    NotationError
        If it is not a voltage and perhaps a resistance.
    """
    words = Words(text, "12 V 360 ohm")
    _, volts = words.quantity("V")
    found: Table = {"voltage": volts}
    if not words.done:
        found["resistance"] = words.quantity("ohm")[1]
    if not words.done:
        words.unknown()
    return found
