"""How a verdict holds over the tolerances of the parts: corners, and a random study from a seed.

First every value that may be off is put at each end of its range, by itself. That tells which end of each
value brings a figure up or down, so which corner is the worst for it, and how the periodic solution moves,
so where to look for that of any set. Then the corners are run, then the random sets.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from difflib import get_close_matches
from fnmatch import fnmatchcase
from functools import partial

import numpy as np

from psucheck.checks.finding import Finding
from psucheck.checks.limits import Limits
from psucheck.checks.own_limits import limits_of
from psucheck.circuit.condition import Condition
from psucheck.conditions.plan import level_volts
from psucheck.engine.simulator import SimulationError
from psucheck.report.tolerance_view import ToleranceReport
from psucheck.studies.many import Failed, Workers, run_many
from psucheck.studies.sets import (
    Array,
    Nominal,
    Plan,
    Some,
    run_sets,
    solve_nominal,
)
from psucheck.studies.tolerance_options import Asked, BadOption
from psucheck.studies.tolerance_summary import Corners, Summary
from psucheck.supply.fill import fill
from psucheck.supply.filled import FilledSupply
from psucheck.supply.model import Description
from psucheck.supply.tolerances import Tolerance, tolerances

_CHUNK = 20
"""Sets that a worker takes at a time. Fixed, so that nothing hangs on the number of workers."""

Told = Callable[[str, int, int], None]
"""Called with what is being run, how many of how many are done."""


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
        corners = Corners(nominal, ends)
        at_corners = self._sets("corners", plan, corners.shares, findings=True)
        shares = draws(off, self.asked.sets, self.asked.seed)
        sets = self._sets("sets", plan, shares)
        return Summary(self.asked, nominal, corners, at_corners, shares, sets).report(self.stopped)

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
