"""The same conditions on slightly different supplies: what hangs on a guess."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from psucheck.circuit.build import build_network
from psucheck.circuit.condition import Condition, Readings
from psucheck.circuit.network import Network
from psucheck.circuit.spice import write_deck
from psucheck.conditions.chains import start_states
from psucheck.conditions.plan import level_volts, reading_level
from psucheck.conditions.run import Outcome, readings_from
from psucheck.engine.jobs import SteadyJob
from psucheck.engine.pool import Pool
from psucheck.supply.filled import FilledSupply


@dataclass(frozen=True)
class Variant:
    """A supply that differs from the one it stands beside, with the same nodes and parts."""

    filled: FilledSupply
    found: FilledSupply
    """The supply in which the readings were taken, with the same difference."""


def run_variants(variants: Sequence[Variant], known: Sequence[Outcome], pool: Pool) -> list[list[Outcome]]:
    """The steady conditions of ``known`` on each variant, started from their solutions; a list a variant.

    The readings are placed anew on each.

    Raises
    ------
    SimulationError
        If a run fails.
    """
    readings = _readings(variants, pool)
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
        [
            Outcome(outcome.condition, networks[place][number], runs[place][number])
            for place, outcome in enumerate(known)
        ]
        for number in range(len(variants))
    ]


def _from_known(network: Network, outcome: Outcome) -> SteadyJob:
    assert outcome.run is not None
    return SteadyJob(write_deck(network), outcome.run.states, jacobian=outcome.run.jacobian, fine=False)


def _reading_job(network: Network, index: int) -> SteadyJob:
    """The first of a chain searches, the others start from its solution."""
    return SteadyJob(
        write_deck(network), start_states(network), carry=index > 0, carry_from=0, loaded=True, fine=False
    )


def _readings(variants: Sequence[Variant], pool: Pool) -> list[Readings]:
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
