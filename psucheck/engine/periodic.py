"""Periodic steady state: the state that one mains cycle carries into itself.

Newton's method on the map over one cycle, x -> advance(x). With nothing drawing, almost any state above the
peak is nearly a fixed point, so the size of the residual says nothing: a solution is accepted on the size of
the Newton correction.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from psucheck.engine.simulator import SimulationError, States

Advance = Callable[[States], States]

ACCEPT = 1e-4
"""Largest Newton correction of an accepted solution, in units of scale."""
_STEP, _SMALLEST_STEP = 0.005, 0.0005
"""Difference step, in units of scale: small against the rail, large against the noise of the map. Near a
solution it shrinks with the correction, since a rectifier that hardly conducts bends within a volt."""
_LIMIT = 0.25
"""Largest correction taken at once, in units of scale."""
_ITERATIONS, _NEAR, _MOST = 12, 0.02, 40
"""Corrections taken; and as long as the last one is small [scale], at most. Where silicon charges what
hardly anything drains, the residual falls by one e-fold a correction, each of them a junction's n kT/q: on a
rail of a few volts that is a hundredth of scale, and fifteen may pass before it is settled."""
_CONTRACTION = 0.3
"""A correction that is more than this share of the one before asks for fresh differences."""
_MARCH = 20
_ROUNDS = 4
_A_RAIL = 0.1
"""States larger than this are rails, in units of scale."""


@dataclass(frozen=True)
class PeriodicState:
    """A periodic state [SI], the derivative of the cycle map there, and what it cost."""

    states: States
    jacobian: States
    correction: float
    runs: int


class _Map:
    """The cycle map in scaled states, counting its runs."""

    def __init__(self, advance: Advance, scale: States) -> None:
        self._advance = advance
        self._scale = scale
        self.runs = 0

    def __call__(self, x: States) -> States:
        self.runs += 1
        return self._advance(x * self._scale) / self._scale

    def differences(self, x: States, image: States, step: float = _STEP) -> States:
        """Derivative of the map by one-sided steps downwards.

        Downwards, because a rectifier that is lifted above the peak stops conducting: an upward step would
        see a capacitor that nothing recharges.
        """
        jacobian = np.empty((x.size, x.size))
        for column in range(x.size):
            stepped = x.copy()
            stepped[column] -= np.copysign(step, x[column] if x[column] else 1.0)
            jacobian[:, column] = (self(stepped) - image) / (stepped[column] - x[column])
        return jacobian

    def lowered(self, x: States, image: States, jacobian: States) -> States:
        """``jacobian`` made true along one direction: all rails lowered together, in proportion."""
        step = np.where(np.abs(x) > _A_RAIL, -_SMALLEST_STEP * x, 0.0)
        if not step.any():
            return jacobian
        change = self(x + step) - image
        better: States = jacobian + np.outer(change - jacobian @ step, step) / (step @ step)
        return better


def solve_periodic(
    advance: Advance,
    start: States,
    scale: States,
    jacobian: States | None = None,
    accept: float | States = ACCEPT,
    *,
    confirm: bool = True,
    trust: bool = False,
    rising: bool = False,
) -> PeriodicState:
    """Find x with advance(x) = x.

    Parameters
    ----------
    advance
        The map over one mains cycle, states in SI.
    start
        First guess.
    scale
        Size of each state: volts by the rail, flux linkage by the rated one.
    jacobian
        Derivative of the map (scaled) at a neighbouring solution: corrections start from it and
        Broyden's update improves it. Without it, and where that does not converge, it is found by
        differences.

    accept
        Largest correction of an accepted solution, in units of scale; one for all states or one each.
    confirm
        Whether a solution is judged by a derivative taken there. Needed where next to nothing is drawn; where
        every rail is, an updated derivative tells as well.
    trust
        Whether one carried over in ``jacobian`` tells as well, improved: it was found next to the solution.
    rising
        ``start`` lies just below the solution, ``jacobian`` belongs to a neighbour, and next to nothing is
        drawn. A solution is then judged by one difference, with all rails lowered together: what is poorly
        determined is how far above the knee of conduction they stand, all as one.

    Raises
    ------
    SimulationError
        If no solution is accepted.
    """
    cycle = _Map(advance, scale)
    x = start / scale
    for attempt in range(_ROUNDS):
        solution = None
        if jacobian is not None and attempt == 0:
            solution = _newton(cycle, x, jacobian, accept, confirm and not trust, rising)
        if solution is None:
            solution = _newton(cycle, x, None, accept, confirm)
        if solution is not None:
            states, derivative, correction = solution
            return PeriodicState(states * scale, derivative, correction, cycle.runs)
        for _ in range(_MARCH):
            x = cycle(x)
    raise SimulationError(f"no periodic steady state found after {cycle.runs} cycles")


def _newton(
    cycle: _Map,
    x: States,
    carried: States | None,
    accept: float | States,
    confirm: bool,
    rising: bool = False,
) -> tuple[States, States, float] | None:
    """Newton from ``x``; the derivative is improved by Broyden's update as long as corrections shrink well.

    With a derivative carried over, that is all there is until a solution is judged; without one it starts
    from differences, and they are taken anew whenever a correction has not shrunk to ``_CONTRACTION`` of the
    one before.
    """
    identity = np.eye(x.size)
    image = cycle(x)
    jacobian = carried if carried is not None else cycle.differences(x, image)
    before, fresh, size = 0.0 if confirm else np.inf, carried is None, np.inf
    for iteration in range(_MOST):
        if iteration >= _ITERATIONS and size > _NEAR:
            return None
        try:
            correction = np.linalg.solve(identity - jacobian, image - x)
        except np.linalg.LinAlgError:
            return None
        size = float(np.abs(correction).max())
        if not np.isfinite(size):
            return None
        taken = correction if size <= _LIMIT else correction * (_LIMIT / size)
        residual = image - x
        x = x + taken
        if (np.abs(correction) < accept).all():
            if fresh or not confirm:
                return x, jacobian, size
            # A secant drawn across the knee of conduction can make any residual look settled: judge afresh.
            image = cycle(x)
            if rising:
                jacobian = cycle.lowered(x, image, jacobian)
            else:
                jacobian = cycle.differences(x, image, _SMALLEST_STEP)
            fresh, before = True, np.inf
            continue
        image = cycle(x)
        fresh = False
        if carried is not None or size < _CONTRACTION * before:
            change = (image - x) - residual
            jacobian = jacobian + np.outer(change - (jacobian - identity) @ taken, taken) / (taken @ taken)
        else:
            jacobian = cycle.differences(x, image, float(np.clip(size, _SMALLEST_STEP, _STEP)))
            fresh = True
        before = size
    return None
