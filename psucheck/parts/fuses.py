"""Miniature fuses: the gates of the standards, breaking capacity, melting I^2 t, loading and pulse life."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import model_validator

from psucheck.parts.curve import Reading, check_points, power_law
from psucheck.parts.errors import NotTabulated
from psucheck.parts.fuse_gates import Breaking, Gate, GateTable, gate
from psucheck.parts.sourced import Frozen, NotNegative, Positive, Ratio, Sourced, by_name, entry

IecSpeed = Literal["F", "T"]
UlSpeed = Literal["fast", "slow"]
_SHEETS: dict[tuple[str, str], int] = {("F", "H"): 1, ("F", "L"): 2, ("T", "L"): 3, ("T", "H"): 5}


class Breaks(Frozen):
    """Breaking capacity: the larger of ``amps`` [A] and ``times_rated`` times the rated current."""

    amps: Positive
    times_rated: NotNegative = 0.0


class IecBreaking(Frozen):
    """Breaking capacity at 250 V AC by the letter of the marking."""

    L: Annotated[Sourced[Breaks], entry()]
    E: Annotated[Sourced[Breaks], entry()]
    H: Annotated[Sourced[Breaks], entry()]


class BreaksByRating(Frozen):
    """Breaking capacity [A] by the upper end of a range of rated currents [A]."""

    up_to_amps: tuple[Positive, ...]
    breaking_amps: tuple[Positive, ...]

    @model_validator(mode="after")
    def _readable(self) -> Self:
        check_points(self.up_to_amps, self.breaking_amps)
        return self


class UlBreaking(Frozen):
    """Interrupting rating of UL fuses."""

    at_125_volts: Annotated[Sourced[Positive], entry("amps")]
    at_250_volts: Annotated[Sourced[BreaksByRating], entry()]


class Melting(Frozen):
    """Melting I^2 t [A^2 s] by rated current [A], typical or nominal; ``below_10_ms`` for shorter pulses."""

    amps: tuple[Positive, ...]
    melting_i2t: tuple[Positive, ...]
    below_10_ms: tuple[Positive, ...] | None = None

    @model_validator(mode="after")
    def _readable(self) -> Self:
        check_points(self.amps, self.melting_i2t)
        if self.below_10_ms is not None:
            check_points(self.amps, self.below_10_ms)
        return self


class Series(Frozen):
    """A maker's series."""

    name: str
    speed: Literal["F", "T", "fast", "slow"]
    breaking: Breaking | None = None
    melting: Annotated[Sourced[Melting], entry()]


class ColdResistance(Frozen):
    """Cold resistance [ohm] by rated current [A]."""

    amps: tuple[Positive, ...]
    ohms: tuple[Positive, ...]

    @model_validator(mode="after")
    def _readable(self) -> Self:
        check_points(self.amps, self.ohms)
        return self


class DirectRating(Frozen):
    """Voltages that a maker states for a 5x20 mm part [V], and for which rated currents [A]."""

    alternating_volts: Positive
    direct_volts: Positive
    from_amps: Positive | None = None
    to_amps: Positive | None = None
    breaking_amps: Positive | None = None


class DirectSeries(Frozen):
    """A series with a rating for direct voltage."""

    name: str
    rated: Annotated[Sourced[DirectRating], entry()]


class Loading(Frozen):
    """What share of its rating a fuse may carry for good."""

    ul_continuous: Ratio
    iec_continuous: Ratio
    iec_usual: Ratio
    ambient_per_kelvin: Ratio


class Withstand(Frozen):
    """Share of the nominal melting I^2 t that a fuse stands, by the number of pulses."""

    pulses: tuple[Positive, ...]
    share: tuple[Positive, ...]

    @model_validator(mode="after")
    def _readable(self) -> Self:
        check_points(self.pulses, self.share)
        return self


class Pulses(Frozen):
    """Pulse life."""

    withstand: Annotated[Sourced[Withstand], entry()]
    short_spike_factor: Ratio


class PreferredRatings(Frozen):
    """Preferred rated currents [A]."""

    amps: tuple[Positive, ...]


class ColourBands(Frozen):
    """Colours of the bands: by digit, from nought on, and by the letter of the speed."""

    digits: tuple[str, ...]
    FF: str
    F: str
    M: str
    T: str
    TT: str

    @model_validator(mode="after")
    def _ten(self) -> Self:
        if len(set(self.digits)) != 10:
            raise ValueError("ten digits have ten colours")
        return self

    @property
    def speeds(self) -> dict[str, str]:
        """Letter of the speed -> colour of the fourth band."""
        return {"FF": self.FF, "F": self.F, "M": self.M, "T": self.T, "TT": self.TT}


