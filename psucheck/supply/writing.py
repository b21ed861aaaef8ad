"""Parts written in the trade's notation, as a description would hold them."""

from __future__ import annotations

import re

from psucheck import quantity
from psucheck.supply.model import Capacitor, Choke, Fuse, Resistor

_DIGITS = 6
_HOUR = 3600.0
_EVEN = (-0.2, 0.2)
_WORDS = {"T": "slow", "F": "fast"}


def show(value: float, unit: str) -> str:
    """A quantity with all its digits; ohms as the trade writes them: ``10k``, ``2.2M``, ``470 ohm``."""
    if unit == "s" and value >= _HOUR:
        return f"{value / _HOUR:g} h"
    said = quantity.show(value, unit, _DIGITS)
    return re.sub(r" ([kM])ohm$", r"\1", said)


def resistor(part: Resistor) -> str:
    """``"10k 1 W"``, with its voltage limit if it has one."""
    value = show(part.value, "ohm")
    if value.endswith("M"):
        value = value[:-1] + " Mohm"  # 8 M alone could be microfarads
    watts = [] if part.power is None else [show(part.power, "W")]
    volts = [] if part.voltage is None else [show(part.voltage, "V")]
    return " ".join([value, *watts, *volts])


def capacitor(part: Capacitor) -> str:
    """``"50 uF 500 V"``, ``"2 x 100 uF 350 V in series with 220k 1 W each"``, with its ratings.

    Sections of one can are written as the sum that they amount to.
    """
    said = show(part.value, "F")
    if part.voltage is not None:
        said += f" {show(part.voltage, 'V')}"
    if part.in_series > 1:
        said = f"{part.in_series} x {said} in series"
    if part.balancing is not None:
        said += f" with {resistor(part.balancing)} each"
    details = (("ESR", part.esr, "ohm"), ("ripple", part.ripple_current, "A"),
               ("surge", part.surge_voltage, "V"), ("life", part.life, "s"))  # fmt: skip
    for word, value, unit in details:
        if value is not None:
            said += f" {word} {quantity.show(value, unit, _DIGITS) if unit == 'ohm' else show(value, unit)}"
    if part.temperature is not None:
        said += f" {show(part.temperature, 'degC')}"
    if part.tolerance != _EVEN:
        low, high = part.tolerance
        said += f" -{abs(low) * 100:g}/+{high * 100:g} %"
    return said


def choke(part: Choke) -> str:
    """``"choke 10 H 110 ohm 180 mA"``."""
    henries = [] if part.inductance is None else [show(part.inductance, "H")]
    amps = [] if part.current is None else [show(part.current, "A")]
    return " ".join(["choke", *henries, quantity.show(part.resistance, "ohm", _DIGITS), *amps])


def fuse(part: Fuse) -> str:
    """The marking of a fuse: ``"T2AL250V"``, ``"UL slow 2 A 250 V"``.

    What else its maker says of it is left out: it does not hold for another value.
    """
    amps = show(part.current, "A")
    volts = "" if part.voltage is None else f"{part.voltage:g}V"
    direct = "" if part.dc_voltage is None else f" {part.dc_voltage:g}VDC"
    if part.standard == "UL":
        return " ".join(["UL", _WORDS[part.speed], amps, *([volts] if volts else [])]) + direct
    return f"{part.speed}{amps.replace(' ', '')}{part.breaking or ''}{volts}{direct}"
