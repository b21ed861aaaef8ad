"""Output and small valves: heaters, limits, operating points, and the screen-to-grid amplification factor."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import model_validator

from psucheck.parts.rectifiers import Heater
from psucheck.parts.sourced import (
    Amps,
    Frozen,
    NotNegative,
    Number,
    Part,
    Positive,
    Sourced,
    Volts,
    Watts,
    entry,
)
from psucheck.parts.sourced import weakest as _weakest

RatingBasis = Literal["design-centre", "design-maximum", "absolute"]


class OperatingPoint(Frozen):
    """One valve's direct voltages to the cathode [V] and currents [A]."""

    anode_volts: Positive
    screen_volts: Positive
    grid_volts: Number
    anode_amps: Positive
    screen_amps: NotNegative

    @property
    def cathode_amps(self) -> float:
        """Anode and screen current together [A]."""
        return self.anode_amps + self.screen_amps


class SmallValvePoint(Frozen):
    """One section of a small valve: its anode current [A] and where it was stated."""

    anode_volts: Positive
    anode_amps: Positive
    screen_volts: Positive | None = None
    screen_amps: Positive | None = None
    grid_volts: Number | None = None
    cathode_ohms: Positive | None = None


class PushPullRow(Frozen):
    """A row of a push-pull AB1 operating table. Currents [A] are those of the pair."""

    bias: Literal["fixed", "cathode"]
    anode_volts: Positive
    screen_volts: Positive
    grid_volts: Number | None = None
    cathode_ohms: Positive | None = None
    """Cathode resistor common to the pair [ohm]."""
    screen_ohms: Positive | None = None
    """Screen resistor common to the pair [ohm]."""
    anode_idle_amps: Positive
    anode_full_amps: Positive
    screen_idle_amps: Positive
    screen_full_amps: Positive
    load_ohms: Positive
    """Anode to anode [ohm]."""
    power_watts: Positive

    @model_validator(mode="after")
    def _has_its_bias(self) -> Self:
        if self.bias == "fixed" and self.grid_volts is None:
            raise ValueError("a fixed-bias row needs grid_volts")
        if self.bias == "cathode" and self.cathode_ohms is None:
            raise ValueError("a cathode-bias row needs cathode_ohms")
        return self


def amplification_factor(a: OperatingPoint, b: OperatingPoint) -> float:
    """Screen-to-grid amplification factor mu from two operating points [ratio].

    The cathode current of a pentode or beam tetrode is taken to follow I = K * (Vg2/mu + Vg1)^1.5, the anode
    voltage having no part in it. With r = (Ia/Ib)^(2/3) the two points give

        Vg2a/mu + Vg1a = r * (Vg2b/mu + Vg1b)
        mu = (Vg2a - r * Vg2b) / (r * Vg1b - Vg1a)

    so the law passes through both. K follows from either point by ``three_halves_constant``. The result is an
    effective value over the span of the two points; a maker's own figure, taken at one point, may differ.

    Raises
    ------
    ValueError
        The two points do not settle mu (the same drive ratio on both electrodes), or the mu that comes out is
        not positive or leaves one of the points cut off.
    """
    r = float((a.cathode_amps / b.cathode_amps) ** (2.0 / 3.0))
    numerator = a.screen_volts - r * b.screen_volts
    denominator = r * b.grid_volts - a.grid_volts
    if abs(denominator) < 1e-9 * (abs(a.grid_volts) + abs(r * b.grid_volts)) or denominator == 0.0:
        raise ValueError("the two operating points do not settle the amplification factor")
    mu = numerator / denominator
    if mu <= 0.0 or a.screen_volts / mu + a.grid_volts <= 0.0 or b.screen_volts / mu + b.grid_volts <= 0.0:
        raise ValueError("no three-halves law passes through the two operating points")
    return mu


def three_halves_constant(point: OperatingPoint, mu: float) -> float:
    """K [A/V^1.5] of I = K * (Vg2/mu + Vg1)^1.5 through ``point``.

    Raises
    ------
    ValueError
        The point is cut off at this ``mu``.
    """
    drive = point.screen_volts / mu + point.grid_volts
    if drive <= 0.0:
        raise ValueError("the operating point is cut off at this amplification factor")
    return float(point.cathode_amps / drive**1.5)


class LoadValve(Part):
    """An output valve or a small one. Limits are per valve, or per section of a small one."""

    use: Literal["output", "small"]
    sections: Literal[1, 2] = 1
    heater: Annotated[Sourced[Heater], entry()]
    heater_in_series: Annotated[Sourced[Heater], entry()] | None = None
    """The two halves of a double heater in series."""
    anode_voltage_limit: Volts
    screen_voltage_limit: Volts | None = None
    anode_watts: Watts
    screen_watts: Watts | None = None
    screen_watts_full_signal: Watts | None = None
    cathode_current: Amps | None = None
    heater_cathode_voltage: Volts | None = None
    rating_basis: Annotated[Sourced[RatingBasis], entry("value")] | None = None
    law_points: tuple[Annotated[Sourced[OperatingPoint], entry()], ...] = ()
    """The two points through which the cathode-current law is laid, or none where two are not known."""
    push_pull: tuple[Annotated[Sourced[PushPullRow], entry()], ...] = ()
    typical: tuple[Annotated[Sourced[SmallValvePoint], entry()], ...] = ()
    usual_current: Amps | None = None
    """What one section of a small valve usually draws in an amplifier."""

    @model_validator(mode="after")
    def _two_points_or_none(self) -> Self:
        if len(self.law_points) not in (0, 2):
            raise ValueError("law_points holds two points or none")
        return self

    @property
    def mu(self) -> Sourced[float] | None:
        """Screen-to-grid amplification factor through ``law_points``.

        None where two points are not known: the user must then be told that the valve's current cannot be
        moved with the screen voltage and the bias.
        """
        if not self.law_points:
            return None
        a, b = self.law_points
        status, confidence = _weakest(a, b)
        return Sourced[float](
            value=amplification_factor(a.value, b.value),
            source=f"three-halves law through two points: {_point_text(a)}; {_point_text(b)}",
            status=status,
            confidence=confidence,
        )


def _point_text(point: Sourced[OperatingPoint]) -> str:
    at = point.value
    volts = f"{at.anode_volts:g}/{at.screen_volts:g}/{at.grid_volts:g} V"
    return f"{volts} {at.cathode_amps * 1e3:.4g} mA, {point.citation}"


class HeaterInrush(Frozen):
    """Cold heater current over running current, least and most of those measured."""

    least: Positive
    most: Positive
