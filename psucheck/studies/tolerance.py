"""How a verdict holds over the tolerances of the parts: corners, and a random study from a seed.

First every value that may be off is put at each end of its range, by itself. That tells which end of each
value brings a figure up or down, so which corner is the worst for it, and how the periodic solution moves,
so where to look for that of any set. Then the corners are run, then the random sets.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches
from fnmatch import fnmatchcase
from functools import partial

import numpy as np
from numpy.typing import NDArray

from psucheck.checks.finding import Finding
from psucheck.checks.limits import Limits
from psucheck.checks.own_limits import limits_of
from psucheck.checks.registry import name_of
from psucheck.circuit.condition import Condition, Level, State
from psucheck.conditions.plan import level_volts
from psucheck.engine.simulator import SimulationError
from psucheck.report.tolerance_view import Driver, Held, Spreading, ToleranceReport
from psucheck.studies.many import Failed, Workers, run_many
from psucheck.studies.sets import (
    Array,
    Judged,
    Nominal,
    Path,
    Plan,
    Some,
    is_broken,
    keyed,
    run_sets,
    solve_nominal,
)
from psucheck.supply.fill import fill
from psucheck.supply.filled import FilledSupply
from psucheck.supply.model import Description
from psucheck.supply.tolerances import Tolerance, tolerances

STATES: tuple[State, ...] = ("idle", "full output", "valves out")
"""What is run, unless told otherwise."""
STATES_ALLOWED: tuple[State, ...] = ("idle", "full output", "cold", "valves out")
MOST_SETS = 100_000

_CHUNK = 20
"""Sets that a worker takes at a time. Fixed, so that nothing hangs on the number of workers."""
_COUNTS = 0.02
"""A value that moves a figure by less than this share of what all do together stays nominal in its corner."""
_SURE = 3.0
"""Correlations below so many standard deviations of pure chance, 1/sqrt(n - 1), name no driver."""
_DRIVERS = 3

Told = Callable[[str, int, int], None]
"""Called with what is being run, how many of how many are done."""


class BadOption(ValueError):
    """An option of the study cannot be used; the message names it, what was given and what is allowed."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked of the study: random sets, the seed, the states, the mains (None: over their range)."""

    sets: int = 1000
    seed: int = 1
    states: tuple[State, ...] = STATES
    level: Level | None = None
    only: tuple[str, ...] = ()
    """Patterns of the keys of what is off, ``"filter.*.capacitance"``; none: all."""

    def __post_init__(self) -> None:
        if not 1 <= self.sets <= MOST_SETS:
            raise BadOption(f"--sets {self.sets}: a whole number from 1 to {MOST_SETS} is wanted")
        if self.seed < 0:
            raise BadOption(f"--seed {self.seed}: a whole number from 0 up is wanted")


def states_of(text: str) -> tuple[State, ...]:
    """The states that ``"idle, valves out"`` names, each once.

    Raises
    ------
    BadOption
        For one that is not among them, and for none.
    """
    allowed = {state: state for state in STATES_ALLOWED}
    found = []
    for name in (part.strip() for part in text.split(",")):
        if name not in allowed:
            choice = ", ".join(f'"{state}"' for state in allowed)
            near = get_close_matches(name, list(allowed), n=1)
            hint = f' Did you mean "{near[0]}"?' if near else ""
            raise BadOption(f'--states "{name}": any of {choice} is wanted.{hint}')
        found.append(allowed[name])
    return tuple(dict.fromkeys(found))


def tolerance(
    description: Description,
    asked: Asked,
    workers: Workers,
    limits: Limits | None = None,
    told: Told | None = None,
) -> ToleranceReport:
    """Study a description (the proposed supply, where it has one) over the tolerances of its parts.

    The readings are placed once, on the nominal supply: valves and the bias pot stay as they were read and
    set. Interrupted, it reports on what was run by then.

    Raises
    ------
    SimulationError
        If the nominal supply, or no set at all, can be solved.
    BadOption
        If the mains were never read at the level asked for, or nothing of the supply fits a pattern.
    """
    found = fill(description.found)
    filled = fill(description.proposed, loads_of=found) if description.proposed is not None else found
    volts = level_volts(filled.mains)
    if asked.level is not None and asked.level not in volts:
        raise BadOption(f'--mains {asked.level}: the description does not say what the wall reads ("wall")')
    level = asked.level or "nominal"
    conditions = tuple(Condition(state, level, volts[level]) for state in asked.states)
    off = _off(tolerances(filled), asked)
    study = _Study(asked, workers, told or (lambda what, done, total: None))
    return study.run(found, filled, conditions, off, limits or limits_of(description.found))


def _off(every: Sequence[Tolerance], asked: Asked) -> tuple[Tolerance, ...]:
    """What is off, by the patterns of ``only``; the mains only where they are drawn."""
    known = [one.key for one in every]
    for pattern in asked.only:
        if not any(fnmatchcase(key, pattern) for key in known):
            near = get_close_matches(pattern, known, n=3, cutoff=0.4)
            hint = f"; near it: {', '.join(near)}" if near else ""
            raise BadOption(f'--only "{pattern}": nothing of this supply that may be off is called so{hint}')
    wanted = [one for one in every if not asked.only or any(fnmatchcase(one.key, p) for p in asked.only)]
    found = tuple(one for one in wanted if one.key != "mains" or asked.level is None)
    if not found:
        raise BadOption(f"--mains {asked.level} holds the mains, and --only leaves nothing else to be off")
    return found


