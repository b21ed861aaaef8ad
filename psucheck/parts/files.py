"""The shape of each data file, its sources aside."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import model_validator

from psucheck.parts.capacitors import CapacitorDefaults, CapacitorFamily, CapacitorRules
from psucheck.parts.mains import MainsSystem
from psucheck.parts.rectifiers import Diode, RectifierValve
from psucheck.parts.resistors import ResistorFamily, ResistorLoading
from psucheck.parts.sourced import Frozen, Sourced, by_name, entry
from psucheck.parts.tolerances import Spreads
from psucheck.parts.valves import HeaterInrush, LoadValve
from psucheck.parts.wound import ChokePart, GuideRow, InrushLimiter, Saturation, TransformerClass, WoundFacts


class RectifiersFile(Frozen):
    """rectifiers.toml."""

    valves: Annotated[dict[str, RectifierValve], by_name]


class DiodesFile(Frozen):
    """diodes.toml."""

    diodes: Annotated[dict[str, Diode], by_name]


class ValvesFile(Frozen):
    """valves.toml."""

    heater_inrush: Annotated[Sourced[HeaterInrush], entry()]
    valves: Annotated[dict[str, LoadValve], by_name]


class MainsFile(Frozen):
    """mains.toml."""

    systems: Annotated[dict[str, MainsSystem], by_name]


class CapacitorsFile(Frozen):
    """capacitors.toml."""

    rules: CapacitorRules
    default: CapacitorDefaults
    families: Annotated[dict[str, CapacitorFamily], by_name]

    @model_validator(mode="after")
    def _defaults_are_held(self) -> Self:
        loss, ripple = self.default.tan_delta_family, self.default.ripple_family
        if loss not in self.families or self.families[loss].tan_delta is None:
            raise ValueError("tan_delta_family names no family with tan_delta")
        if ripple not in self.families or self.families[ripple].ripple_multipliers is None:
            raise ValueError("ripple_family names no family with ripple_multipliers")
        return self


class ResistorsFile(Frozen):
    """resistors.toml."""

    families: Annotated[dict[str, ResistorFamily], by_name]
    loading: ResistorLoading


class TransformersFile(Frozen):
    """transformers.toml."""

    classes: Annotated[dict[str, TransformerClass], by_name]
    wound: WoundFacts
    guide: Annotated[dict[str, GuideRow], by_name]


class ChokesFile(Frozen):
    """chokes.toml."""

    saturation: Saturation
    chokes: Annotated[dict[str, ChokePart], by_name]


class LimitersFile(Frozen):
    """ntcs.toml."""

    ntcs: Annotated[dict[str, InrushLimiter], by_name]


class TolerancesFile(Frozen):
    """tolerances.toml."""

    spreads: Spreads
