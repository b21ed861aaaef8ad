"""Steady figures of a supply at any mains: what stands at the test points while a variac is wound up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from psucheck.circuit.condition import Condition, Readings, State
from psucheck.conditions.run import Outcome, run_conditions
from psucheck.engine.pool import Runner
from psucheck.figures.measure import measure_coarse
from psucheck.figures.model import Figures
from psucheck.supply.filled import FilledSupply


@dataclass(frozen=True, slots=True)
class Setting:
    """What the amplifier is doing, and the volts at its mains plug [V RMS]."""

    state: State
    volts: float

    @property
    def condition(self) -> Condition:
        """The condition that is run for it."""
        return Condition(self.state, "set", self.volts)


def outcomes_at(
    filled: FilledSupply, readings: Readings, settings: Sequence[Setting], pool: Runner
) -> dict[Setting, Outcome]:
    """Run steady ``settings``, each once.

    Settings of one state are run from the lowest volts up, each from the solution of the one before it in
    proportion to the mains; idle and full output share a chain. The derivative is carried only where
    everything draws (see ``conditions.chains``).

    Raises
    ------
    SimulationError
        If a run fails.
    """
    wanted = sorted(dict.fromkeys(settings), key=lambda setting: (setting.state, setting.volts))
    outcomes = run_conditions(filled, [setting.condition for setting in wanted], readings, pool)
    return dict(zip(wanted, outcomes, strict=True))


def figures_at(
    filled: FilledSupply, readings: Readings, settings: Sequence[Setting], pool: Runner
) -> dict[Setting, Figures]:
    """The figures of steady ``settings``.

    Raises
    ------
    SimulationError
        If a run fails, or breaks a conservation law.
    """
    outcomes = outcomes_at(filled, readings, settings, pool)
    return {setting: measure_coarse(outcome) for setting, outcome in outcomes.items()}
