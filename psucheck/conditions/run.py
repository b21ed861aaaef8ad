"""Running the planned conditions: what each asks of the engine, and what comes back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from psucheck.circuit.build import build_network
from psucheck.circuit.condition import Condition, Readings
from psucheck.circuit.loads import grid_volts_for_idle
from psucheck.circuit.network import Capacitor, Choke, Core, Mains, Network
from psucheck.circuit.spice import Deck, write_deck
from psucheck.conditions.plan import level_volts, reading_level
from psucheck.engine.decay import Decay, run_down
from psucheck.engine.jobs import Job, Run, SteadyJob, TransientJob
from psucheck.engine.pool import Pool
from psucheck.engine.waveforms import mean
from psucheck.supply.filled import FilledSupply

PHASES = tuple(30.0 * k for k in range(12))
"""Phases of switch-on that are tried, all the way round: residual flux and half-wave circuits tell the half
cycles apart."""
_SWITCH_ON_SECONDS = 1.0
_SWITCH_OFF_SECONDS = 60.0
_TRIAL_CYCLES = 2.0
_ON_STEP, _OFF_STEP = 100e-6, 10e-3


@dataclass(frozen=True)
class Outcome:
    """A condition, the network it makes, and its run (or, for a linear decay, that)."""

    condition: Condition
    network: Network
    run: Run | None
    decay: Decay | None = None
    max_step: float = 0.0
    """Longest step of a transient's run [s]."""
    bias_reset: bool = False
    """Whether the bias pot has been turned since the readings were taken."""


def start_states(network: Network) -> np.ndarray:
    """First guess of the states [SI], in the network's order."""
    return np.array([_start(element) for element in network.states])


def _start(element: object) -> float:
    if isinstance(element, Capacitor):
        return element.start_volts
    if isinstance(element, Core):
        return 0.0
    assert isinstance(element, Choke)
    return element.henries * element.start_amps


def place_readings(filled: FilledSupply, pool: Pool) -> Readings:
    """Run the supply at its wall voltage, drawing just what was read, and place the readings on it.

    A node without ``was`` takes the volts computed there, in the proportion in which the nearest node above
    it that has one was read against computed. The bias pot stands where ``set`` comes out.
    """
    computed = _drawing_as_read(filled, pool)
    placed = {name: _placed(filled, name, computed) for name in computed}
    shares = {
        name: output.grid_volts / computed[output.bias_node]
        for name, output in filled.outputs.items()
        if output.bias_node is not None and computed[output.bias_node]
    }
    return Readings(placed, shares)


def reset_bias(filled: FilledSupply, readings: Readings, pool: Pool) -> Readings:
    """The readings with each bias pot turned until the idle current is again what was read.

    At that current every rail of ``filled`` stands where it does when the valves draw just that; from the
    screen's volts there the law gives the grid's.
    """
    computed = _drawing_as_read(filled, pool)
    shares = dict(readings.grid_shares)
    for name, output in filled.outputs.items():
        if output.bias_node is None or not computed[output.bias_node]:
            continue
        wanted = grid_volts_for_idle(output, readings, computed)
        shares[name] = wanted / computed[output.bias_node]
    return Readings(readings.volts, shares, reset=True)


def _drawing_as_read(filled: FilledSupply, pool: Pool) -> dict[str, float]:
    """Volts of each node at the wall voltage (nominal, if not known) when everything draws what was read."""
    level = reading_level(filled.mains)
    condition = Condition("idle", level, level_volts(filled.mains)[level], as_read=True)
    network = build_network(filled, condition, Readings())
    run = pool.run([[SteadyJob(write_deck(network), start_states(network))]])[0][0]
    return {
        name: mean(run.waveforms.time, run.waveforms.node(node))
        for name, node in network.layout.nodes.items()
    }


def _placed(filled: FilledSupply, name: str, computed: dict[str, float]) -> float:
    at: str | None = name
    while at is not None:
        was = filled.nodes[at].was
        if was is not None and computed[at]:
            return computed[name] * was / computed[at]
        source = filled.nodes[at].source
        at = source.name if source.kind == "node" else None
    return computed[name]


