"""What sets of parts come to: the corners to run, then the figures and limits over all sets."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from psucheck.checks.finding import Finding
from psucheck.checks.registry import name_of
from psucheck.engine.simulator import SimulationError
from psucheck.report.tolerance_view import Driver, Held, Spreading, ToleranceReport
from psucheck.studies.sets import (
    Array,
    Judged,
    Nominal,
    Path,
    Some,
    is_broken,
    keyed,
)
from psucheck.studies.tolerance_options import Asked

_COUNTS = 0.02
"""A value that moves a figure by less than this share of what all do together stays nominal in its corner."""
_SURE = 3.0
"""Correlations below so many standard deviations of pure chance, 1/sqrt(n - 1), name no driver."""
_DRIVERS = 3


def corner(nominal: float, low: Array, high: Array, sign: float) -> tuple[int, ...]:
    """The end of each value that moves a figure most in the direction of ``sign``: -1, 0 (none), 1.

    Parameters
    ----------
    low, high
        The figure with each value at its low and at its high end, by itself [values].
    """
    gains = sign * np.array([low - nominal, high - nominal])
    gains = np.where(np.isfinite(gains), gains, 0.0)
    best = np.maximum(gains.max(axis=0), 0.0)
    ends = np.where(gains[1] >= gains[0], 1, -1)
    return tuple(int(end) for end in np.where(best > _COUNTS * best.sum(), ends, 0))


class Corners:
    """The corner of every figure, both ways, and of every limit; each different one is run once.

    ``of`` says which corner is whose, ``moved_by`` which values move a figure, by themselves, at all.
    """

    def __init__(self, nominal: Nominal, ends: Some) -> None:
        values = nominal.values()
        self.of: dict[tuple[object, float], int] = {}
        self.moved_by: dict[object, NDArray[np.bool_]] = {}
        patterns: dict[tuple[int, ...], int] = {}

        def note(key: object, at: float, low: Array, high: Array, sign: float) -> None:
            pattern = corner(at, low, high, sign)
            self.of[key, sign] = patterns.setdefault(pattern, len(patterns))
            moving = np.array(pattern) != 0
            self.moved_by[key] = self.moved_by.get(key, moving) | moving

        for column, path in enumerate(nominal.plan.paths):
            low, high = ends.figures[0::2, column], ends.figures[1::2, column]
            for sign in (-1.0, 1.0):
                note(path, values[column], low, high, sign)
        margins = {key: finding.margin for key, finding in keyed(nominal.findings).items()}
        for column, judged in enumerate(ends.judged):
            margin = margins.get(judged)
            if margin is not None:
                low, high = ends.margins[0::2, column], ends.margins[1::2, column]
                note(judged, margin, low, high, -1.0)
        self.shares = np.array(list(patterns), dtype=float)


class Summary:
    """The figures and the limits over all sets, told."""

    def __init__(
        self, asked: Asked, nominal: Nominal, corners: Corners, at_corners: Some, shares: Array, sets: Some
    ) -> None:
        self.asked = asked
        self.nominal = nominal
        self.corners = corners
        self.at_corners = at_corners
        self.done = np.isfinite(sets.figures).any(axis=1)
        self.sets = sets
        self.keys = [one.key for one in nominal.plan.tolerances]
        self.ranks = _ranked(shares[self.done])

    def report(self, stopped: str | None) -> ToleranceReport:
        """The report; ``stopped`` says why not all sets were run.

        Raises
        ------
        SimulationError
            If no set could be solved.
        """
        plan, failed = self.nominal.plan, self.sets.failed
        if not self.done.any() and stopped is None:
            raise SimulationError(f"no set of parts could be solved: {next(iter(failed.values()))}")
        limits = tuple(self._limits())
        accepted = {name_of(one.nominal) for one in limits if one.accepted is not None}
        counted = [
            column
            for column, (rule, subject, _) in enumerate(self.sets.judged)
            if f"{rule} {subject}" not in accepted
        ]
        return ToleranceReport(
            title=plan.filled.supply.title,
            asked=self.asked.sets,
            done=int(self.done.sum()),
            failed=len(failed),
            why_failed=next(iter(failed.values()), None),
            corners=len(self.corners.shares),
            seed=self.asked.seed,
            level=self.asked.level,
            states=self.asked.states,
            tolerances=plan.tolerances,
            figures=tuple(self._figures()),
            limits=limits,
            over=int(self.sets.broken[:, counted].any(axis=1).sum()),
            cautions=self.nominal.cautions,
            stopped=stopped,
        )

    def _figures(self) -> Iterator[Spreading]:
        values, done = self.nominal.values(), self.sets.figures[self.done]
        drivers = self._drivers(done, self.nominal.plan.paths)
        for column, path in enumerate(self.nominal.plan.paths):
            lowest, highest = (self._at_corner(path, column, sign) for sign in (-1.0, 1.0))
            p5, p95 = np.percentile(done[:, column], [5, 95]) if len(done) else (np.nan, np.nan)
            state, name = path
            yield Spreading(
                state, name, float(values[column]), lowest, float(p5), float(p95), highest, drivers[column]
            )

    def _at_corner(self, path: Path, column: int, sign: float) -> float:
        return float(self.at_corners.figures[self.corners.of[path, sign], column])

    def _limits(self) -> Iterator[Held]:
        accepted = self.nominal.plan.filled.supply.accepted
        # Of how near the limit is: what brings a figure there has a positive correlation.
        drivers = self._drivers(-self.sets.margins[self.done], self.sets.judged)
        for judged, finding in keyed(self.nominal.findings).items():
            column = self.sets.judged.index(judged) if judged in self.sets.judged else None
            worst = self._worst(judged)
            yield Held(
                nominal=finding,
                over=int(self.sets.broken[:, column].sum()) if column is not None else 0,
                worst=worst,
                broken_at_worst=worst is not None and is_broken(worst),
                drivers=drivers[column] if column is not None else (),
                accepted=accepted.get(name_of(finding)),
            )

    def _worst(self, judged: Judged) -> Finding | None:
        at = self.corners.of.get((judged, -1.0))
        if at is None:
            return None
        return keyed(self.at_corners.findings[at]).get(judged)

    def _drivers(self, columns: Array, names: Sequence[object]) -> list[tuple[Driver, ...]]:
        """What drives each column: the tolerances whose ranks go most with its own, beyond chance.

        Only those that move it by themselves: in few sets others go with it by accident.
        """
        if len(columns) < 2:
            return [()] * len(names)
        correlations = self.ranks.T @ _ranked(columns) / len(columns)
        chance = _SURE / np.sqrt(len(columns) - 1)
        found = []
        for name, column in zip(names, correlations.T, strict=True):
            moving = self.corners.moved_by.get(name, np.zeros(len(column), dtype=bool))
            size = np.where(moving, np.abs(column), 0.0)
            order = np.argsort(-size, kind="stable")[:_DRIVERS]
            found.append(tuple(Driver(self.keys[at], float(column[at])) for at in order if size[at] > chance))
        return found


def _ranked(columns: NDArray[np.float64]) -> Array:
    """Ranks of each column, of mean 0 and deviation 1; ties share theirs, a constant column is all 0.

    The mean product of two such columns is Spearman's rank correlation.
    """
    # scipy.stats takes half a second to load.
    from scipy.stats import rankdata

    if not len(columns):
        return np.zeros_like(columns)
    ranks = rankdata(np.nan_to_num(columns, nan=0.0), axis=0)
    ranks -= ranks.mean(axis=0)
    deviation = ranks.std(axis=0)
    scaled: Array = np.divide(ranks, deviation, out=np.zeros_like(ranks), where=deviation > 0)
    return scaled
