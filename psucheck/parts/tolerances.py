"""How far parts may be off what is marked on them or was read."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import model_validator

from psucheck.parts.sourced import Frozen, Positive, Sourced, entry

Shape = Literal["uniform", "peaked"]
"""How likely what lies between the ends is: all alike, or least at the ends."""


class Spread(Frozen):
    """Least and greatest of a value over its nominal one [ratio]."""

    least: Positive
    most: Positive
    shape: Shape

    @model_validator(mode="after")
    def _around_nominal(self) -> Self:
        if not self.least <= 1.0 <= self.most or self.least == self.most:
            raise ValueError("least and most must lie on either side of 1")
        return self


ASpread = Annotated[Sourced[Spread], entry()]


class Spreads(Frozen):
    """What each kind of part may be off by, where the part itself does not say."""

    film_capacitor: ASpread
    esr_given: ASpread
    resistor: ASpread
    winding_volts_read: ASpread
    winding_volts_rated: ASpread
    copper: ASpread
    iron: ASpread
    valve_drop: ASpread
    silicon_drop: ASpread
    zener: ASpread
    output_valves: ASpread
    small_valves: ASpread
    full_output: ASpread
    heaters: ASpread
    mains_impedance: ASpread
    limiter: ASpread
