"""What each condition asks of the engine, and which conditions are run one after another in one worker."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from psucheck.circuit.condition import Condition, State
from psucheck.circuit.deck import Deck
from psucheck.circuit.network import Capacitor, Choke, Core, Element, Mains, Network, Thermistor
from psucheck.circuit.spice import write_deck
from psucheck.engine.jobs import Job, SteadyJob, TransientJob
from psucheck.engine.simulator import States
from psucheck.supply.fill_warm_up import VALVES

PHASES = tuple(45.0 * k for k in range(8))
"""Phases of switch-on that are tried, all the way round: residual flux and half-wave circuits tell the half
cycles apart."""
OFF_SECONDS = 1.0
"""How long the mains are off before a hot restart."""
_TRIAL_CYCLES = 1.0
"""Cycles of a try: the worst pulse comes in the first half cycle, or the second."""


@dataclass(frozen=True, slots=True)
class Course:
    """A transient: how long it is run, and with which longest step [s].

    ``after`` is the state it starts from, ``at`` seconds into that; without one it starts from empty
    capacitors.
    """

    seconds: float
    max_step: float
    after: State | None = None
    at: float = 0.0


COURSES: Mapping[State, Course] = {
    "switch-on": Course(1.0, 100e-6),
    "switch-on, valves cold": Course(1.0, 100e-6),
    "switch-off": Course(60.0, 20e-3, after="idle"),
    "hot restart": Course(0.5, 100e-6, after="switch-off", at=OFF_SECONDS),
    "standby closes": Course(0.5, 100e-6, after="standby open"),
    "sag": Course(2.2, 250e-6, after="idle"),
}
_TRIED_PHASES: tuple[State, ...] = ("switch-on", "switch-on, valves cold", "hot restart")
_FROM_EACH_OTHER: tuple[State, ...] = ("idle", "full output", "warm-up")
"""Steady states that are found from their neighbour's solution.

Those of the warm-up follow one another in time, behind ``cold`` where the rectifiers conduct at once: the
derivative of a neighbour that is less loaded, or conducts less, can make corrections too large only. The
other way round it would pass a rail that is far too high.
"""
_UNLOADED: tuple[State, ...] = ("cold", "valves out", "standby open")
BELOW = 0.001
"""By which share a search with nothing drawing starts below where its solution is expected."""
_GROUPS: tuple[tuple[State, ...], ...] = (
    ("idle", "full output", "switch-off", "hot restart", "sag"),
    ("standby open", "standby closes"),
    ("valves out",),
    ("cold", "warm-up"),
    ("switch-on",),
    ("switch-on, valves cold",),
)
"""States that are run one after another in one worker, the longest chain first."""


def start_states(network: Network) -> States:
    """First guess of the periodic state [SI], in the network's order."""
    return np.array([_start(element) for element in network.states])


def _start(element: Element) -> float:
    if isinstance(element, Capacitor):
        return element.start_volts
    if isinstance(element, Choke):
        return element.henries * element.start_amps
    return element.start_rise if isinstance(element, Thermistor) else 0.0


def chains(conditions: Sequence[Condition]) -> list[list[Condition]]:
    """Conditions that are run one after another in one worker, in that order; each once."""
    found = []
    for group in _GROUPS:
        chain = [condition for state in group for condition in conditions if condition.state == state]
        if chain:
            found.append(chain)
    return found


def needed_for(condition: Condition, conditions: Sequence[Condition]) -> list[Condition]:
    """``condition`` behind those of ``conditions`` that it starts from, in the order of their runs."""
    course = COURSES.get(condition.state)
    if course is None or course.after is None:
        return [condition]
    before = next(c for c in conditions if c.state == course.after and c.level == condition.level)
    return [*needed_for(before, conditions), condition]


def job(condition: Condition, networks: Mapping[Condition, Network], chain: Sequence[Condition]) -> Job:
    """What the engine is asked for ``condition``, as a link of ``chain``."""
    network = networks[condition]
    deck = write_deck(network)
    if condition.state in COURSES:
        return _transient(condition, network, deck, chain)
    place = chain.index(condition)
    before = chain[place - 1] if place else None
    carried = before is not None and condition.state in _FROM_EACH_OTHER
    if before is not None and condition.state == "warm-up":
        carried = _warms_from(networks[before], network)
    scale = condition.volts / before.volts if before is not None else 1.0
    loaded = condition.state in _FROM_EACH_OTHER
    # With nothing drawing, the neighbour's solution in proportion to the mains is hardly off; the search
    # starts just below it.
    alike = before is not None and before.state == condition.state and condition.state in _UNLOADED
    return SteadyJob(
        deck,
        start_states(network),
        carried or alike,
        scale * (1 - BELOW) if alike else scale,
        loaded=loaded and network.layout.drawn,
        rising=alike,
        what=condition.name,
    )


def _warms_from(before: Network, network: Network) -> bool:
    """Whether a moment of the warm-up is found from the run before it.

    That must have the same rails, and rectifiers that conduct no better; from ``cold`` all conduct in full.
    """
    conducted = {
        key: before.layout.emission.get(key, 1.0) for key in network.layout.emission if key != VALVES
    }
    return all(0.0 < conducted[key] <= network.layout.emission[key] for key in conducted) or (
        before.layout.emission == network.layout.emission
    )


def _transient(
    condition: Condition, network: Network, deck: Deck, chain: Sequence[Condition]
) -> TransientJob:
    course = COURSES[condition.state]
    tried = condition.state in _TRIED_PHASES
    empty = np.zeros(len(deck.states))
    plain = TransientJob(
        decks=_phases(network, deck) if tried else (deck,),
        seconds=course.seconds,
        max_step=course.max_step,
        states=empty if course.after is None else None,
        preset=_residual(network) if tried else {},
        trial_currents=_tried(condition, network, deck) if tried else (),
        trial_seconds=_TRIAL_CYCLES / deck.hertz,
        what=condition.name,
    )
    if course.after is None:
        return plain
    before = [c.state == course.after and c.level == condition.level for c in chain].index(True)
    return replace(plain, after=before, at=course.at)


def _residual(network: Network) -> dict[int, float]:
    """What the core kept of its last switch-off."""
    return {
        index: element.residual * element.rated_flux
        for index, element in enumerate(network.states)
        if isinstance(element, Core)
    }


def _tried(condition: Condition, network: Network, deck: Deck) -> tuple[str, ...]:
    """The currents by which the worst phase is told: the mains', or with cold valves those of the rectifiers.

    The core takes most at a zero crossing, the capacitors at the crest: so each has a run of its own.
    """
    if condition.state != "switch-on, valves cold":
        return (deck.currents[_mains(network).name],)
    return tuple(
        deck.currents[arm] for layout in network.layout.rectifiers.values() for arm in layout.outputs
    )


def _mains(network: Network) -> Mains:
    return next(element for element in network.elements if isinstance(element, Mains))


def _phases(network: Network, deck: Deck) -> tuple[Deck, ...]:
    """The deck at each phase of switch-on: only the mains' line differs."""
    mains = _mains(network)
    decks = []
    for phase in PHASES:
        turned = replace(network, elements=[replace(mains, phase_degrees=phase)])
        line = write_deck(turned).lines[0]
        name = line.split(" ", 1)[0] + " "
        decks.append(replace(deck, lines=tuple(line if old.startswith(name) else old for old in deck.lines)))
    return tuple(decks)
