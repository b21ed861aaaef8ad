"""Aluminium electrolytic capacitors: what holds for all of them, and what holds for a family."""

from __future__ import annotations

from math import pi
from typing import Annotated, NamedTuple, Self

from pydantic import model_validator

from psucheck.parts.curve import Reading, check_points, interpolate, interpolate_log
from psucheck.parts.sourced import (
    Frozen,
    NotNegative,
    Number,
    Part,
    Positive,
    Ratio,
    Seconds,
    Sourced,
    Text,
    Volts,
)
from psucheck.parts.sourced import entry as _entry


class SurgeStep(Frozen):
    """Surge voltage over rated voltage [ratio], for rated voltages up to ``up_to_volts`` [V]."""

    up_to_volts: Positive
    ratio: Positive


class LeakageRule(Frozen):
    """Leakage current [A] = per_farad_volt * C * U + plus_amps."""

    per_farad_volt: Positive
    plus_amps: NotNegative


class Tolerance(Frozen):
    """How far the capacitance may be below and above its marking [ratio]."""

    minus: Positive
    plus: Positive


class LifeVoltage(Frozen):
    """Life multiplier = constant - per_ratio * working voltage / rated voltage."""

    constant: Positive
    per_ratio: Positive


class Span(Frozen):
    """A least and a greatest value [ratio]."""

    least: Positive
    most: Positive


class CapacitorRules(Frozen):
    """What holds for aluminium electrolytics of any family."""

    surge_low: Annotated[Sourced[SurgeStep], _entry()]
    surge_high: Ratio
    surge_seconds: Seconds
    leakage: Annotated[Sourced[LeakageRule], _entry()]
    tolerance: Annotated[Sourced[Tolerance], _entry()]
    tolerance_vintage: Annotated[Sourced[Tolerance], _entry()]
    reverse_voltage: Volts
    peak_within_rating: Text
    usual_voltage: Ratio
    life_doubles_kelvin: Annotated[Sourced[Positive], _entry("kelvin")]
    life_voltage: Annotated[Sourced[LifeVoltage], _entry()]
    life_cap_years: Annotated[Sourced[Positive], _entry("years")]
    esr_of_good_parts: Annotated[Sourced[Span], _entry()]

    def surge_ratio(self, rated_voltage: float) -> Sourced[float]:
        """Surge voltage over ``rated_voltage`` [V] [ratio], IEC 60384-4."""
        if rated_voltage > self.surge_low.value.up_to_volts:
            return self.surge_high
        low = self.surge_low
        return Sourced[float](
            value=low.value.ratio,
            source=low.source,
            status=low.status,
            confidence=low.confidence,
            note=low.note,
        )

    def leakage_current(self, capacitance: float, voltage: float) -> float:
        """Greatest leakage current [A] of ``capacitance`` [F] at ``voltage`` [V], after five minutes."""
        rule = self.leakage.value
        return rule.per_farad_volt * capacitance * voltage + rule.plus_amps


class Life(Frozen):
    """``hours`` [h] at ``celsius`` [C]."""

    hours: Positive
    celsius: Number


class TanDelta(Frozen):
    """Greatest loss factor at ``hertz`` [Hz] by rated voltage [V]."""

    hertz: Positive
    volts: tuple[Positive, ...]
    tan_delta: tuple[Positive, ...]

    @model_validator(mode="after")
    def _readable(self) -> Self:
        check_points(self.volts, self.tan_delta)
        return self


class RippleMultipliers(Frozen):
    """By what the rated ripple current may be multiplied at ``hertz`` [Hz]; 1 at ``base_hertz`` [Hz]."""

    base_hertz: Positive
    hertz: tuple[Positive, ...]
    ratio: tuple[Positive, ...]

    @model_validator(mode="after")
    def _readable(self) -> Self:
        check_points(self.hertz, self.ratio)
        return self


class SurgeByVoltage(Frozen):
    """Surge ratio by rated voltage [V]: each holds up to the next."""

    volts: tuple[Positive, ...]
    ratio: tuple[Positive, ...]

    @model_validator(mode="after")
    def _readable(self) -> Self:
        check_points(self.volts, self.ratio)
        return self


class Resistance(NamedTuple):
    """An equivalent series resistance [ohm], and the loss factor behind it."""

    ohms: float
    tan_delta: Reading


class CapacitorFamily(Part):
    """A family of electrolytic capacitors."""

    rated_to: Volts
    life: Annotated[Sourced[Life], _entry()] | None = None
    """Endurance, with rated ripple current."""
    useful_life: Annotated[Sourced[Life], _entry()] | None = None
    tan_delta: Annotated[Sourced[TanDelta], _entry()] | None = None
    ripple_multipliers: Annotated[Sourced[RippleMultipliers], _entry()] | None = None
    surge_ratio: Annotated[Sourced[SurgeByVoltage], _entry()] | None = None

    def esr(self, capacitance: float, rated_voltage: float) -> Resistance | None:
        """Greatest equivalent series resistance at 20 C, tan(delta) / (2 pi f C).

        ``capacitance`` [F], ``rated_voltage`` [V]. None where the family's loss factor is not held. Between
        two rated voltages of the table a straight line, outside it the end's value.
        """
        if self.tan_delta is None:
            return None
        table = self.tan_delta.value
        loss = interpolate(table.volts, table.tan_delta, rated_voltage)
        return Resistance(loss.value / (2.0 * pi * table.hertz * capacitance), loss)

    def ripple_multiplier(self, hertz: float) -> Reading | None:
        """Multiplier of the rated ripple current at ``hertz`` [Hz], read over the logarithm of frequency."""
        if self.ripple_multipliers is None:
            return None
        table = self.ripple_multipliers.value
        return interpolate_log(table.hertz, table.ratio, hertz)


class CapacitorDefaults(Frozen):
    """Which families stand in for a capacitor of which nothing but value and voltage is known."""

    tan_delta_family: str
    ripple_family: str
