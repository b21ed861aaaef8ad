"""The table of limits: every threshold that a rule applies, with its source and how it is known.

The rules say what is compared; the numbers stand in ``limits.toml``, one table an entry, so that they can be
read in one place. A user's own limits (:mod:`psucheck.checks.own_limits`) take the place of single entries,
and remember the house's. Two come from the rooms below, which work with them too: the volts below which a
rail is safe, and by how much heaters differ.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from importlib import resources
from typing import Literal, get_args

from psucheck import quantity
from psucheck.figures.model import SAFE_VOLTS
from psucheck.supply.valve_types import HEATERS_DIFFER

Status = Literal["read", "second-hand", "recalled", "derived", "practice", "yours"]
Way = Literal["higher", "lower", "either"]

_WANTED = {"value", "unit", "source", "status", "says"}
_OPTIONAL = {"looser", "between", "below"}
_BELIEVED = 5.0
"""An own value is believed from this part of the house's to as many times of it, if nothing else is said."""


class LimitsError(ValueError):
    """The table of limits is malformed; names the entry."""


@dataclass(frozen=True, slots=True)
class Limit:
    """One threshold: its value (SI, or a share of one), and where it comes from.

    Attributes
    ----------
    looser
        Which way fewer things are found.
    between
        Lowest and highest value that a user's own file may set.
    below
        Entry of the same rule that it must stay below; empty for none.
    house
        The entry that ships, where this one is a user's own.
    file
        The user's file.
    """

    name: str
    value: float
    unit: str
    source: str
    status: Status
    says: str
    looser: Way = "either"
    between: tuple[float, float] = (0.0, float("inf"))
    below: str = ""
    house: Limit | None = None
    file: str = ""

    @property
    def cited(self) -> str:
        """The source as a finding shows it."""
        if self.house is not None:
            return f"{self.source} (yours, from {self.file}; house {self.house.written})"
        return {
            "read": self.source,
            "second-hand": f"{self.source} (second-hand)",
            "recalled": f"{self.source} (from memory)",
            "derived": f"{self.source} (derived)",
            "practice": "common practice, no source",
            "yours": self.source,
        }[self.status]

    @property
    def written(self) -> str:
        """The number with its unit; shares of one as percentages."""
        return self.write(self.value)

    def write(self, value: float) -> str:
        """A value of this entry, with its unit."""
        if self.unit == "1":
            return f"{100 * value:.4g} %"
        return quantity.show(value, self.unit) if self.unit in quantity.UNITS else f"{value:g} {self.unit}"

    @property
    def told(self) -> str:
        """An own limit beside the house's: ``capacitor-voltage.practice: 95 % (yours; house 90 %, looser)``.

        Raises
        ------
        LimitsError
            If it is the house's own.
        """
        if self.house is None:
            raise LimitsError(f"{self.name}: is the house's own")
        way = {"looser": ", looser", "tighter": ", tighter", "other": ""}[self.way]
        return f"{self.name}: {self.written} (yours; house {self.house.written}{way})"

    @property
    def way(self) -> Literal["looser", "tighter", "other"]:
        """Whether a user's own limit finds fewer things than the house's, or more."""
        if self.house is None or self.looser == "either" or self.value == self.house.value:
            return "other"
        return "looser" if (self.value > self.house.value) == (self.looser == "higher") else "tighter"

    def set_to(self, value: float, why: str, file: str) -> Limit:
        """The same entry with a user's own value."""
        house = self.house or self
        return replace(self, value=value, source=why, status="yours", file=file, house=house)


@dataclass(frozen=True)
class Limits:
    """All limits by name, ``rule-id.entry``."""

    entries: Mapping[str, Limit]

    def __getitem__(self, name: str) -> Limit:
        return self.entries[name]

    def value(self, name: str) -> float:
        """The bare number of ``name``."""
        return self.entries[name].value

    @property
    def own(self) -> tuple[Limit, ...]:
        """The entries that are a user's own."""
        return tuple(limit for limit in self.entries.values() if limit.house is not None)

    def of_house(self) -> Limits:
        """The same table without a user's own entries."""
        return Limits({name: limit.house or limit for name, limit in self.entries.items()})

    def noting(self) -> Noting:
        """The same table, which notes what is read of it."""
        return Noting(_Noted(self.entries))


class _Noted(Mapping[str, Limit]):
    """Entries that note which of a user's own were read."""

    def __init__(self, entries: Mapping[str, Limit]) -> None:
        self.entries = entries
        self.read: dict[str, None] = {}

    def __getitem__(self, name: str) -> Limit:
        limit = self.entries[name]
        if limit.house is not None:
            self.read[name] = None
        return limit

    def __iter__(self) -> Iterator[str]:
        return iter(self.entries)

    def __len__(self) -> int:
        return len(self.entries)


@dataclass(frozen=True)
class Noting(Limits):
    """Limits that note which of a user's own entries were read."""

    entries: _Noted

    def taken(self) -> tuple[str, ...]:
        """Names of the own entries read since this was last asked."""
        names = tuple(self.entries.read)
        self.entries.read.clear()
        return names


def parse(text: str) -> Limits:
    """Read the house's table of limits.

    Raises
    ------
    LimitsError
        For an entry that lacks a key, has an unknown one or an unknown word, or breaks its own bounds.
    """
    entries: dict[str, Limit] = {}
    for rule, table in tomllib.loads(text).items():
        for entry, content in table.items():
            name = f"{rule}.{entry}"
            if not _WANTED <= set(content) <= _WANTED | _OPTIONAL:
                raise LimitsError(f"{name}: has keys {sorted(content)}, needs {sorted(_WANTED)}")
            for key, words in (("status", get_args(Status)), ("looser", get_args(Way))):
                if content.get(key, words[-1]) not in words:
                    raise LimitsError(f"{name}: {key} {content[key]!r} is none of {words}")
            value = content["value"]
            low, high = content.get("between", (value / _BELIEVED, value * _BELIEVED))
            if not low <= value <= high:
                raise LimitsError(f"{name}: {value} is not between {low} and {high}")
            entries[name] = Limit(name=name, **{**content, "between": (low, high)})
    for limit, other in disordered(entries):
        raise LimitsError(f"{limit.name}: {limit.value} is not below {other.name}, {other.value}")
    return Limits(entries)


def disordered(entries: Mapping[str, Limit]) -> Iterator[tuple[Limit, Limit]]:
    """Pairs of entries of which the first should be below the second, and is not."""
    for limit in entries.values():
        if limit.below:
            other = entries[f"{limit.name.split('.')[0]}.{limit.below}"]
            if not limit.value < other.value:
                yield limit, other


RAIL = Limit(
    name="cautions.rail",
    value=SAFE_VOLTS,
    unit="V",
    source="IEC 62368-1, ES1 limit for DC",
    status="recalled",
    says="DC above which a rail is dangerous to touch",
    looser="higher",
    between=(SAFE_VOLTS, SAFE_VOLTS),
)

HEATERS = Limit(
    name="winding-current.heaters",
    value=1 + HEATERS_DIFFER,
    unit="1",
    source="",
    status="practice",
    says="multiple of its rating up to which a winding that feeds heaters alone is marginal",
    looser="higher",
    between=(1.0, 1.5),
)


@cache
def default_limits() -> Limits:
    """The limits that ship with psucheck."""
    held = parse(resources.files("psucheck.checks").joinpath("limits.toml").read_text("utf-8"))
    return Limits({**held.entries, RAIL.name: RAIL, HEATERS.name: HEATERS})
