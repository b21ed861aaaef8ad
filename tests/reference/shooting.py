"""The periodic solution of an ordinary differential equation, with scipy's integrator and a Newton search.

None of psucheck's own search or simulator is used here.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

Array = NDArray[np.float64]
Flow = Callable[[float, Array], Sequence[float]]

SAMPLES = 4000


@dataclass(frozen=True)
class Cycle:
    """One mains cycle: times [s] and states over them (one row a state)."""

    time: Array
    states: Array

    def mean(self, values: Array) -> float:
        """Time average."""
        return float(np.trapezoid(values, self.time) / np.ptp(self.time))

    def rms(self, values: Array) -> float:
        """Root of the mean square."""
        return float(np.sqrt(self.mean(values**2)))

    def each(self, function: Callable[[float, Array], float]) -> Array:
        """``function`` of time and states, at every sample."""
        return np.array([function(t, x) for t, x in zip(self.time, self.states.T, strict=True)])


def _advance(flow: Flow, start: Array, seconds: float, samples: Array | None = None) -> Cycle:
    solved = solve_ivp(
        flow,
        (0.0, seconds),
        start,
        method="LSODA",
        rtol=1e-8,
        atol=1e-7,
        max_step=seconds / 150,
        t_eval=samples,
    )
    assert solved.success, solved.message
    return Cycle(solved.t, solved.y)


def settled(flow: Flow, start: Sequence[float], hertz: float) -> Cycle:
    """The cycle that ``flow`` repeats, searched from ``start`` after three cycles of marching.

    Raises
    ------
    AssertionError
        If the search does not end, or what it ends at does not repeat over three more cycles.
    """
    period = 1.0 / hertz
    x = np.array(start, dtype=float)
    scale = np.abs(x) + 1e-3
    x = _advance(flow, x, 3 * period).states[:, -1]
    for _ in range(15):
        image = _advance(flow, x, period).states[:, -1]
        derivative = np.empty((x.size, x.size))
        for column in range(x.size):
            stepped = x.copy()
            stepped[column] -= 1e-3 * scale[column]
            derivative[:, column] = (_advance(flow, stepped, period).states[:, -1] - image) / (
                -1e-3 * scale[column]
            )
        correction = np.linalg.solve(np.eye(x.size) - derivative, image - x)
        x = x + correction
        if (np.abs(correction) < 1e-6 * scale).all():
            break
    else:
        raise AssertionError("the reference found no periodic state")
    later = _advance(flow, x, 3 * period).states[:, -1]
    assert later == pytest.approx(x, rel=2e-5, abs=2e-5 * float(scale.max()))
    return _advance(flow, x, period, np.linspace(0.0, period, SAMPLES + 1))
