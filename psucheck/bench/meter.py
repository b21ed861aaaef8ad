"""How far a meter may be off."""

from __future__ import annotations

import math

from psucheck.supply.model import Meter, Supply

USUAL = Meter(share=0.01, counts=3)
"""Where the description names none: common practice, no source."""
_MARGIN = 1e-9


def meter_of(supply: Supply) -> Meter:
    """The meter that is used on ``supply``."""
    return supply.meter or USUAL


def resolution(meter: Meter, value: float) -> float:
    """One count of the last digit where ``value`` is shown, in its own unit.

    The meter goes through ranges of two, six or whatever its counts begin with times a power of ten, and
    takes the lowest that holds the value.
    """
    if not value or not math.isfinite(value):
        return 10.0 ** math.ceil(math.log10(1.0 / meter.display))
    decades = math.ceil(math.log10(abs(value) / meter.display) - _MARGIN)
    return 10.0**decades


def error(meter: Meter, value: float) -> float:
    """By how much a reading of ``value`` may be off either way, in its own unit."""
    return meter.share * abs(value) + meter.counts * resolution(meter, value)
