"""Running the planned conditions: what each asks of the engine, and what comes back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from psucheck.circuit.build import build_network
from psucheck.circuit.condition import Condition, Readings
from psucheck.circuit.loads import grid_volts_for_idle
from psucheck.circuit.network import Network
from psucheck.circuit.spice import write_deck
from psucheck.conditions.chains import COURSES, chains, job, start_states
from psucheck.conditions.plan import level_volts, reading_level
from psucheck.engine.decay import Decay, run_down
from psucheck.engine.jobs import Run, SteadyJob
from psucheck.engine.pool import Runner
from psucheck.engine.waveforms import mean
from psucheck.supply.filled import FilledSupply


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


def place_readings(filled: FilledSupply, pool: Runner) -> Readings:
    """Run the supply at its wall voltage, drawing just what was read, and place the readings on it.

    A node without ``was`` takes the volts computed there, in the proportion in which the nearest node above
    it that has one was read against computed. The bias pot stands where ``set`` comes out.
    """
    return _readings_at(filled, _drawing_as_read(filled, pool))


def readings_from(filled: FilledSupply, network: Network, run: Run) -> Readings:
    """The readings placed by a run that draws just what was read."""
    return _readings_at(filled, _node_volts(network, run))


def _readings_at(filled: FilledSupply, computed: dict[str, float]) -> Readings:
    placed = {name: _placed(filled, name, computed) for name in computed}
    shares, grids = {}, {}
    for name, output in filled.outputs.items():
        if output.bias_node is None or not computed[output.bias_node]:
            continue
        if output.grid_volts is None:
            grids[name], shares[name] = computed[output.bias_node], 1.0
        else:
            shares[name] = output.grid_volts / computed[output.bias_node]
    return Readings(placed, shares, grids)


def reset_bias(filled: FilledSupply, readings: Readings, pool: Runner) -> Readings:
    """The readings with each bias pot turned until the idle current is again what was read.

    At that current every rail of ``filled`` stands where it does when the valves draw just that; from the
    screen's volts there the law gives the grid's.
    """
    computed = _drawing_as_read(without_missing(filled), pool)
    shares = dict(readings.grid_shares)
    for name, output in filled.outputs.items():
        if output.bias_node is None or not computed[output.bias_node]:
            continue
        wanted = grid_volts_for_idle(name, output, readings, computed)
        shares[name] = wanted / computed[output.bias_node]
    return replace(readings, grid_shares=shares, reset=True)


def without_missing(filled: FilledSupply) -> FilledSupply:
    """The supply as if the valves that are missing had never been there, in no reading either."""
    outputs = {
        name: replace(
            output,
            count=output.standing,
            missing=0,
            anode_amps=output.anode_amps * output.share,
            screen_amps=output.screen_amps * output.share,
            screen_ohms=output.screen_ohms / output.share,
        )
        for name, output in filled.outputs.items()
    }
    heaters = tuple(replace(h, amps=h.amps - h.pulled_amps, pulled_amps=0.0) for h in filled.heaters)
    return replace(filled, outputs=outputs, heaters=heaters)


def _drawing_as_read(filled: FilledSupply, pool: Runner) -> dict[str, float]:
    """Volts of each node at the wall voltage (nominal, if not known) when everything draws what was read."""
    level = reading_level(filled.mains)
    condition = Condition("idle", level, level_volts(filled.mains)[level], as_read=True)
    network = build_network(filled, condition, Readings())
    job = SteadyJob(
        write_deck(network),
        start_states(network),
        loaded=network.layout.drawn,
        what=f"drawing what was read, {level} mains",
    )
    run = pool.run([[job]])[0][0]
    return _node_volts(network, run)


def _node_volts(network: Network, run: Run) -> dict[str, float]:
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
    filled: FilledSupply, conditions: Sequence[Condition], readings: Readings, pool: Runner
) -> list[Outcome]:
    """Run ``conditions`` on the pool's workers; outcomes in the same order.

    What a transient starts from must be among them.

    Raises
    ------
    SimulationError
        If any of them fails: no figure is handed out then.
    """
    networks = {c: build_network(filled, c, readings) for c in conditions}
    links = chains(conditions)
    runs: dict[Condition, Run] = {}
    for chain, results in zip(
        links, pool.run([[job(c, networks, chain) for c in chain] for chain in links]), strict=True
    ):
        runs.update(dict(zip(chain, results, strict=True)))
    outcomes = []
    for condition in conditions:
        network = networks[condition]
        if condition.state == "switch-off, valves out":
            before = next(c for c in runs if c.state == "valves out" and c.level == condition.level)
            outcomes.append(Outcome(condition, network, None, run_down(network, runs[before].states)))
        else:
            course = COURSES.get(condition.state)
            step = course.max_step if course is not None else 0.0
            outcomes.append(Outcome(condition, network, runs[condition], None, step, readings.reset))
    return outcomes
