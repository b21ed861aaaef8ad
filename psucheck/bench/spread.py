"""How far sound parts move each test point: finite differences, a part at a time."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from psucheck.bench.runs import Setting
from psucheck.bench.values import values
from psucheck.circuit.build import build_network
from psucheck.circuit.condition import Readings
from psucheck.circuit.spice import write_deck
from psucheck.conditions.run import Outcome
from psucheck.engine.jobs import SteadyJob
from psucheck.engine.pool import Runner
from psucheck.figures.measure import measure_coarse
from psucheck.supply.filled import FilledSupply
from psucheck.supply.tolerances import Tolerance, tolerances
from psucheck.supply.varied import varied

Vector = NDArray[np.float64]

_NOTHING = 1e-6
"""Below this a value has no relative change worth following [SI]."""
_DEVIATIONS = {"uniform": math.sqrt(12.0), "peaked": 4.0}
"""Standard deviations from one end of a tolerance to the other: those of a uniform distribution; where the
ends are unlikely, two on either side of the middle (a guess, no source)."""


@dataclass(frozen=True)
class Spread:
    """How the test points of a supply move with its parts.

    Attributes
    ----------
    tolerances
        What was varied, each by itself.
    slopes
        Setting -> point -> d ln(value) / d ln(factor) by each of ``tolerances``, (n,) [1].
    """

    tolerances: tuple[Tolerance, ...]
    slopes: Mapping[Setting, Mapping[str, Vector]]

    def nearest(self, setting: Setting) -> Setting:
        """The setting with slopes that is most like ``setting``: of its state, at the nearest mains.

        Raises
        ------
        KeyError
            If no setting of that state was run.
        """
        alike = [each for each in self.slopes if each.state == setting.state]
        if not alike:
            raise KeyError(setting.state)
        return min(alike, key=lambda each: abs(math.log(each.volts / setting.volts)))

    def slope(self, setting: Setting, point: str) -> Vector:
        """The slopes of a point; zeros where it has no value to follow."""
        found = self.slopes[self.nearest(setting)].get(point)
        return np.zeros(len(self.tolerances)) if found is None else found

    def limits(self, setting: Setting, point: str) -> tuple[float, float]:
        """Least and greatest of a point over its nominal value [1] with sound parts.

        What each part does at either end of its tolerance, the roots of the sums of squares of what lowers
        the value and of what raises it.
        """
        slope = self.slope(setting, point)
        ends = np.log([[one.low for one in self.tolerances], [one.high for one in self.tolerances]])
        moved = np.expm1(slope * ends) if slope.size else np.zeros((2, 1))
        low, high = (
            np.sqrt(np.sum(side**2))
            for side in (moved.min(axis=0).clip(max=0), moved.max(axis=0).clip(min=0))
        )
        return max(1.0 - float(low), 0.0), 1.0 + float(high)

    def covariance(self, wanted: Sequence[tuple[Setting, str]]) -> Vector:
        """Covariance of the natural logarithms of several points, (n, n) [1].

        Of one supply: a winding that is high is so at every step.
        """
        slopes = np.array([self.slope(setting, point) for setting, point in wanted]).reshape(len(wanted), -1)
        scaled = slopes * np.array([deviation(one) for one in self.tolerances])
        return np.asarray(scaled @ scaled.T, dtype=np.float64)

    def deviation(self, setting: Setting, point: str) -> float:
        """Standard deviation of a point over its nominal value [1]."""
        return math.sqrt(float(self.covariance([(setting, point)])[0, 0]))


def deviation(tolerance: Tolerance) -> float:
    """Standard deviation of ln(factor) of a tolerance [1]."""
    return (math.log(tolerance.high) - math.log(tolerance.low)) / _DEVIATIONS[tolerance.shape]


def spread(
    filled: FilledSupply, readings: Readings, known: Mapping[Setting, Outcome], pool: Runner
) -> Spread:
    """Vary every part of ``filled`` by itself, to the end of its tolerance that lies further off.

    Parameters
    ----------
    readings
        Where the loads were read and the bias pot stands; they stay.
    known
        Settings with their runs on ``filled``, from whose solutions each search starts.

    Raises
    ------
    SimulationError
        If a run fails.
    """
    moving = tuple(one for one in tolerances(filled) if one.key != "mains")
    factors = [max(one.low, one.high, key=lambda factor: abs(math.log(factor))) for one in moving]
    supplies = [varied(filled, {one.key: factor}) for one, factor in zip(moving, factors, strict=True)]
    slopes = {}
    for setting, outcome in known.items():
        base = values(filled, readings, measure_coarse(outcome))
        moved = [
            values(supply, readings, measure_coarse(run))
            for supply, run in zip(supplies, _rerun(supplies, readings, outcome, pool), strict=True)
        ]
        steps = np.log(factors)
        slopes[setting] = {
            point: np.array([_log_ratio(each.get(point), value) for each in moved]) / steps
            for point, value in base.items()
        }
    return Spread(moving, slopes)


def _log_ratio(moved: float | None, base: float) -> float:
    if moved is None or min(abs(moved), abs(base)) < _NOTHING or moved * base < 0:
        return 0.0
    return math.log(moved / base)


def _rerun(
    supplies: Sequence[FilledSupply], readings: Readings, known: Outcome, pool: Runner
) -> list[Outcome]:
    """A condition on each of ``supplies``, split over the workers."""
    assert known.run is not None
    networks = [build_network(supply, known.condition, readings) for supply in supplies]
    loaded = known.condition.drawing != "nothing"
    jobs = [
        SteadyJob(
            write_deck(network), known.run.states, jacobian=known.run.jacobian, loaded=loaded, fine=False
        )
        for network in networks
    ]
    share = -(-len(jobs) // pool.workers)
    runs = [
        run
        for chain in pool.run([jobs[at : at + share] for at in range(0, len(jobs), share)])
        for run in chain
    ]
    return [Outcome(known.condition, network, run) for network, run in zip(networks, runs, strict=True)]
