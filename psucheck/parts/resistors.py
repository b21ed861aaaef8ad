"""Resistors: greatest working voltage by rated watts, and how far they are loaded in practice."""

from __future__ import annotations

from math import inf, sqrt
from typing import Annotated, Self

from pydantic import model_validator

from psucheck.parts.curve import check_points
from psucheck.parts.errors import NotTabulated
from psucheck.parts.sourced import Flag, Frozen, Number, Part, Positive, Ratio, Sourced, entry


class WorkingVoltage(Frozen):
    """Greatest working voltage [V] by rated power [W]."""

    watts: tuple[Positive, ...]
    volts: tuple[Positive, ...]

    @model_validator(mode="after")
    def _readable(self) -> Self:
        check_points(self.watts, self.volts)
        return self


class ResistorFamily(Part):
    """A kind of resistor; one that is limited by its power alone has no working voltage."""

    working_voltage: Annotated[Sourced[WorkingVoltage], entry()] | None = None
    unlimited: Flag | None = None

    @model_validator(mode="after")
    def _one_of_both(self) -> Self:
        if (self.working_voltage is None) == (self.unlimited is None):
            raise ValueError("either a working voltage or unlimited")
        return self

    def voltage_rating(self, watts: float) -> Sourced[float] | None:
        """Greatest working voltage [V] of a resistor rated ``watts`` [W]; None where only power limits it.

        A power between two rows takes the row below.

        Raises
        ------
        NotTabulated
            The power is outside the table. Above its top a resistor is likely wirewound: say so and ask.
        """
        if self.working_voltage is None:
            return None
        table = self.working_voltage
        rows = [pair for pair in zip(table.value.watts, table.value.volts, strict=True) if pair[0] <= watts]
        if not rows or watts > table.value.watts[-1]:
            raise NotTabulated(f"no working voltage is held for {watts:g} W, {self.name}")
        return Sourced[float](
            value=rows[-1][1],
            source=table.source,
            status=table.status,
            confidence=table.confidence,
            note=table.note,
        )

    def continuous_voltage(self, ohms: float, watts: float) -> float:
        """Lasting voltage limit [V] of ``ohms`` [ohm] rated ``watts`` [W]: min(sqrt(P R), working voltage).

        Raises
        ------
        NotTabulated
            As ``voltage_rating``.
        """
        rating = self.voltage_rating(watts)
        return min(sqrt(watts * ohms), rating.value if rating is not None else inf)


class ResistorLoading(Frozen):
    """How far a resistor is loaded."""

    guide: Ratio
    usual: Ratio
    film_full_power_celsius: Annotated[Sourced[Number], entry("celsius")]
    film_no_power_celsius: Annotated[Sourced[Number], entry("celsius")]
