"""Which guesses can turn which verdict, at which end of their range, and what would settle each."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fnmatch import fnmatchcase
from typing import Literal

from psucheck.checks.finding import Finding
from psucheck.checks.judging import shown
from psucheck.circuit.condition import State
from psucheck.supply.assumptions import Assumption

End = Literal["low", "high"]
Strain = Literal["current", "overshoot", "sag"]
"""What strains a part in a transient: the current it passes, volts beyond the steady ones, or their lack."""

_COPPER = ("windings.*.resistance", "transformer.primary.resistance")
_OFF_LOAD = ("windings.*.off_load_volts",)
_DRAWN = ("loads.*", "filter.*.current")
_HANGS_ON: Mapping[str, tuple[str, ...]] = {
    "capacitor-voltage": _OFF_LOAD + _COPPER,
    "capacitor-sharing": _OFF_LOAD,
    "capacitor-ripple-current": _COPPER + _DRAWN + ("filter.*.esr",),
    "ripple": _COPPER + _DRAWN + ("filter.*.esr", "filter.*.inductance"),
    "loaded-voltage": _COPPER + _OFF_LOAD + _DRAWN,
    "rectifier-mean-current": _DRAWN,
    "rectifier-peak-current": _COPPER + _DRAWN + ("transformer.leakage",),
    "rectifier-reverse-voltage": _OFF_LOAD,
    "rectifier-source-resistance": _COPPER,
    "winding-current": _COPPER + _DRAWN,
    "heater-voltage": _COPPER + _OFF_LOAD,
    "choke-current": _DRAWN,
    "resistor-power": _DRAWN + _OFF_LOAD,
    "resistor-voltage": _OFF_LOAD,
    "valve-voltage": _COPPER + _OFF_LOAD,
    "valve-dissipation": _COPPER + _OFF_LOAD + _DRAWN,
    "bias-range": _COPPER,
    "fuse-running": _COPPER + _DRAWN + ("transformer.no_load_*",),
    "fuse-voltage": _OFF_LOAD,
}
"""Which assumptions can move a rule's figure by more than a few per cent of its limit: patterns of keys."""

_MEASUREMENTS: tuple[tuple[str, str], ...] = (
    ("windings.", "the ohms and the off-load volts of the winding"),
    ("transformer.primary", "the ohms of the primary"),
    ("transformer.", "current and watts off load (no_load_current, no_load_power)"),
    ("loads.", "the current at full output, and the drop over a screen resistor"),
    ("mains.", "the volts at the wall with and without a known load"),
    ("fuses.", "the fuse's ohms"),
    ("limiters.", "the limiter's type"),
    ("valves.heater_", "the ohms of the cold heaters"),
)
_OF_NODES: tuple[tuple[str, str], ...] = (
    (".esr", "the capacitor's ESR"),
    (".leakage", "the capacitor's leakage at its working voltage"),
    (".inductance", "the choke's inductance"),
    (".knee", "the choke's rated current"),
    (".current", "DC on both sides of the dropper (was)"),
)


_CURRENT: Mapping[str, End] = {
    "transformer.residual_flux": "high",
    "transformer.no_load_current": "high",
    "transformer.leakage": "low",
    "transformer.primary.resistance": "low",
    "windings.*.resistance": "low",
    "mains.impedance": "low",
    "fuses.*.resistance": "low",
    "filter.*.esr": "low",
    "rectifiers.*.esr": "low",
    "filter.*.knee": "low",
    "filter.*.inductance": "low",
    "valves.heater_cold_share": "low",
    "valves.heater_time_constant": "high",
    "limiters.*.time_constant": "high",
    "limiters.*.beta": "high",
}
"""The end of each guess's range at which a switch-on is hardest on what it strikes: the least in the way of
the current, the most that is drawn, the limiter the warmest. What moves most comes first."""
_SAG: Mapping[str, End] = {
    "windings.*.resistance": "high",
    "transformer.primary.resistance": "high",
    "transformer.leakage": "high",
    "mains.impedance": "high",
    "loads.*.full": "high",
    "loads.*.full_screen": "high",
}
"""Likewise for what the rails lose at full output."""
_OVERSHOOT: Mapping[str, End] = {
    "filter.*.knee": "high",
    "filter.*.inductance": "high",
    "windings.*.resistance": "low",
    "transformer.primary.resistance": "low",
    "filter.*.esr": "low",
    "filter.*.leakage": "high",
}
"""Likewise for how far a choke drives the volts behind it."""
_ENDS: Mapping[Strain, Mapping[str, End]] = {"current": _CURRENT, "overshoot": _OVERSHOOT, "sag": _SAG}
_CHANCE = ("transformer.residual_flux",)
"""Guesses at what differs from one switch-on to the next."""
_OF_VOLTS = ("capacitor-voltage", "capacitor-sharing", "valve-voltage", "resistor-voltage")
"""The rules that hold volts against a rating; the others hold currents, or what they heat."""


@dataclass(frozen=True)
class Supposed:
    """One guess put at one end of its range."""

    assumption: Assumption
    value: float

    @property
    def chance(self) -> bool:
        """Whether it is another value every time, so that no measurement settles it."""
        return self.assumption.key in _CHANCE

    @property
    def words(self) -> str:
        """``"transformer.primary.resistance at 12 ohm"``."""
        return f"{self.assumption.key} at {shown(self.value, self.assumption.unit)}"


def suppositions(assumptions: Sequence[Assumption], near: Sequence[Finding] | None = None) -> list[Supposed]:
    """Both ends of every assumption with a range, or only of those that can move a finding of ``near``."""
    return [
        Supposed(assumption, value)
        for assumption in assumptions
        if near is None or any(moves(assumption, finding) for finding in near)
        for value in (assumption.low, assumption.high)
        if value is not None and value >= 0 and value != assumption.value
    ]


def moves(assumption: Assumption, finding: Finding) -> bool:
    """Whether an assumption can move the figure of a finding in a steady condition."""
    return any(fnmatchcase(assumption.key, pattern) for pattern in _HANGS_ON.get(finding.rule, ()))


def strain(rule: str, state: State) -> Strain:
    """What strains the subject of a rule in a transient."""
    if state == "sag":
        return "sag"
    return "overshoot" if rule in _OF_VOLTS else "current"


def stresses(assumptions: Sequence[Assumption], strain: Strain, *, hard: bool) -> list[Supposed]:
    """Each assumption that a transient feels, at the end that strains what it strikes, or at the other.

    What moves most comes first. What is chance saves nothing at its favourable end.
    """
    felt = [
        Supposed(assumption, value)
        for pattern, end in _ENDS[strain].items()
        for assumption in assumptions
        if fnmatchcase(assumption.key, pattern)
        and (value := assumption.high if (end == "high") == hard else assumption.low) is not None
    ]
    return [one for one in felt if one.value != one.assumption.value and (hard or not one.chance)]


def measurement(key: str) -> str | None:
    """What to measure, so that the value of ``key`` need not be guessed; None for what is chance."""
    if key in _CHANCE:
        return None
    named = _OF_NODES if key.startswith(("filter.", "rectifiers.")) else _MEASUREMENTS
    for part, words in named:
        if key.startswith(part) or (named is _OF_NODES and key.endswith(part)):
            return words
    return key
