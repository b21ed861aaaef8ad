"""The mains voltage at which each relay pulls in, with the valves in and with the valves out.

Found by the secant method on periodic steady states at reduced mains, from two that have been run already:
the rail goes nearly in proportion to the mains, less the diodes' drop, so two or three more settle it.
Inrush limiters are in it as warm as that mains makes them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from psucheck.circuit.condition import Condition, Level, Readings, State
from psucheck.conditions.run import run_conditions
from psucheck.engine.pool import Runner
from psucheck.engine.simulator import SimulationError
from psucheck.figures.measure import measure
from psucheck.figures.model import Figures, RelayFigures
from psucheck.supply.filled import FilledRelay, FilledSupply

_CLOSE = 2e-3
"""Difference from the pull-in volts that is accepted [share]."""
_STEPS = 6
_RANGE = (0.15, 1.5)
"""Mains between which it is looked for, as shares of nominal; outside them there is no figure."""
_FROM: Mapping[State, tuple[Level, Level]] = {"idle": ("low", "nominal"), "valves out": ("nominal", "high")}
"""The two runs from which each search starts."""


@dataclass
class _Search:
    """One relay in one state: the last two points (mains, volts at the node), and what was found."""

    relay: FilledRelay
    state: State
    points: list[tuple[float, float]]
    found: float | None = None
    given_up: bool = False

    def next_mains(self, nominal: float) -> float | None:
        """Mains of the next try [V RMS]; None where the search has ended."""
        if self.found is not None or self.given_up or len(self.points) < 2:
            return None
        (one, low), (other, high) = self.points[-2:]
        if abs(high - self.relay.pull_in) <= _CLOSE * self.relay.pull_in:
            self.found = other
            return None
        if high == low:
            self.given_up = True
            return None
        mains = other + (self.relay.pull_in - high) * (other - one) / (high - low)
        if not _RANGE[0] * nominal <= mains <= _RANGE[1] * nominal:
            self.given_up = True
            return None
        return mains


def relays(
    filled: FilledSupply, readings: Readings, figures: Mapping[str, Figures], pool: Runner
) -> tuple[RelayFigures, ...]:
    """Each relay of the supply: at which mains it pulls in, and its volts at low mains."""
    searches = {
        (name, state): _Search(relay, state, _known(figures, relay.node, state))
        for name, relay in filled.relays.items()
        for state in _FROM
    }
    for _ in range(_STEPS):
        tries = {
            key: mains
            for key, search in searches.items()
            if (mains := search.next_mains(filled.mains.nominal)) is not None
        }
        if not tries:
            break
        _try(filled, readings, searches, tries, pool)
    for search in searches.values():
        search.next_mains(filled.mains.nominal)
    return tuple(
        RelayFigures(
            name,
            relay.node,
            relay.pull_in,
            searches[name, "idle"].found,
            searches[name, "valves out"].found,
            next((f.nodes[relay.node].dc for f in _of(figures, "idle", "low")), None),
        )
        for name, relay in filled.relays.items()
    )


def _of(figures: Mapping[str, Figures], state: State, level: Level) -> Sequence[Figures]:
    return [f for f in figures.values() if f.state == state and f.level == level]


def _known(figures: Mapping[str, Figures], node: str, state: State) -> list[tuple[float, float]]:
    return [(f.mains, f.nodes[node].dc) for level in _FROM[state] for f in _of(figures, state, level)]


def _try(
    filled: FilledSupply,
    readings: Readings,
    searches: Mapping[tuple[str, State], _Search],
    tries: Mapping[tuple[str, State], float],
    pool: Runner,
) -> None:
    """One more point for each search that goes on; one whose run fails is given up."""
    conditions = {key: Condition(searches[key].state, "set", mains) for key, mains in tries.items()}
    try:
        outcomes = run_conditions(filled, list(dict.fromkeys(conditions.values())), readings, pool)
    except SimulationError:
        for key in tries:
            searches[key].given_up = True
        return
    measured = {outcome.condition: measure(outcome) for outcome in outcomes}
    for key, condition in conditions.items():
        volts = measured[condition].nodes[searches[key].relay.node].dc
        searches[key].points.append((condition.volts, volts))
