"""The gates of miniature fuses: at which multiple of rated current a fuse opens, and between which times."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from typing import Annotated, Literal, NamedTuple

from psucheck.parts.errors import NotTabulated
from psucheck.parts.sourced import Confidence, Frozen, NotNegative, Positive, Sourced, Status, entry, weakest

Breaking = Literal["L", "E", "H"]


class GatePoint(NamedTuple):
    """At ``multiple`` times rated current a fuse opens after ``shortest`` [s] and before ``longest`` [s]."""

    multiple: float
    shortest: float | None
    longest: float | None


class GateRow(Frozen):
    """A gate's point as it stands in the data file."""

    multiple: Positive
    shortest: Positive | None = None
    longest: Positive | None = None


class GateRows(Frozen):
    """The points of a gate above the current that it must hold."""

    points: tuple[GateRow, ...]


class GateTable(Frozen):
    """Gate of one standard sheet for a range of rated currents [A], ends included."""

    sheet: int | None = None
    speed: Literal["F", "T", "fast", "slow"]
    breaking: Breaking | None = None
    body: str | None = None
    from_amps: NotNegative
    to_amps: Positive
    holds: Annotated[Sourced[GateRow], entry()]
    """The current that the fuse must carry, and for how long at least."""
    times: Annotated[Sourced[GateRows], entry()]


class Gate(Frozen):
    """Gate for one rated current: points in rising order, each with its shortest and longest time."""

    rated_current: Positive
    points: tuple[GatePoint, ...]
    source: str
    """Where the times come from."""
    status: Status
    confidence: Confidence | None
    note: str | None
    holding_source: str
    """Where the first point comes from, the current that the fuse must carry; with its status."""

    @property
    def guaranteed_melting_i2t(self) -> float | None:
        """Least melting I^2 t [A^2 s] that the gate warrants: (n In)^2 t_min at its highest such point.

        Derived from the gate, not published. Good for pulses of about that t_min or longer; a shorter, taller
        pulse can melt the element at less. None where no point above the holding current has a shortest time
        below a second (a gate for long overloads says nothing of pulses).
        """
        brief = [point for point in self.points if point.shortest is not None and point.shortest < 1.0]
        if not brief:
            return None
        last = brief[-1]
        assert last.shortest is not None
        return (last.multiple * self.rated_current) ** 2 * last.shortest


def gate(tables: Sequence[GateTable], rated_current: float, what: str) -> Gate:
    """The gate of the row that holds ``rated_current`` [A], or the wider of the two rows beside it.

    Raises
    ------
    NotTabulated
        The rating is outside all rows; ``what`` names them.
    """
    chosen = [table for table in tables if table.from_amps <= rated_current <= table.to_amps][:1]
    if not chosen:
        below = [table for table in tables if table.to_amps < rated_current][-1:]
        above = [table for table in tables if table.from_amps > rated_current][:1]
        if not below or not above:
            raise NotTabulated(f"{what} has no row for {rated_current:g} A")
        chosen = below + above
    holds = GatePoint(
        chosen[0].holds.value.multiple, min(table.holds.value.shortest or inf for table in chosen), None
    )
    rows = zip(*(table.times.value.points for table in chosen), strict=True)
    times = [table.times for table in chosen]
    return Gate(
        rated_current=rated_current,
        points=(holds, *(_wider(row) for row in rows)),
        source="; ".join(dict.fromkeys(one.source for one in times)),
        status="recalled" if any(one.status == "recalled" for one in times) else times[0].status,
        confidence=weakest(*times)[1],
        note="; ".join(dict.fromkeys(one.note for one in times if one.note)) or None,
        holding_source="; ".join(dict.fromkeys(table.holds.citation for table in chosen)),
    )


def _wider(rows: tuple[GateRow, ...]) -> GatePoint:
    """The point with the shortest and the longest time of ``rows``; None where one of them sets no limit."""
    shortest = [row.shortest for row in rows]
    longest = [row.longest for row in rows]
    return GatePoint(
        rows[0].multiple,
        min(one for one in shortest if one is not None) if None not in shortest else None,
        max(one for one in longest if one is not None) if None not in longest else None,
    )
