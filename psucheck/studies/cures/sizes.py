"""The size of a resistor that is put in: loaded as is usual, and standing the volts across it."""

from __future__ import annotations

from psucheck.parts import library
from psucheck.parts.errors import NotTabulated
from psucheck.parts.preferred import at_least
from psucheck.supply.model import Resistor


def for_volts(ohms: float, volts: float) -> Resistor | None:
    """A resistor of ``ohms`` [ohm] that stands ``volts`` [V] for good; None if none that is held does."""
    usual = library().resistor_loading.usual.value
    for watts in at_least(library().preferred.resistors.watts.value, volts**2 / ohms / usual):
        try:
            stands = library().resistor_family().continuous_voltage(ohms, watts)
        except NotTabulated:
            return Resistor(value=ohms, power=watts)  # wirewound: limited by its power alone
        if stands >= volts:
            return Resistor(value=ohms, power=watts)
    return None


def for_current(ohms: float, amps: float) -> Resistor | None:
    """A resistor of ``ohms`` [ohm] that carries ``amps`` [A RMS] for good; None if none that is held does."""
    usual = library().resistor_loading.usual.value
    sizes = at_least(library().preferred.resistors.watts.value, amps**2 * ohms / usual)
    return Resistor(value=ohms, power=max(sizes[0], 1.0)) if sizes else None
