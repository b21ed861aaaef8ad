"""Inrush limiters: the constants of an NTC, from the library or from its resistance cold and hot."""

from __future__ import annotations

import math

from psucheck.parts import library
from psucheck.supply import guesses
from psucheck.supply.assumptions import Assumption, take
from psucheck.supply.filled import FilledLimiter
from psucheck.supply.model import Limiter

ROOM_KELVIN = 298.15
"""Temperature at which the cold resistance is stated, and of the air around."""


def fill_limiter(key: str, limiter: Limiter, notes: list[Assumption]) -> FilledLimiter:
    """The constants of R(T) = R25 exp(B (1/T - 1/T25)) and of its cooling P = D (T - T25).

    Of a limiter described by its resistances, the temperature follows from hot over cold by the first law,
    and the dissipation D from I^2 R at that temperature by the second; B is the usual one.

    Raises
    ------
    UnknownPart
        If its type is not in the library.
    """
    if limiter.type is not None:
        part = library().ntc(limiter.type)
        lost = part.dissipation.value
        return FilledLimiter(
            cold=part.cold_resistance.value,
            beta=part.beta.value,
            dissipation=lost,
            capacity=lost * part.time_constant.value,
            hot=part.hot.value.ohms[-1],
        )
    assert limiter.cold is not None  # the model asks for all three
    assert limiter.hot is not None
    assert limiter.current is not None
    beta = take(notes, guesses.NTC_BETA.assume(f"{key}.beta", "not given"))
    kelvin = 1.0 / (1.0 / ROOM_KELVIN + math.log(limiter.hot / limiter.cold) / beta)
    dissipation = limiter.current**2 * limiter.hot / (kelvin - ROOM_KELVIN)
    seconds = limiter.time_constant
    if seconds is None:
        seconds = take(notes, guesses.NTC_SECONDS.assume(f"{key}.time_constant", "not given"))
    return FilledLimiter(limiter.cold, beta, dissipation, dissipation * seconds, limiter.hot)