class Fuses(Frozen):
    """Everything that is held about fuses."""

    preferred_ratings: Annotated[Sourced[PreferredRatings], entry()]
    """R10, of IEC fuses."""
    intermediate_ratings: Annotated[Sourced[PreferredRatings], entry()]
    """R20 between them, which IEC 60127-2 allows."""
    ul_ratings: Annotated[Sourced[PreferredRatings], entry()]
    colour_bands: Annotated[Sourced[ColourBands], entry()]
    iec_gates: tuple[GateTable, ...]
    ul_gates: tuple[GateTable, ...]
    iec_breaking: IecBreaking
    ul_breaking: UlBreaking
    series: Annotated[dict[str, Series], by_name]
    cold_resistance: Annotated[Sourced[ColdResistance], entry()]
    dc_series: Annotated[dict[str, DirectSeries], by_name]
    loading: Loading
    pulses: Pulses

    def sheet(self, speed: IecSpeed, breaking: Breaking) -> int:
        """Number of the IEC 60127-2 sheet for a marking's letters.

        Raises
        ------
        NotTabulated
            No sheet is held for the letters (E).
        """
        try:
            return _SHEETS[speed, breaking]
        except KeyError:
            raise NotTabulated(f"no IEC 60127-2 sheet is held for {speed} with {breaking}") from None

    def iec_gate(self, sheet: int, rated_current: float) -> Gate:
        """IEC 60127-2 gate of ``sheet`` for ``rated_current`` [A].

        A rating that stands between two rows of the sheet takes the wider of both at every point.

        Raises
        ------
        NotTabulated
            The sheet is not held, or the rating is outside it.
        """
        tables = [table for table in self.iec_gates if table.sheet == sheet]
        return gate(tables, rated_current, f"IEC 60127-2 sheet {sheet}")

    def ul_gate(self, speed: UlSpeed, rated_current: float) -> Gate:
        """UL/CSA 248-14 gate for ``rated_current`` [A].

        Raises
        ------
        NotTabulated
            The rating is above 30 A.
        """
        tables = [table for table in self.ul_gates if table.speed == speed]
        return gate(tables, rated_current, f"UL 248-14 {speed}")

    def guaranteed_melting_i2t(
        self, speed: IecSpeed, breaking: Breaking, rated_current: float
    ) -> float | None:
        """Least melting I^2 t [A^2 s] that the IEC gate warrants; see ``Gate.guaranteed_melting_i2t``.

        Raises
        ------
        NotTabulated
            No gate is held for the letters or the rating.
        """
        return self.iec_gate(self.sheet(speed, breaking), rated_current).guaranteed_melting_i2t

    def breaking_capacity(self, breaking: Breaking, rated_current: float) -> float:
        """Breaking capacity of an IEC fuse at 250 V AC [A] by its letter."""
        held: Sourced[Breaks] = getattr(self.iec_breaking, breaking)
        return max(held.value.amps, held.value.times_rated * rated_current)

    def ul_breaking_capacity(self, rated_current: float, volts: float) -> float:
        """Interrupting rating of a UL fuse [A] at an alternating voltage [V].

        Raises
        ------
        NotTabulated
            Above 250 V, or above 30 A.
        """
        if volts <= 125.0:
            return self.ul_breaking.at_125_volts.value
        table = self.ul_breaking.at_250_volts.value
        if volts > 250.0 or rated_current > table.up_to_amps[-1]:
            raise NotTabulated(f"no interrupting rating is held for {rated_current:g} A at {volts:g} V AC")
        pairs = zip(table.up_to_amps, table.breaking_amps, strict=True)
        return next(breaks for upper, breaks in pairs if rated_current <= upper)

    def melting_i2t(self, series: str, rated_current: float, *, short_pulse: bool = False) -> Sourced[float]:
        """Melting I^2 t [A^2 s] that the maker of ``series`` prints for ``rated_current`` [A].

        Parameters
        ----------
        series : str
            Maker and series, e.g. "Eaton S505"; case is no matter.
        rated_current : float
            A rating that the maker's table lists; nothing is read between ratings.
        short_pulse : bool
            Whether the value for pulses below 10 ms is wanted where the maker gives one.

        Raises
        ------
        NotTabulated
            The series is not held, or does not list the rating.
        """
        folded = {name.casefold(): one for name, one in self.series.items()}
        held = folded.get(series.strip().casefold())
        if held is None:
            names = ", ".join(self.series)
            raise NotTabulated(f"no melting I2t is held for {series!r}; held: {names}")
        table = held.melting.value
        short = short_pulse and table.below_10_ms is not None
        column = table.below_10_ms if short and table.below_10_ms is not None else table.melting_i2t
        for amps, i2t in zip(table.amps, column, strict=True):
            if abs(amps - rated_current) < 1e-6 * amps:
                note = "pulses below 10 ms" if short else held.melting.note
                origin = held.melting
                return Sourced[float](
                    value=i2t,
                    source=origin.source,
                    status=origin.status,
                    confidence=origin.confidence,
                    note=note,
                )
        raise NotTabulated(f"{held.name} lists no melting I2t for {rated_current:g} A")

    def typical_cold_resistance(self, rated_current: float) -> Reading:
        """Cold resistance of a 5x20 mm fuse [ohm], a power law through one maker's three ratings.

        Derived and rough: between ratings, and beyond them (``outside``), only the order of size is meant.
        """
        table = self.cold_resistance.value
        return power_law(table.amps, table.ohms, rated_current)

    def pulse_share(self, pulses: float) -> float:
        """Share of the nominal melting I^2 t that a fuse stands ``pulses`` times: the table's next row.

        Raises
        ------
        NotTabulated
            More pulses than the maker's table covers.
        """
        table = self.pulses.withstand.value
        for count, share in zip(table.pulses, table.share, strict=True):
            if pulses <= count:
                return share
        raise NotTabulated(f"pulse withstand is tabulated to {table.pulses[-1]:g} pulses")
