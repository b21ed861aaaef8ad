"""The small supplies of this folder, run once in a process in every condition that is planned for them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from psucheck.circuit.condition import Condition, Level, Readings, State
from psucheck.conditions.plan import plan
from psucheck.conditions.run import Outcome, run_conditions
from psucheck.engine.here import Here
from psucheck.figures.measure import measure
from psucheck.figures.model import Figures
from psucheck.supply.filled import FilledSupply
from tests.conditions.supplies import SUPPLIES
from tests.engine_runs import described, readings_of


@dataclass(frozen=True)
class Solved:
    """A supply, where its readings lie, and each planned condition's outcome and figures by its name."""

    filled: FilledSupply
    readings: Readings
    outcomes: Mapping[str, Outcome]
    figures: Mapping[str, Figures]

    def at(self, state: State, level: Level) -> Figures:
        """The figures of a condition."""
        return self.figures[f"{state}, {level} mains"]

    def dc(self, node: str, state: State, level: Level) -> float:
        """Mean volts of a node [V]."""
        return self.at(state, level).nodes[node].dc


CIRCUITS = (
    "centre-tapped", "bridge", "bridge with centre tap", "half-wave", "full-wave doubler",
    "full-wave doubler, middle tapped", "cascade doubler", "choke input",
)  # fmt: skip
"""The supplies that differ in their rectifier; the others differ in what hangs on it."""


def planned(filled: FilledSupply, *, warming: bool) -> list[Condition]:
    """What is planned for a supply, with the row of moments while it warms up or without."""
    return [condition for condition in plan(filled) if warming or condition.state != "warm-up"]


def solve(text: str, *, warming: bool = False) -> Solved:
    """A description run in its planned conditions; measuring holds each run to what it must conserve."""
    filled = described(text)
    readings = readings_of(filled)
    conditions = planned(filled, warming=warming)
    outcomes = {o.condition.name: o for o in run_conditions(filled, conditions, readings, Here())}
    return Solved(filled, readings, outcomes, {name: measure(outcome) for name, outcome in outcomes.items()})


@cache
def solved(name: str) -> Solved:
    """One of the small supplies, run once."""
    return solve(SUPPLIES[name], warming=name in CIRCUITS)
