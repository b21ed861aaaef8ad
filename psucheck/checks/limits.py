"""The table of limits: every threshold that a rule applies, with its source and how it is known.

The rules say what is compared; the numbers stand in ``limits.toml``, one table an entry, so that they can be
read, and one day changed, in one place. Two come from the rooms below, which work with them too: the volts
below which a rail is safe, and by how much heaters differ.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Literal, get_args

from psucheck.figures.model import SAFE_VOLTS
from psucheck.supply.valve_types import HEATERS_DIFFER

Status = Literal["read", "second-hand", "recalled", "derived", "practice"]


class LimitsError(ValueError):
    """The table of limits is malformed; names the entry."""


@dataclass(frozen=True, slots=True)
class Limit:
    """One threshold: its value (SI, or a share of one), and where it comes from."""

    name: str
    value: float
    unit: str
    source: str
    status: Status
    says: str

    @property
    def cited(self) -> str:
        """The source as a finding shows it."""
        return {
            "read": self.source,
            "second-hand": f"{self.source} (second-hand)",
            "recalled": f"{self.source} (from memory)",
            "derived": f"{self.source} (derived)",
            "practice": "common practice, no source",
        }[self.status]


@dataclass(frozen=True)
class Limits:
    """All limits by name, ``rule-id.entry``."""

    entries: Mapping[str, Limit]

    def __getitem__(self, name: str) -> Limit:
        return self.entries[name]

    def value(self, name: str) -> float:
        """The bare number of ``name``."""
        return self.entries[name].value


def parse(text: str) -> Limits:
    """Read a table of limits.

    Raises
    ------
    LimitsError
        For an entry that lacks a key, has an unknown one, or an unknown status.
    """
    wanted = {"value", "unit", "source", "status", "says"}
    entries = {}
    for rule, table in tomllib.loads(text).items():
        for entry, content in table.items():
            name = f"{rule}.{entry}"
            if set(content) != wanted:
                raise LimitsError(f"{name}: has keys {sorted(content)}, needs {sorted(wanted)}")
            if content["status"] not in get_args(Status):
                raise LimitsError(f"{name}: status {content['status']!r} is none of {get_args(Status)}")
            entries[name] = Limit(name=name, **content)
    return Limits(entries)


RAIL = Limit(
    name="cautions.rail",
    value=SAFE_VOLTS,
    unit="V",
    source="IEC 62368-1, ES1 limit for DC",
    status="recalled",
    says="DC above which a rail is dangerous to touch",
)

HEATERS = Limit(
    name="winding-current.heaters",
    value=1 + HEATERS_DIFFER,
    unit="1",
    source="",
    status="practice",
    says="multiple of its rating up to which a winding that feeds heaters alone is marginal",
)


@cache
def default_limits() -> Limits:
    """The limits that ship with psucheck."""
    held = parse(resources.files("psucheck.checks").joinpath("limits.toml").read_text("utf-8"))
    return Limits({**held.entries, RAIL.name: RAIL, HEATERS.name: HEATERS})
