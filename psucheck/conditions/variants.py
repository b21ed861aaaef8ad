"""The same conditions on slightly different supplies: what hangs on a guess."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from psucheck.circuit.build import build_network
from psucheck.circuit.condition import Condition, Readings
from psucheck.circuit.network import Network
from psucheck.circuit.spice import write_deck
from psucheck.conditions.chains import COURSES, chains, job, needed_for, start_states
from psucheck.conditions.plan import level_volts, reading_level
from psucheck.conditions.run import Outcome, readings_from
from psucheck.engine.decay import run_down
from psucheck.engine.jobs import Job, Run, SteadyJob, TransientJob
from psucheck.engine.pool import Runner
from psucheck.supply.filled import FilledSupply


@dataclass(frozen=True)
class Variant:
    """A supply that differs from the one it stands beside, with the same nodes and parts."""

    filled: FilledSupply
    found: FilledSupply
    """The supply in which the readings were taken, with the same difference."""


def run_variants(
    variants: Sequence[Variant],
    known: Sequence[Outcome],
    wanted: Collection[Condition],
    pool: Runner,
    *,
    step: float = 1.0,
) -> Iterator[list[Outcome]]:
    """The ``wanted`` conditions on each variant, those that are steady started from what is known.

    The readings are placed anew on each. The lists come one by one, a variant each: the waveforms of the
    transients of many variants would fill the memory.

    Parameters
    ----------
    known
        Outcomes on the supply that the variants stand beside: those wanted, and what they start from.
    step
        Longest step of the transients, as a multiple of the usual one.

    Yields
    ------
    The outcomes, in the order of ``known``.

    Raises
    ------
    SimulationError
        If a run fails.
    """
    readings = _readings(variants, pool)
    steady = [o for o in known if o.condition in wanted and not o.condition.transient]
    transient = [c for c in (o.condition for o in known) if c in wanted and c.transient]
    runs = _steady_runs(variants, readings, steady, pool)
    for start in range(0, len(variants), pool.workers):
        batch = range(start, min(start + pool.workers, len(variants)))
        courses = _courses(
            [variants[n] for n in batch], [readings[n] for n in batch], transient, known, pool, step
        )
        for number, course in zip(batch, courses, strict=True):
            found = course | runs[number]
            yield [found[o.condition] for o in known if o.condition in found]


def _steady_runs(
    variants: Sequence[Variant], readings: Sequence[Readings], known: Sequence[Outcome], pool: Runner
) -> list[dict[Condition, Outcome]]:
    """The conditions of ``known`` on each variant, each condition on one worker."""
    networks = [
        [
            build_network(variant.filled, outcome.condition, placed)
            for variant, placed in zip(variants, readings, strict=True)
        ]
        for outcome in known
    ]
    runs = pool.run(
        [
            [_from_known(network, outcome) for network in built]
            for built, outcome in zip(networks, known, strict=True)
        ]
    )
    return [
        {
            outcome.condition: Outcome(outcome.condition, networks[place][number], runs[place][number])
            for place, outcome in enumerate(known)
        }
        for number in range(len(variants))
    ]


def _courses(
    variants: Sequence[Variant],
    readings: Sequence[Readings],
    wanted: Sequence[Condition],
    known: Sequence[Outcome],
    pool: Runner,
    step: float,
) -> list[dict[Condition, Outcome]]:
    """The transients of each variant, with what they start from before them in one worker."""
    conditions = [outcome.condition for outcome in known]
    needed = dict.fromkeys(c for one in wanted for c in _before(one, conditions))
    links = chains([c for c in needed if c.state in COURSES or not c.transient])
    networks = [
        {c: build_network(variant.filled, c, placed) for c in needed}
        for variant, placed in zip(variants, readings, strict=True)
    ]
    started = {outcome.condition: outcome for outcome in known}
    asked = [
        [_job(c, built, chain, started, step, only_begun=c not in wanted) for c in chain]
        for built in networks
        for chain in links
    ]
    results = iter(pool.run(asked))
    found = []
    for built in networks:
        runs = {c: run for chain in links for c, run in zip(chain, next(results), strict=True)}
        found.append({c: _outcome(c, built[c], runs, step) for c in wanted})
    return found


def _before(condition: Condition, conditions: Sequence[Condition]) -> list[Condition]:
    """``condition`` behind what it starts from."""
    if condition.state in COURSES:
        return needed_for(condition, conditions)
    start = next(c for c in conditions if c.state == "valves out" and c.level == condition.level)
    return [start, condition]


def _outcome(condition: Condition, network: Network, runs: Mapping[Condition, Run], step: float) -> Outcome:
    course = COURSES.get(condition.state)
    if course is None:
        start = next(c for c in runs if c.state == "valves out" and c.level == condition.level)
        return Outcome(condition, network, None, run_down(network, runs[start].states))
    return Outcome(condition, network, runs[condition], None, step * course.max_step)


def _job(
    condition: Condition,
    networks: Mapping[Condition, Network],
    chain: Sequence[Condition],
    known: Mapping[Condition, Outcome],
    step: float,
    *,
    only_begun: bool,
) -> Job:
    """What is asked for ``condition``; one from whose course another starts is run no further than that."""
    if condition.state not in COURSES:
        return _from_known(networks[condition], known[condition])
    asked = job(condition, networks, chain)
    assert isinstance(asked, TransientJob)  # those of COURSES are
    if only_begun:
        asked = replace(asked, seconds=max(COURSES[c.state].at for c in chain if c.state in COURSES))
    return replace(asked, max_step=step * asked.max_step)


def _from_known(network: Network, outcome: Outcome) -> SteadyJob:
    assert outcome.run is not None
    return SteadyJob(write_deck(network), outcome.run.states, jacobian=outcome.run.jacobian, fine=False)


def _reading_job(network: Network, index: int) -> SteadyJob:
    """The first of a chain searches, the others start from its solution."""
    return SteadyJob(
        write_deck(network), start_states(network), carry=index > 0, carry_from=0, loaded=True, fine=False
    )


def _readings(variants: Sequence[Variant], pool: Runner) -> list[Readings]:
    """The readings placed on each variant, split over the workers."""
    mains = variants[0].found.mains
    level = reading_level(mains)
    condition = Condition("idle", level, level_volts(mains)[level], as_read=True)
    networks = [build_network(variant.found, condition, Readings()) for variant in variants]
    share = -(-len(networks) // pool.workers)
    parts = [networks[start : start + share] for start in range(0, len(networks), share)]
    results = pool.run(
        [[_reading_job(network, index) for index, network in enumerate(part)] for part in parts]
    )
    runs = [run for chain in results for run in chain]
    return [
        readings_from(variant.found, network, run)
        for variant, network, run in zip(variants, networks, runs, strict=True)
    ]
