"""Sets of parts, each off by its share: what a worker makes of some of them.

A worker builds, runs, measures and judges; only numbers go back. Each set is found from the nominal supply
alone, so what it comes to hangs neither on its neighbours nor on who ran it.
"""

from __future__ import annotations

import pickle
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from psucheck.checks.case import Case
from psucheck.checks.cautions import cautions
from psucheck.checks.finding import Finding
from psucheck.checks.limits import Limits
from psucheck.checks.registry import RULES, judge_all
from psucheck.circuit.build import build_network
from psucheck.circuit.condition import Condition, Readings, State
from psucheck.conditions.neighbours import Known, known, moved_by, neighbour_job
from psucheck.conditions.plan import plan as conditions_of
from psucheck.conditions.run import Outcome, place_readings, run_conditions
from psucheck.engine.here import in_worker
from psucheck.engine.simulator import SimulationError, States
from psucheck.figures.kept import kept_numbers
from psucheck.figures.measure import measure, measure_coarse
from psucheck.figures.model import Figures
from psucheck.supply.filled import FilledSupply
from psucheck.supply.tolerances import Tolerance
from psucheck.supply.varied import varied

Array = NDArray[np.float64]
Path = tuple[State, str]
"""State, and path of the figure in it."""
Judged = tuple[str, str, int]
"""Rule, subject, and which of its findings on that subject."""


_DANGERS: tuple[State, ...] = ("idle", "valves out", "switch-off", "switch-off, valves out")
"""What the cautions are told from."""


@dataclass(frozen=True)
class Plan:
    """What every set starts from.

    Attributes
    ----------
    filled, readings
        The nominal supply, and the readings as placed on the supply that they were taken on.
    tolerances
        What may be off, in the order of the columns of all shares.
    known
        The conditions, solved on the nominal supply.
    rules
        Those that had something to say of the nominal supply.
    paths
        The figures that are kept, in the order of the columns of all figures.
    """

    filled: FilledSupply
    readings: Readings
    tolerances: tuple[Tolerance, ...]
    known: tuple[Known, ...]
    limits: Limits
    rules: tuple[str, ...]
    paths: tuple[Path, ...]

    def packed(self) -> bytes:
        """The plan as bytes, of which a worker makes it once."""
        return pickle.dumps(self)


@dataclass(frozen=True)
class Nominal:
    """The nominal supply, solved: the plan, its figures by condition, and what the rules say of them."""

    plan: Plan
    figures: Mapping[str, Figures]
    findings: tuple[Finding, ...]
    cautions: tuple[str, ...]

    def values(self) -> Array:
        """Its kept figures, in the order of the plan's paths."""
        return _row(self.plan, [self.figures[one.condition.name] for one in self.plan.known])


@dataclass(frozen=True)
class Some:
    """What some sets came to, a row each; a row of no numbers where the simulation failed.

    Attributes
    ----------
    figures
        [sets x paths], SI.
    judged, margins, broken
        The findings, the margin that each left [sets x judged], and whether its limit was broken.
    findings
        Of each set, where they were asked for.
    moves
        Of each set and condition, how far its solution moved [n]; where asked for.
    failed
        Row -> why, in the simulator's words.
    """

    figures: Array
    judged: tuple[Judged, ...]
    margins: Array
    broken: NDArray[np.bool_]
    findings: tuple[tuple[Finding, ...], ...] = ()
    moves: tuple[tuple[States, ...], ...] = ()
    failed: Mapping[int, str] = field(default_factory=dict)


def solve_nominal(
    found: FilledSupply,
    filled: FilledSupply,
    conditions: Sequence[Condition],
    tolerances: tuple[Tolerance, ...],
    limits: Limits,
) -> Nominal:
    """Solve ``conditions`` on the nominal supply, in this process; the readings were taken on ``found``.

    Raises
    ------
    SimulationError
        If a run fails.
    """
    here = in_worker()
    readings = place_readings(found, here)
    outcomes = run_conditions(filled, conditions, readings, here)
    solved = []
    for outcome in outcomes:
        assert outcome.run is not None
        solved.append(known(outcome.condition, outcome.network, outcome.run))
    plan = Plan(filled, readings, tolerances, tuple(solved), limits, tuple(r.ID for r in RULES), ())
    # As every set is measured, without the final run at half the step: nominal must be a set like any other.
    figures = {
        outcome.condition.name: measure_coarse(outcome)
        for outcome in _outcomes(plan, np.zeros(len(tolerances)))
    }
    judged = _judged(plan, figures)
    telling = {finding.rule for finding in judged if finding.verdict != "not checked"}
    paths = tuple(
        (condition.state, path) for condition in conditions for path in kept_numbers(figures[condition.name])
    )
    rules = tuple(rule for rule in plan.rules if rule in telling)
    findings = tuple(finding for finding in judged if finding.rule in telling)
    return Nominal(replace(plan, rules=rules, paths=paths), figures, findings, _cautions(plan))


def _cautions(asked: Plan) -> tuple[str, ...]:
    """The cautions of the nominal supply, at high mains, where its rails stand highest."""
    conditions = [c for c in conditions_of(asked.filled) if c.level == "high" and c.state in _DANGERS]
    outcomes = run_conditions(asked.filled, conditions, asked.readings, in_worker())
    figures = {outcome.condition.name: measure(outcome) for outcome in outcomes}
    case = Case(asked.filled.supply, figures, asked.filled.assumptions)
    return tuple(cautions(case, asked.limits))


