"""How fast a winding's copper heats when no heat leaves it, and what its windings are rated for."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from psucheck.checks.limits import Limits
from psucheck.parts import library
from psucheck.supply.model import Rectifier, Supply, Winding

PRIMARY = "primary"


@dataclass(frozen=True)
class Copper:
    """The windings' copper by their rated currents [A RMS], with the density that those are taken to mean."""

    rated: Mapping[str, float]
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

    A DC rating is taken as RMS by the maker's guide for the circuit (Hammond), one for one where none is
    held. The primary's is the power over its volts, where the power is given or every winding is rated.
    """
    wound = library().wound
    rated = {name: amps for name, winding in supply.windings.items() if (amps := _rms(supply, name, winding))}
    primary = supply.transformer.primary
    power = supply.transformer.power
    if power is None and len(rated) == len(supply.windings):
        power = sum(_volt_amperes(supply.windings[name], amps) for name, amps in rated.items())
    if power:
        rated[PRIMARY] = power / primary.voltage
    return Copper(
        rated=rated,
        density=wound.current_density.value.amps_per_square_mm,
        constant=limits.value("fault-clearing.copper"),
        zero=wound.copper_reference_celsius.value,
        start=limits.value("fault-clearing.start"),
        end=limits.value("fault-clearing.end"),
    )


def _volt_amperes(winding: Winding, amps: float) -> float:
    """What a winding takes from the core at its rating; halves that take turns, each at ``amps`` RMS."""
    return sum(winding.volts) / math.sqrt(len(winding.volts)) * amps


def _rms(supply: Supply, name: str, winding: Winding) -> float | None:
    if winding.current is None or winding.current_is == "AC":
        return winding.current
    fed = [one for one in supply.rectifiers.values() if one.winding == name and one.polarity == "positive"]
    ratios = [ratio for one in fed if (ratio := _guide(one)) is not None]
    return winding.current / (ratios[0] if ratios else 1.0)


def _guide(rectifier: Rectifier) -> float | None:
    """DC over RMS of the winding as a maker's guide has it, capacitor input."""
    name = f"{rectifier.circuit}, capacitor input"
    held = library().rectifier_guide
    return held[name].idc_over_iac.value if name in held else None
