"""Ratings as the rules use them: the description's own first, else the part library's, each with its source.

A value stated in the description is taken as read off the part. A value from the library carries its status
along: a recalled one is marked in every finding that rests on it, and one that is recalled with low
confidence makes no more than ``marginal`` of a breach.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, Literal, TypeVar

from psucheck.checks.finding import Finding
from psucheck.checks.judging import against_duty, against_lower, against_upper, duty_rms
from psucheck.checks.limits import Limits
from psucheck.figures.model import Figures
from psucheck.parts import library
from psucheck.parts.errors import UnknownPart
from psucheck.parts.rectifiers import Diode, RectifierValve
from psucheck.parts.sourced import Sourced
from psucheck.parts.valves import LoadValve
from psucheck.supply.model import Device

GIVEN = "as given in the description"

_Part = TypeVar("_Part")


@dataclass(frozen=True, slots=True)
class Rated:
    """One rating.

    Attributes
    ----------
    value
        In SI units.
    source
        Where it comes from, as a finding shows it.
    recalled
        Known from memory only; the data sheet was not opened.
    doubtful
        Recalled, and not surely: a breach may be the memory's fault.
    """

    value: float
    source: str
    recalled: bool = False
    doubtful: bool = False

    @classmethod
    def given(cls, value: float) -> Rated:
        """A rating that the description states."""
        return cls(value, GIVEN)

    @classmethod
    def held(cls, entry: Sourced[Any], value: float | None = None) -> Rated:
        """A rating from the library; ``value`` where the entry is more than one number."""
        recalled = entry.status in ("recalled", "practice")
        return cls(
            entry.value if value is None else value,
            entry.citation,
            recalled=recalled,
            doubtful=recalled and entry.confidence == "low",
        )

    def times(self, factor: float) -> Rated:
        """The same rating, so many times over."""
        return Rated(self.value * factor, self.source, self.recalled, self.doubtful)


@dataclass(frozen=True)
class DeviceRatings:
    """A rectifying device: the ratings of one of its valves or diodes.

    Currents of a valve are per anode, except ``mean_current``, which is that of the whole valve; those of
    silicon are per diode.

    Attributes
    ----------
    name
        Its type, or "the device" where only ratings are written out.
    kind
        Valve or silicon; None for a type that the library does not hold and whose kind is not stated.
    in_series, in_parallel
        Devices per arm.
    part
        The library's entry, if it holds the type.
    """

    name: str
    kind: Literal["valve", "silicon"] | None
    in_series: int
    in_parallel: int
    reverse_voltage: Rated | None
    peak_current: Rated | None
    transient_current: Rated | None
    mean_current: Rated | None
    mean_current_choke_input: Rated | None
    capacitive_load_factor: Rated | None
    surge_current: Rated | None
    first_capacitor: Rated | None
    heater_volts: Rated | None
    stated_source_resistance: Rated | None
    part: RectifierValve | Diode | None

    def source_resistance(self, volts_rms: float) -> tuple[Rated, Literal["below", "above"] | None] | None:
        """Least resistance per anode [ohm] at ``volts_rms`` per anode [V]; None where none is known.

        With it, on which side of the sheet's table those volts lie, if outside.
        """
        if self.stated_source_resistance is not None:
            return self.stated_source_resistance, None
        if not isinstance(self.part, RectifierValve) or self.part.source_resistance is None:
            return None
        reading = self.part.minimum_source_resistance(volts_rms)
        assert reading is not None  # the table is there
        return Rated.held(self.part.source_resistance, reading.value), reading.outside


def _found(look_up: Callable[[str], _Part], name: str) -> _Part | None:
    try:
        return look_up(name)
    except UnknownPart:
        return None


def device(described: Device) -> DeviceRatings:
    """The ratings of a rectifying device: the description's own, else the library's."""
    part: RectifierValve | Diode | None = None
    if described.type is not None:
        held = library()
        part = _found(held.rectifier_valve, described.type) or _found(held.diode, described.type)
    valve = part if isinstance(part, RectifierValve) else None
    diode = part if isinstance(part, Diode) else None

    def either(stated: float | None, key: str, *parts: RectifierValve | Diode | None) -> Rated | None:
        if stated is not None:
            return Rated.given(stated)
        entries: list[Sourced[float] | None] = [getattr(one, key) for one in parts if one is not None]
        return None if not entries or entries[0] is None else Rated.held(entries[0])

    surge = None if diode is None else Rated.held(diode.surge, diode.surge.value.amps)
    heater = None if valve is None else Rated.held(valve.heater, valve.heater.value.volts)
    kind = described.kind or (None if part is None else part.kind)
    return DeviceRatings(
        name=described.type or "the device",
        kind=kind,
        in_series=described.in_series,
        in_parallel=described.in_parallel,
        reverse_voltage=either(described.reverse_voltage, "reverse_voltage", part),
        peak_current=either(described.peak_current, "peak_current", valve),
        transient_current=either(described.transient_current, "transient_current", valve),
        mean_current=either(described.mean_current, "mean_current", part),
        mean_current_choke_input=either(described.mean_current, "mean_current_choke_input", valve),
        capacitive_load_factor=either(None, "capacitive_load_factor", diode),
        surge_current=surge if described.surge_current is None else Rated.given(described.surge_current),
        first_capacitor=either(described.first_capacitor, "first_capacitor", valve),
        heater_volts=heater if described.heater is None else Rated.given(described.heater.volts),
        stated_source_resistance=either(described.source_resistance, ""),
        part=part,
    )


def load_valve(name: str) -> LoadValve | None:
    """The library's entry of an output or small valve, or None."""
    return _found(library().load_valve, name)


