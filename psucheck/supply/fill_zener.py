"""Zeners at a place: the differential resistance, where it is not given."""

from __future__ import annotations

from psucheck.supply import guesses
from psucheck.supply.assumptions import Assumption, take
from psucheck.supply.filled import FilledZener
from psucheck.supply.model import Zener


def fill_zener(key: str, zener: Zener, notes: list[Assumption]) -> FilledZener:
    """A zener and its differential resistance: a share of volts over test current, where not given."""
    ohms = zener.resistance
    if ohms is None:
        watts = zener.power if zener.power is not None else guesses.ZENER_WATTS
        amps = watts / (4 * zener.zener)
        why = f"2 % of its volts over a quarter of the current of {watts:g} W"
        usual = guesses.ZENER_SHARE.value * zener.zener / amps
        ohms = take(notes, guesses.ZENER_SHARE.assume(f"{key}.resistance", why, usual))
    return FilledZener(zener.zener, ohms)
