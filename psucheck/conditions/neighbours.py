"""A steady condition on supplies whose parts are off: each is found from the nominal supply's solution.

Never from one another's: what a supply comes to then hangs on no order in which they are run.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from psucheck.circuit.condition import Condition
from psucheck.circuit.network import Network
from psucheck.circuit.spice import write_deck
from psucheck.conditions.chains import BELOW, start_states
from psucheck.engine.jobs import Run, SteadyJob
from psucheck.engine.simulator import States

_A_RAIL = 0.02
"""States larger than this, in units of scale, are rails: they go with the winding's volts."""


@dataclass(frozen=True)
class Known:
    """A steady condition solved on the nominal supply, n states.

    Attributes
    ----------
    condition
        Which.
    states, guess, jacobian
        Its solution, the first guess made for it [SI, n], and the derivative of the cycle map [n x n].
    rails
        Which states are rails: they are taken to go in proportion, the others by differences [n].
    low, high
        How the solution moves with each value that may be off put at its low and at its high end: the
        logarithm of the proportion for rails, else the difference [values x n]. None: not known yet.
    """

    condition: Condition
    states: States
    guess: States
    jacobian: States
    rails: NDArray[np.bool_]
    low: States | None = None
    high: States | None = None

    @property
    def loaded(self) -> bool:
        """Whether every rail is drawn from."""
        return self.condition.drawing != "nothing"


def known(condition: Condition, network: Network, run: Run) -> Known:
    """What the run of ``condition`` on the nominal supply tells of its neighbours."""
    assert run.jacobian is not None  # that of a steady state
    scale = np.array([state.scale for state in run.deck.states])
    return Known(
        condition, run.states, start_states(network), run.jacobian, np.abs(run.states) > _A_RAIL * scale
    )


def neighbour_job(nominal: Known, network: Network, shares: NDArray[np.float64]) -> SteadyJob:
    """Find the condition on a supply of which each value is off by one of ``shares`` of the way to its end.

    Parameters
    ----------
    network
        The supply in that condition.
    shares
        -1 is a value's low end, 0 nominal, 1 its high end [values].
    """
    start = _expected(nominal, network, shares)
    if not nominal.loaded:
        start = np.where(nominal.rails, start * (1 - BELOW), start)
    return SteadyJob(
        write_deck(network),
        start,
        jacobian=nominal.jacobian,
        loaded=nominal.loaded,
        rising=not nominal.loaded,
        fine=False,
    )


def moved_by(nominal: Known, network: Network, states: States) -> States:
    """How far a solution lies from where it is expected before anything is known of moves [n]."""
    before = _expected(nominal, network, np.zeros(0))
    ratio = np.divide(states, before, out=np.ones_like(states), where=nominal.rails & (before != 0.0))
    logarithms = np.log(np.where(ratio > 0.0, ratio, 1.0))
    return np.where(nominal.rails, logarithms, states - before)


def _expected(nominal: Known, network: Network, shares: NDArray[np.float64]) -> States:
    """Where the solution should lie: the nominal one's in the proportion of the first guesses, then moved."""
    guess = start_states(network)
    both = (nominal.guess != 0.0) & (guess != 0.0)
    states = nominal.states * np.divide(guess, nominal.guess, out=np.ones_like(guess), where=both)
    if nominal.low is None or nominal.high is None:
        return states
    by_value = np.where(shares[:, None] < 0, nominal.low, nominal.high) * np.abs(shares)[:, None]
    steps = by_value.sum(axis=0)
    return np.where(nominal.rails, states * np.exp(np.where(nominal.rails, steps, 0.0)), states + steps)
