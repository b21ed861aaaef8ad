"""Which faults a supply can have that a fuse is there for, and their runs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from psucheck.circuit.faults import (
    HEATER_SHORT_OHMS,
    SHORT_OHMS,
    Fault,
    Faulted,
    FaultKind,
    ZeroBias,
    with_fault,
)
from psucheck.circuit.spice import write_deck
from psucheck.conditions.run import Outcome
from psucheck.engine.jobs import Run, TransientJob
from psucheck.engine.pool import Runner
from psucheck.parts import UnknownPart, library
from psucheck.parts.valves import three_halves_constant
from psucheck.supply.filled import FilledSupply, OutputLoad
from psucheck.supply.topology import first_nodes, is_negative, parents, rectifier_of

_MAX_STEP = 200e-6
"""Longest step of a fault's run [s]; at half of it no current moves by a thousandth."""
_SECONDS, _SLOW_SECONDS = 0.1, 0.2
"""How long a fault is run [s], by when every RMS is within some 3 % of where it settles; the longer time
where the filter has to run down first."""
_SLOW: tuple[FaultKind, ...] = ("lost bias", "lost bias of one valve")


@dataclass(frozen=True)
class FaultRun:
    """One run of a fault: from the idle state of ``idle`` on."""

    idle: Outcome
    faulted: Faulted
    run: Run


def faults_of(filled: FilledSupply) -> list[Fault]:
    """The faults that a fuse of ``filled`` may be there for."""
    return [
        *_of_rectifiers(filled),
        *_beyond_chokes(filled),
        *_of_valves(filled),
        *(Fault("shorted heaters", winding, HEATER_SHORT_OHMS) for winding in _heater_windings(filled)),
    ]


def run_faults(wanted: Sequence[tuple[Outcome, Fault]], pool: Runner) -> list[FaultRun]:
    """Run each fault from the idle state that stands beside it; results in the same order.

    Raises
    ------
    SimulationError
        If a run fails.
    """
    faulted = [with_fault(idle.network, fault) for idle, fault in wanted]
    jobs = [_job(idle, each) for (idle, _), each in zip(wanted, faulted, strict=True)]
    runs = pool.run([[job] for job in jobs])
    return [
        FaultRun(idle, each, chain[0]) for (idle, _), each, chain in zip(wanted, faulted, runs, strict=True)
    ]


def _job(idle: Outcome, faulted: Faulted) -> TransientJob:
    assert idle.run is not None
    fault = faulted.fault
    seconds = _SLOW_SECONDS if fault.kind in _SLOW and not fault.opened else _SECONDS
    what = f"{fault.kind}: {fault.at}, {idle.condition.level} mains"
    return TransientJob((write_deck(faulted.network),), seconds, _MAX_STEP, idle.run.states, what=what)


def _of_rectifiers(filled: FilledSupply) -> Iterator[Fault]:
    """A shorted arm, and a short on what the rectifier charges directly.

    A valve backed by silicon may short: the silicon takes over, and nothing else happens. A bias rectifier
    behind a feed of kilohms is no fuse's matter.
    """
    for name, rectifier in filled.supply.rectifiers.items():
        if rectifier.polarity == "negative":
            continue
        if filled.devices[name].backup is None:
            yield Fault("shorted rectifier", name)
        for node in first_nodes(filled.supply, name):
            if filled.nodes[node].choke is None:
                yield Fault("shorted reservoir", node)
                break


def _beyond_chokes(filled: FilledSupply) -> Iterator[Fault]:
    """The first node behind a choke on each rectifier's rail."""
    seen = set()
    for node in parents(filled.supply):
        if filled.nodes[node].choke is None or is_negative(filled.supply, node):
            continue
        rectifier = rectifier_of(filled.supply, node)
        if rectifier not in seen:
            seen.add(rectifier)
            yield Fault("short beyond the choke", node)


def _of_valves(filled: FilledSupply) -> Iterator[Fault]:
    for name in filled.outputs:
        halves = filled.supply.loads[name].output_transformer
        yield Fault("shorted output valve", name, SHORT_OHMS + (min(halves) if halves else 0.0))
    for name, load in filled.outputs.items():
        zero_bias = _zero_bias(load)
        if load.bias == "cathode" or zero_bias is None:
            continue
        yield Fault("lost bias", name, zero_bias=zero_bias)
        if load.standing > 1:
            yield Fault("lost bias of one valve", name, zero_bias=zero_bias)


def _zero_bias(load: OutputLoad) -> ZeroBias | None:
    """The type's own law at zero grid volts, through its sheet's point of the largest current.

    I = K (Vg2/mu)^1.5. The idle point is not followed up to there: laid through some tens of milliamps, a
    law that is a volt out would be out by several times. No emission limits it. None where it is not known.
    """
    try:
        part = library().load_valve(load.type)
    except UnknownPart:
        return None
    if part.mu is None:
        return None
    point = max((each.value for each in part.law_points), key=lambda each: each.cathode_amps)
    mu = part.mu.value
    return ZeroBias(three_halves_constant(point, mu) * (point.screen_volts / mu) ** 1.5, point.screen_volts)


def _heater_windings(filled: FilledSupply) -> list[str]:
    """The windings that feed heaters of the valves."""
    return list(dict.fromkeys(load.winding for load in filled.heaters if load.group == "valves"))