def run_conditions(
    filled: FilledSupply, conditions: Sequence[Condition], readings: Readings, pool: Pool
) -> list[Outcome]:
    """Run ``conditions`` on the pool's workers; outcomes in the same order.

    Raises
    ------
    SimulationError
        If any of them fails: no figure is handed out then.
    """
    networks = {c: build_network(filled, c, readings) for c in conditions}
    chains = _chains(conditions)
    jobs = [[_job(filled, c, networks[c], readings, chain) for c in chain] for chain in chains]
    runs = {}
    for chain, results in zip(chains, pool.run(jobs), strict=True):
        runs.update(dict(zip(chain, results, strict=True)))
    outcomes = []
    for condition in conditions:
        network = networks[condition]
        if condition.state == "switch-off, valves out":
            before = next(c for c in runs if c.state == "valves out" and c.level == condition.level)
            states = runs[before].states
            outcomes.append(Outcome(condition, network, None, run_down(network, states)))
        else:
            step = _OFF_STEP if condition.state == "switch-off" else _ON_STEP
            outcomes.append(Outcome(condition, network, runs[condition], None, step, readings.reset))
    return outcomes


def _chains(conditions: Sequence[Condition]) -> list[list[Condition]]:
    """Conditions that are run one after another in one worker, the longest chain first.

    Loaded ones start from one another's solution; switch-off starts from the one it follows.
    """
    loaded = [c for c in conditions if c.state in ("idle", "full output")]
    # Switch-off follows idle at the same mains, so that comes last of the idle ones.
    loaded.sort(key=lambda c: (c.state == "idle", c.level == "high"))
    loaded = (
        [c for c in loaded if c.state == "idle" and c.level != "high"]
        + [c for c in loaded if c.state == "full output"]
        + [c for c in loaded if c.state == "idle" and c.level == "high"]
    )
    chains = [loaded + [c for c in conditions if c.state == "switch-off"]] if loaded else []
    for state in ("valves out", "cold", "standby open"):
        chains.append([c for c in conditions if c.state == state])
    chains += [[c] for c in conditions if c.state in ("switch-on", "switch-on, valves cold")]
    return [chain for chain in chains if chain]


def _job(
    filled: FilledSupply,
    condition: Condition,
    network: Network,
    readings: Readings,
    chain: Sequence[Condition],
) -> Job:
    deck = write_deck(network)
    if condition.state == "switch-off":
        return TransientJob((deck,), None, _SWITCH_OFF_SECONDS, _OFF_STEP)
    if condition.transient:
        return _switch_on(condition, network, deck)
    place = chain.index(condition)
    before = chain[place - 1] if place else None
    carried = before is not None and condition.state in ("idle", "full output")
    scale = condition.volts / before.volts if before is not None else 1.0
    return SteadyJob(deck, start_states(network), carried, scale)


def _switch_on(condition: Condition, network: Network, deck: Deck) -> TransientJob:
    decks = tuple(replace(deck, lines=_at_phase(network, deck, phase)) for phase in PHASES)
    return TransientJob(
        decks,
        np.array([e.residual * e.rated_flux if isinstance(e, Core) else 0.0 for e in network.states]),
        _SWITCH_ON_SECONDS,
        _ON_STEP,
        trial_currents=_tried(condition, network, deck),
        trial_seconds=_TRIAL_CYCLES / deck.hertz,
    )


def _tried(condition: Condition, network: Network, deck: Deck) -> tuple[str, ...]:
    """The currents by which the worst phase is told: the mains', or with cold valves those of the rectifiers.

    The core takes most at a zero crossing, the capacitors at the crest: so each has a run of its own.
    """
    if condition.state == "switch-on":
        return (deck.currents[_mains(network).name],)
    return tuple(
        deck.currents[arm] for layout in network.layout.rectifiers.values() for arm in layout.outputs
    )


def _mains(network: Network) -> Mains:
    return next(element for element in network.elements if isinstance(element, Mains))


def _at_phase(network: Network, deck: Deck, phase: float) -> tuple[str, ...]:
    turned = replace(_mains(network), phase_degrees=phase)
    others = [turned if element == _mains(network) else element for element in network.elements]
    return write_deck(replace(network, elements=others)).lines