def softened(finding: Finding, reason: str) -> Finding:
    """A breach that is only ``marginal``, and why: ``reason`` is added to its sentence."""
    return replace(finding, verdict="marginal", why=f"{finding.why.rstrip('.')}; {reason}.")


def hold_upper(
    rule: str,
    subject: str,
    condition: str | None,
    figure: float,
    rated: Rated,
    unit: str,
    *,
    why: str,
    practice: float | None = None,
    hopeful: float | None = None,
    change: str | None = None,
) -> Finding:
    """Hold a figure against a rating that is a maximum; see :func:`psucheck.checks.judging.against_upper`.

    ``hopeful`` is given where the figure rests on a guess: what it is at the favourable end of that.
    """
    return against_upper(
        rule,
        subject,
        condition,
        figure,
        rated.value,
        unit,
        why=why,
        source=rated.source,
        practice=practice,
        guessed=rated.recalled or hopeful is not None,
        hopeful=_surest(figure, rated, hopeful),
        change=change,
    )


def hold_lower(
    rule: str,
    subject: str,
    condition: str | None,
    figure: float,
    rated: Rated,
    unit: str,
    *,
    why: str,
    hopeful: float | None = None,
    change: str | None = None,
) -> Finding:
    """Hold a figure against a rating that is a minimum; ``hopeful`` as in :func:`hold_upper`."""
    return against_lower(
        rule,
        subject,
        condition,
        figure,
        rated.value,
        unit,
        why=why,
        source=rated.source,
        guessed=rated.recalled or hopeful is not None,
        hopeful=_surest(figure, rated, hopeful),
        change=change,
    )


def _surest(figure: float, rated: Rated, hopeful: float | None) -> float | None:
    """What the figure is at least, or None where the rating itself is in doubt."""
    if rated.doubtful:
        return None
    return figure if hopeful is None else hopeful


def hold_duty(
    rule: str,
    subject: str,
    idle: tuple[Figures, float],
    full: tuple[Figures, float] | None,
    rated: Rated,
    limits: Limits,
    *,
    why: Callable[[float], str],
    hopeful_share: float | None = None,
    change: str | None = None,
) -> Finding:
    """Hold an RMS current [A] against a thermal rating; see :func:`psucheck.checks.judging.against_duty`.

    ``why`` makes the sentence, without its full stop, from the figure that the verdict rests on.
    ``hopeful_share`` is given where the figures rest on a guess: what is left of them at its favourable end.
    """
    share = hopeful_share or 1.0
    playing = idle[1] if full is None else duty_rms(idle[1], full[1], limits.value("duty.full-output"))
    certain = not rated.doubtful and share * max(idle[1], playing) > rated.value
    finding = against_duty(
        rule,
        subject,
        idle,
        full,
        rated.value,
        limits,
        why="",
        source=rated.source,
        guessed=(rated.doubtful or hopeful_share is not None) and not certain,
        change=change,
    )
    assert finding.figure is not None  # it was held against a limit
    return replace(
        finding,
        why=why(finding.figure) + (finding.why or "."),
        guessed=rated.recalled or hopeful_share is not None,
    )
