"""Transformers, chokes and inrush limiters: what is held to start from where the user's part has no sheet."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import model_validator

from psucheck.parts.curve import check_points
from psucheck.parts.sourced import (
    Amps,
    Frozen,
    Henries,
    Joules,
    Number,
    Ohms,
    Part,
    Positive,
    Ratio,
    Seconds,
    Sourced,
    Volts,
    entry,
)


class Span(Frozen):
    """A least and a greatest value, in the unit of the field that holds it."""

    least: Positive
    most: Positive


SpanValue = Annotated[Sourced[Span], entry()]
Celsius = Annotated[Sourced[Number], entry("celsius")]


class TransformerClass(Part):
    """Usual ranges for transformers of one class of amplifier: guesses, to be replaced by measurement."""

    half_volts: SpanValue
    """Each half of the HT winding [V RMS]."""
    half_amps: SpanValue
    """Direct current that it feeds [A]."""
    half_ohms: SpanValue
    primary_ohms_230_volts: SpanValue
    primary_ohms_120_volts: SpanValue
    regulation: SpanValue


class RegulationByRating(Frozen):
    """Regulation [ratio] by rated power [VA]."""

    volt_amperes: tuple[Positive, ...]
    ratio: tuple[Positive, ...]

    @model_validator(mode="after")
    def _readable(self) -> Self:
        check_points(self.volt_amperes, self.ratio)
        return self


class NoLoad(Frozen):
    """No-load current [A] and power [W] of one transformer [VA] at a voltage [V]."""

    volt_amperes: Positive
    no_load_amps: Positive
    no_load_watts: Positive
    at_volts: Positive


class CurrentDensity(Frozen):
    """Current density of the copper [A/mm^2]: usual, least and most."""

    amps_per_square_mm: Positive
    least: Positive
    most: Positive


class WoundFacts(Frozen):
    """What holds for transformers in general."""

    usual_regulation: Ratio
    regulation_measured: Annotated[Sourced[RegulationByRating], entry()]
    leakage_laminated: Ratio
    leakage_toroidal: Ratio
    no_load_toroidal: Annotated[Sourced[NoLoad], entry()]
    copper_reference_celsius: Celsius
    class_a_celsius: Celsius
    current_density: Annotated[Sourced[CurrentDensity], entry()]


class GuideRow(Part):
    """A maker's ratio of direct current to rated secondary current for one circuit."""

    idc_over_iac: Ratio


class ChokePart(Part):
    """A smoothing choke."""

    inductance: Henries
    """At the rated current."""
    rated_current: Amps
    resistance: Ohms
    direct_voltage: Volts


class Saturation(Frozen):
    """How a choke of unknown core saturates."""

    knee_over_rated: Ratio
    beyond_knee: Ratio
    tolerance: Ratio


class HotResistance(Frozen):
    """Resistance [ohm] at a steady current [A]."""

    amps: tuple[Positive, ...]
    ohms: tuple[Positive, ...]

    @model_validator(mode="after")
    def _readable(self) -> Self:
        check_points(self.amps, self.ohms)
        return self


class RelativeResistance(Frozen):
    """Resistance over that at 25 C, by temperature [C]."""

    celsius: tuple[Number, ...]
    ratio: tuple[Positive, ...]

    @model_validator(mode="after")
    def _readable(self) -> Self:
        check_points(self.celsius, self.ratio)
        return self


class InrushLimiter(Part):
    """A thermistor (NTC) in the primary."""

    cold_resistance: Ohms
    rated_current: Amps
    energy: Joules | None = None
    beta: Annotated[Sourced[Positive], entry("kelvin")]
    dissipation: Annotated[Sourced[Positive], entry("watts_per_kelvin")]
    time_constant: Seconds
    hot: Annotated[Sourced[HotResistance], entry()]
    relative_resistance: Annotated[Sourced[RelativeResistance], entry()] | None = None