def run_sets(packed: bytes, shares: Array, *, findings: bool = False, moves: bool = False) -> Some:
    """Run, measure and judge sets of parts, one after another in this process.

    Parameters
    ----------
    packed
        A :class:`Plan`.
    shares
        How far each value is off: -1 its low end, 0 nominal, 1 its high end [sets x tolerances].
    findings, moves
        Whether these are wanted back.
    """
    plan = _unpacked(packed)
    rows = _Rows(plan, len(shares))
    for number, share in enumerate(shares):
        try:
            outcomes = _outcomes(plan, share)
            figures = [measure_coarse(outcome) for outcome in outcomes]
        except SimulationError as error:
            rows.fail(number, str(error), moves)
            continue
        by_name = {each.name: each for each in figures}
        rows.add(number, figures, _judged(plan, by_name))
        if moves:
            rows.note_moves(outcomes)
    return rows.some(findings=findings)


@lru_cache(maxsize=1)
def _unpacked(packed: bytes) -> Plan:
    held = pickle.loads(packed)
    assert isinstance(held, Plan)
    return held


def _outcomes(plan: Plan, shares: Array) -> list[Outcome]:
    """The plan's conditions on one set of parts."""
    factors = {one.key: one.factor(float(share)) for one, share in zip(plan.tolerances, shares, strict=True)}
    supply = varied(plan.filled, factors)
    mains = factors.get("mains", 1.0)
    conditions = [replace(one.condition, volts=one.condition.volts * mains) for one in plan.known]
    networks = [build_network(supply, condition, plan.readings) for condition in conditions]
    jobs = [neighbour_job(*each, shares) for each in zip(plan.known, networks, strict=True)]
    (runs,) = in_worker().run([jobs])
    return [Outcome(*each) for each in zip(conditions, networks, runs, strict=True)]


def _judged(plan: Plan, figures: Mapping[str, Figures]) -> list[Finding]:
    """What the rules say of the supply as it is marked; nothing is accepted here."""
    rules = [rule for rule in RULES if rule.ID in plan.rules]
    quiet = plan.filled.supply.model_copy(update={"accepted": {}})
    return judge_all(Case(quiet, figures, plan.filled.assumptions), plan.limits, rules)


def is_broken(finding: Finding) -> bool:
    """Whether its limit is broken: a breach is one, too, where a guess made the rule call it marginal.

    The guess has been put somewhere in its range here, with all else that hangs on it.
    """
    if finding.verdict == "over":
        return True
    return finding.verdict == "marginal" and finding.guessed and (finding.margin or 0.0) < 0.0


def keyed(findings: Sequence[Finding]) -> dict[Judged, Finding]:
    """Each finding under its rule and subject; several on one subject in the order of their limits."""
    found: dict[Judged, Finding] = {}
    ordered = sorted(findings, key=lambda one: (one.unit, one.limit or 0.0))
    for finding in ordered:
        number = 0
        while (finding.rule, finding.subject, number) in found:
            number += 1
        found[finding.rule, finding.subject, number] = finding
    return found


def _row(plan: Plan, figures: Sequence[Figures]) -> Array:
    held: dict[Path, float] = {
        (one.condition.state, path): value
        for one, each in zip(plan.known, figures, strict=True)
        for path, value in kept_numbers(each).items()
    }
    return np.array([held.get(path, np.nan) for path in plan.paths])


class _Rows:
    """The rows of some sets, as they come."""

    def __init__(self, plan: Plan, count: int) -> None:
        self.plan = plan
        self.figures = np.full((count, len(plan.paths)), np.nan)
        self.of_sets: dict[int, dict[Judged, Finding]] = {}
        self.moves: list[tuple[States, ...]] = []
        self.failed: dict[int, str] = {}

    def add(self, number: int, figures: Sequence[Figures], findings: Sequence[Finding]) -> None:
        self.figures[number] = _row(self.plan, figures)
        self.of_sets[number] = keyed(findings)

    def note_moves(self, outcomes: Sequence[Outcome]) -> None:
        self.moves.append(tuple(self._moves(outcomes)))

    def _moves(self, outcomes: Sequence[Outcome]) -> Iterator[States]:
        for one, outcome in zip(self.plan.known, outcomes, strict=True):
            assert outcome.run is not None
            yield moved_by(one, outcome.network, outcome.run.states)

    def fail(self, number: int, why: str, moves: bool) -> None:
        self.failed[number] = why
        if moves:
            self.moves.append(tuple(np.zeros_like(one.states) for one in self.plan.known))

    def some(self, *, findings: bool) -> Some:
        judged = tuple(dict.fromkeys(key for each in self.of_sets.values() for key in each))
        margins = np.full((len(self.figures), len(judged)), np.nan)
        broken = np.zeros(margins.shape, dtype=bool)
        for number, held in self.of_sets.items():
            for column, key in enumerate(judged):
                finding = held.get(key)
                if finding is not None:
                    broken[number, column] = is_broken(finding)
                    if finding.margin is not None:
                        margins[number, column] = finding.margin
        kept = tuple(
            tuple(self.of_sets.get(number, {}).values()) if findings else ()
            for number in range(len(self.figures))
        )
        return Some(self.figures, judged, margins, broken, kept, tuple(self.moves), self.failed)
