"""Mains systems: what may stand at the socket, and the impedance behind it."""

from __future__ import annotations

from math import hypot, pi
from typing import Annotated, Self

from pydantic import model_validator

from psucheck.parts.sourced import Frozen, NotNegative, Part, Positive, Sourced, entry


class MainsVoltage(Frozen):
    """Nominal voltage and the ends of its range [V RMS]."""

    nominal: Positive
    low: Positive
    high: Positive

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if not self.low < self.nominal < self.high:
            raise ValueError("low, nominal and high must rise")
        return self


class Frequencies(Frozen):
    """Frequencies in use [Hz]."""

    hertz: tuple[Positive, ...]


class SupplyImpedance(Frozen):
    """Loop resistance [ohm], and reactance [ohm] at ``hertz`` [Hz]."""

    ohms: NotNegative
    reactance_ohms: NotNegative
    hertz: Positive

    @property
    def magnitude(self) -> float:
        """Impedance of the loop [ohm], at ``hertz``."""
        return hypot(self.ohms, self.reactance_ohms)

    @property
    def henries(self) -> float:
        """Inductance of the loop [H]."""
        return self.reactance_ohms / (2.0 * pi * self.hertz)


class MainsSystem(Part):
    """A country's mains, or a former one."""

    voltage: Annotated[Sourced[MainsVoltage], entry()]
    frequencies: Annotated[Sourced[Frequencies], entry()]
    impedance: Annotated[Sourced[SupplyImpedance], entry()]

    @property
    def frequency(self) -> float | None:
        """The frequency [Hz]; None where two are in use and the description has to say which."""
        hertz = self.frequencies.value.hertz
        return hertz[0] if len(hertz) == 1 else None