def draws(off: Sequence[Tolerance], sets: int, seed: int) -> Array:
    """How far each value is off in each set, as shares of the way to its ends [sets x values].

    Made by PCG64 from ``seed`` alone, set by set: the first hundred of a thousand are those of a hundred.
    Half of all lie below nominal and half above, where a value may be off both ways. Uniform, or (``peaked``)
    the triangle that is highest at nominal.
    """
    uniform = np.random.Generator(np.random.PCG64(seed)).random((sets, len(off)))
    shares = np.empty_like(uniform)
    for column, one in enumerate(off):
        u = uniform[:, column]
        both = one.low < 1.0 < one.high
        distance = u if not both else np.abs(2.0 * u - 1.0)
        if one.shape == "peaked":
            distance = 1.0 - np.sqrt(1.0 - distance)
        sign = np.sign(2.0 * u - 1.0) if both else (-1.0 if one.low < 1.0 else 1.0)
        shares[:, column] = sign * distance
    return shares


def one_at_a_time(count: int) -> Array:
    """Each value at its low and then at its high end, the others nominal [2 count x count]."""
    ends = np.zeros((2 * count, count))
    ends[0::2] = -np.eye(count)
    ends[1::2] = np.eye(count)
    return ends


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


class _Study:
    def __init__(self, asked: Asked, workers: Workers, told: Told) -> None:
        self.asked = asked
        self.workers = workers
        self.told = told
        self.stopped: str | None = None

    def run(
        self,
        found: FilledSupply,
        filled: FilledSupply,
        conditions: tuple[Condition, ...],
        off: tuple[Tolerance, ...],
        limits: Limits,
    ) -> ToleranceReport:
        nominal = self._nominal(found, filled, conditions, off, limits)
        ends = self._sets("each part by itself", nominal.plan, one_at_a_time(len(off)), moves=True)
        plan = _with_moves(nominal.plan, ends)
        corners = _Corners(nominal, ends)
        at_corners = self._sets("corners", plan, corners.shares, findings=True)
        shares = draws(off, self.asked.sets, self.asked.seed)
        sets = self._sets("sets", plan, shares)
        return _Summary(self.asked, nominal, corners, at_corners, shares, sets).report(self.stopped)

    def _nominal(
        self,
        found: FilledSupply,
        filled: FilledSupply,
        conditions: tuple[Condition, ...],
        off: tuple[Tolerance, ...],
        limits: Limits,
    ) -> Nominal:
        task = partial(_solve, found=found, filled=filled, off=off, limits=limits)
        done = run_many(task, [conditions], self.workers)
        if not done.results:
            raise KeyboardInterrupt if done.stopped == "stopped" else SimulationError(done.stopped or "")
        solved = done.results[0]
        if isinstance(solved, Failed):
            raise SimulationError(solved.why)
        return solved

    def _sets(
        self, what: str, plan: Plan, shares: Array, *, findings: bool = False, moves: bool = False
    ) -> Some:
        """All the sets, or those that were run before it was stopped: the rest are rows of no numbers."""
        chunks = [shares[start : start + _CHUNK] for start in range(0, len(shares), _CHUNK)]
        if self.stopped is not None:
            chunks = []
        task = partial(run_sets, plan.packed(), findings=findings, moves=moves)
        count = len(shares)
        self.told(what, 0, count)
        done = run_many(
            task, chunks, self.workers, lambda ready: self.told(what, min(ready * _CHUNK, count), count)
        )
        self.stopped = self.stopped or done.stopped
        return _joined(plan, count, done.results)


def _solve(
    conditions: tuple[Condition, ...],
    *,
    found: FilledSupply,
    filled: FilledSupply,
    off: tuple[Tolerance, ...],
    limits: Limits,
) -> Nominal:
    return solve_nominal(found, filled, conditions, off, limits)


def _with_moves(plan: Plan, ends: Some) -> Plan:
    """The plan, knowing how each solution moves with each value; what is not known moves nothing."""
    known = []
    for number, one in enumerate(plan.known):
        still = np.zeros_like(one.states)
        moves = np.array([moved[number] if moved else still for moved in ends.moves])
        known.append(replace(one, low=moves[0::2], high=moves[1::2]))
    return replace(plan, known=tuple(known))


def _joined(plan: Plan, count: int, parts: Mapping[int, Some | Failed]) -> Some:
    """The rows of all chunks, each in its place."""
    figures = np.full((count, len(plan.paths)), np.nan)
    some = {number: part for number, part in parts.items() if isinstance(part, Some)}
    judged = tuple(dict.fromkeys(key for part in some.values() for key in part.judged))
    margins = np.full((count, len(judged)), np.nan)
    broken = np.zeros((count, len(judged)), dtype=bool)
    findings: list[tuple[Finding, ...]] = [()] * count
    moves: list[tuple[Array, ...]] = [()] * count
    failed: dict[int, str] = {}
    for number, part in parts.items():
        start = number * _CHUNK
        if isinstance(part, Failed):
            failed |= dict.fromkeys(range(start, min(start + _CHUNK, count)), part.why)
            continue
        rows = slice(start, start + len(part.figures))
        columns = [judged.index(key) for key in part.judged]
        figures[rows] = part.figures
        margins[rows, columns] = part.margins
        broken[rows, columns] = part.broken
        findings[rows] = part.findings
        moves[rows] = part.moves or [()] * len(part.figures)
        failed |= {start + row: why for row, why in part.failed.items()}
    return Some(figures, judged, margins, broken, tuple(findings), tuple(moves), failed)


class _Corners:
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


class _Summary:
    """The figures and the limits over all sets, told."""

    def __init__(
        self, asked: Asked, nominal: Nominal, corners: _Corners, at_corners: Some, shares: Array, sets: Some
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
