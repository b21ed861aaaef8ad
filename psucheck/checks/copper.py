"""How fast a winding's copper heats when no heat leaves it, and what its windings are rated for."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from psucheck.checks.limits import Limits
from psucheck.parts import library
from psucheck.supply.model import Supply
from psucheck.supply.winding_ratings import rated_rms, volt_amperes

PRIMARY = "primary"


@dataclass(frozen=True)
class Copper:
    """The windings' copper by their rated currents [A RMS], with the density that those are taken to mean.

    ``at_least``: of windings whose rating is not known, what it cannot lie below.
    """

    rated: Mapping[str, float]
    at_least: Mapping[str, float]
    density: float
    constant: float
    zero: float
    start: float
    end: float

    @property
    def span(self) -> float:
        """ln((end + 234.5)/(start + 234.5)): the heating from a warm winding to its end."""
        return math.log((self.end + self.zero) / (self.start + self.zero))

    def seconds(self, winding: str, amps: float) -> float:
        """Time to the end temperature [s], no heat leaving: (226/J)^2 ln(434.5/309.5)."""
        per_square_mm = self.density * amps / self.rated[winding]
        return (self.constant / per_square_mm) ** 2 * self.span

    def celsius(self, spent: float) -> float:
        """Temperature [degC] once a share ``spent`` of the heating to the end has gone in."""
        return (self.start + self.zero) * math.exp(min(spent, 1.0) * self.span) - self.zero


def copper_of(supply: Supply, limits: Limits) -> Copper:
    """The copper of a supply's windings, those whose rated current is known.

    A DC rating is taken as RMS by the maker's guide for the circuit (Hammond). The primary's is the power
    over its volts, where the power is given or every winding is rated; where only some are, it is that at
    least which they take together.
    """
    wound = library().wound
    rated = {name: amps for name in supply.windings if (amps := rated_rms(supply, name))}
    power = supply.transformer.power
    known = sum(volt_amperes(supply, name, amps) for name, amps in rated.items())
    if power is None and len(rated) == len(supply.windings):
        power = known
    at_least = {}
    if power:
        rated[PRIMARY] = power / supply.transformer.primary.voltage
    elif known:
        at_least[PRIMARY] = known / supply.transformer.primary.voltage
    return Copper(
        rated=rated,
        at_least=at_least,
        density=wound.current_density.value.amps_per_square_mm,
        constant=limits.value("fault-clearing.copper"),
        zero=wound.copper_reference_celsius.value,
        start=limits.value("fault-clearing.start"),
        end=limits.value("fault-clearing.end"),
    )
