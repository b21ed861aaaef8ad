"""Which conditions a supply is checked in."""

from __future__ import annotations

from psucheck.circuit.condition import Condition, Level, State
from psucheck.conditions.warm_up import moments
from psucheck.supply.filled import FilledMains, FilledSupply
from psucheck.supply.topology import standby_switches

_STEADY: tuple[tuple[State, tuple[Level, ...]], ...] = (
    ("idle", ("nominal", "wall", "high", "low")),
    ("full output", ("nominal", "wall", "high", "low")),
    ("cold", ("nominal", "wall", "high")),
    ("valves out", ("nominal", "wall", "high")),
)
_TRANSIENT: tuple[State, ...] = (
    "switch-on",
    "switch-on, valves cold",
    "switch-off",
    "hot restart",
    "switch-off, valves out",
)
"""All at high mains, where they are worst."""


def level_volts(mains: FilledMains) -> dict[Level, float]:
    """Volts of each mains level that is known [V RMS]; ``wall`` only where it was read."""
    volts: dict[Level, float] = {"nominal": mains.nominal, "high": mains.high, "low": mains.low}
    if mains.wall is not None:
        volts["wall"] = mains.wall
    return volts


def reading_level(mains: FilledMains) -> Level:
    """The level at which the readings of the description were taken: the wall's, nominal where not known."""
    return "nominal" if mains.wall is None else "wall"


def plan(filled: FilledSupply) -> list[Condition]:
    """The conditions to run, those that depend on one another behind it."""
    volts = level_volts(filled.mains)
    wanted = [(state, level) for state, levels in _STEADY for level in levels if level in volts]
    if standby_switches(filled.supply):
        wanted += [("standby open", level) for level in ("wall", "high") if level in volts]
        wanted.append(("standby closes", "high"))
    wanted += [(state, "high") for state in _TRANSIENT]
    if filled.outputs:
        wanted.append(("sag", reading_level(filled.mains)))
    warming = [Condition("warm-up", "high", volts["high"], seconds=at) for at in moments(filled)]
    return [*(Condition(state, level, volts[level]) for state, level in wanted), *warming]
