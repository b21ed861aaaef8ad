"""Rectifier valves and silicon diodes: ratings, and the drop point from which their law is derived."""

from __future__ import annotations

from math import sqrt
from typing import Annotated, Literal, Self

from pydantic import model_validator

from psucheck.parts.curve import Reading, check_points, interpolate
from psucheck.parts.sourced import (
    Amps,
    Farads,
    Flag,
    Frozen,
    NotNegative,
    Part,
    Positive,
    Ratio,
    Seconds,
    Sourced,
    Volts,
    entry,
    weakest,
)


class Drop(Frozen):
    """A drop point of the sheet: ``volts`` [V] across one anode path at ``amps`` [A] through it."""

    volts: Positive
    amps: Positive


class Heater(Frozen):
    """Heater ``volts`` [V] and ``amps`` [A]."""

    volts: Positive
    amps: Positive


class WarmUp(Frozen):
    """Seconds from switching on until conduction starts, and until full current flows."""

    starts_seconds: NotNegative
    full_seconds: Positive


class SourceResistance(Frozen):
    """Least resistance per anode [ohm] over the alternating voltage per anode [V RMS].

    Without voltages a single resistance is stated that holds at any voltage.
    """

    volts: tuple[Positive, ...] = ()
    ohms: tuple[Positive, ...]

    @model_validator(mode="after")
    def _readable(self) -> Self:
        if self.volts:
            check_points(self.volts, self.ohms)
        elif len(self.ohms) != 1:
            raise ValueError("several resistances need their voltages")
        return self


class MeanCurrentByVoltage(Frozen):
    """Greatest mean current [A] of the whole valve over the alternating voltage per anode [V RMS]."""

    volts: tuple[Positive, ...]
    amps: tuple[Positive, ...]

    @model_validator(mode="after")
    def _readable(self) -> Self:
        check_points(self.volts, self.amps)
        return self


class RectifierValve(Part):
    """A double-anode rectifier valve with one cathode, or with two cathodes that are used joined."""

    kind: Literal["valve"] = "valve"
    anodes: Literal[2] = 2
    cathode: Annotated[Sourced[Literal["direct", "indirect"]], entry("value")]
    cathode_on_heater: Flag | None = None
    """Whether the cathode is tied to the heater inside the valve, so that it needs a winding of its own."""
    heater: Annotated[Sourced[Heater], entry()]
    drop: Annotated[Sourced[Drop], entry()] | None = None
    published_perveance: Annotated[Sourced[Positive], entry("amps_per_volt_1_5")] | None = None
    """Perveance [A/V^1.5] as printed somewhere, for a valve whose drop point is not known."""
    reverse_voltage: Volts
    """Peak inverse voltage per anode, capacitor input."""
    reverse_voltage_choke_input: Volts | None = None
    peak_current: Amps
    """Steady repetitive peak per anode."""
    transient_current: Amps | None = None
    """Peak per anode when switched on with the cathode hot."""
    mean_current: Amps
    """Direct current of the whole valve, capacitor input."""
    mean_current_choke_input: Amps | None = None
    mean_current_table: Annotated[Sourced[MeanCurrentByVoltage], entry()] | None = None
    anode_voltage: Volts | None = None
    """Greatest alternating voltage per anode [V RMS]."""
    first_capacitor: Farads | None = None
    source_resistance: Annotated[Sourced[SourceResistance], entry()] | None = None
    heater_cathode_voltage: Volts | None = None
    warm_up: Annotated[Sourced[WarmUp], entry()] | None = None

    @model_validator(mode="after")
    def _has_a_law(self) -> Self:
        if self.drop is None and self.published_perveance is None:
            raise ValueError("neither a drop point nor a perveance is given")
        return self

    @property
    def perveance(self) -> Sourced[float]:
        """K of the three-halves law I = K * V^1.5 of one anode [A/V^1.5].

        From the sheet's drop point, K = I / V^1.5 (the Child-Langmuir law), or as published where no drop
        point is known. It is never fitted to anything else.
        """
        if self.drop is None:
            assert self.published_perveance is not None  # _has_a_law
            return self.published_perveance
        status, confidence = weakest(self.drop)
        point = self.drop.value
        return Sourced[float](
            value=point.amps / point.volts**1.5,
            source=f"three-halves law, {point.volts:g} V at {point.amps * 1e3:g} mA, {self.drop.citation}",
            status=status,
            confidence=confidence,
            note=self.drop.note,
        )

    def minimum_source_resistance(self, volts_rms: float) -> Reading | None:
        """Least resistance in series with each anode [ohm] at ``volts_rms`` per anode [V RMS].

        Read by straight lines between the sheet's points; outside them the end's value, and ``outside`` says
        so (above the table that is too little). None where no table is held.
        """
        if self.source_resistance is None:
            return None
        table = self.source_resistance.value
        if not table.volts:
            return Reading(table.ohms[0], None)
        return interpolate(table.volts, table.ohms, volts_rms)

    def mean_current_limit(self, volts_rms: float) -> Reading:
        """Greatest mean current [A] with capacitor input at ``volts_rms`` per anode [V RMS]."""
        if self.mean_current_table is None:
            return Reading(self.mean_current.value, None)
        table = self.mean_current_table.value
        return interpolate(table.volts, table.amps, volts_rms)


class Surge(Frozen):
    """One half sine of ``amps`` [A] peak lasting ``seconds`` [s], not repeated."""

    amps: Positive
    seconds: Positive


class Diode(Part):
    """A silicon rectifier diode. ``drop`` is the sheet's greatest forward voltage."""

    kind: Literal["silicon"] = "silicon"
    reverse_voltage: Volts
    mean_current: Amps
    capacitive_load_factor: Ratio | None = None
    """By what the mean current is multiplied with a capacitive load."""
    surge: Annotated[Sourced[Surge], entry()]
    drop: Annotated[Sourced[Drop], entry()]
    recovery: Seconds | None = None

    def surge_current(self, half_cycle: float) -> float:
        """Greatest peak of one half sine [A] lasting ``half_cycle`` [s].

        The sheets state 8.3 ms, half a cycle of 60 Hz. For another length the same I^2 t is allowed:
        I = I0 * sqrt(t0 / t). That is derived, not published; it holds near the stated length only.

        Raises
        ------
        ValueError
            ``half_cycle`` is not between 5 ms and 20 ms.
        """
        if not 5e-3 <= half_cycle <= 20e-3:
            raise ValueError("the equal I^2 t scaling is used between 5 ms and 20 ms only")
        return self.surge.value.amps * sqrt(self.surge.value.seconds / half_cycle)
