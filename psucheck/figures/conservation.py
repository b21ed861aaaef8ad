"""Conservation laws, held on every run: a figure from a run that breaks one is not handed out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from psucheck.circuit.network import Capacitor, Choke, Core, Element, Mains, Network, Section, Thermistor
from psucheck.engine.simulator import SimulationError
from psucheck.figures.trace import Trace

POWER = 0.02
"""Steady: watts in against watts dissipated, as a share of watts in. The rectifier's pulses are sampled some
ten times each, which leaves up to one per cent."""
NOTHING = 1e-3
"""Steady: watts below which nothing is drawn; the gigohms that stand for insulation take some of them."""
CAPACITOR_MEAN, CAPACITOR_DRIFT = 0.01, 1e-4
"""Steady: mean capacitor current, as a share of its RMS; or, where next to nothing flows, the voltage that a
cycle adds, as a share of the size of the voltage: no more than the correction at which a search ends."""
CHOKE_MEAN = 1e-4
"""Steady: mean voltage over a choke's winding without its copper, as a share of the highest rail."""
ENERGY = 0.03
"""Transient: energy in against heat, loads and change of stored energy, as a share of the largest of them."""


@dataclass(frozen=True, slots=True)
class Balance:
    """What went in, what was dissipated, and the change of what is stored: watts (steady) or joules."""

    supplied: float
    dissipated: float
    stored: float = 0.0

    @property
    def error(self) -> float:
        """What does not add up, as a share of the largest of the three."""
        largest = max(abs(self.supplied), abs(self.dissipated), abs(self.stored), 1e-9)
        return abs(self.supplied - self.dissipated - self.stored) / largest


def steady_balance(network: Network, trace: Trace) -> Balance:
    """Mean power in and dissipated over the cycle."""
    supplied = -sum(trace.power(e.name) for e in network.elements if isinstance(e, Mains))
    dissipated = sum(trace.power(e.name) for e in network.elements if _dissipates(e))
    return Balance(supplied, dissipated, sum(trace.power(e.name) for e in network.states))


def transient_balance(network: Network, trace: Trace) -> Balance:
    """Energy in, dissipated and stored over the run."""
    seconds = float(trace.time[-1] - trace.time[0])
    steady = steady_balance(network, trace)
    stored = sum(_stored(e, trace, -1) - _stored(e, trace, 0) for e in network.states)
    return Balance(steady.supplied * seconds, steady.dissipated * seconds, stored)


def check_steady(network: Network, trace: Trace, name: str) -> None:
    """Raise :class:`SimulationError` if the periodic run breaks a conservation law."""
    balance = steady_balance(network, trace)
    if balance.error > POWER and max(abs(balance.supplied), abs(balance.dissipated)) > NOTHING:
        raise SimulationError(f"{name}: watts in and watts dissipated differ by {balance.error:.1%}")
    nodes = network.layout.nodes.values()
    rail = max((float(np.abs(trace.waveforms.node(node)).max()) for node in nodes), default=1.0)
    for element in network.states:
        if isinstance(element, Capacitor):
            amps = trace.amps(element.name)
            drift = CAPACITOR_DRIFT * element.scale_volts * element.farads * network.hertz
            if abs(trace.mean(amps)) > max(CAPACITOR_MEAN * trace.rms(amps), drift):
                raise SimulationError(f"{name}: {element.says} gains charge from cycle to cycle")
        elif isinstance(element, Thermistor):
            continue
        elif abs(trace.mean(trace.volts(element.name))) > CHOKE_MEAN * _size(element, rail, network.hertz):
            raise SimulationError(f"{name}: {element.says} gains flux from cycle to cycle")


def _size(element: Element, rail: float, hertz: float) -> float:
    """The volts that a mean voltage is held against: the rail's, for the core those of its rated flux."""
    if isinstance(element, Core):
        # A standby switch may leave no rail at all, and the core at the mains' full volts.
        return max(rail, 2 * np.pi * hertz * element.rated_flux)
    return rail


def check_transient(network: Network, trace: Trace, name: str) -> None:
    """Raise :class:`SimulationError` if the course of events does not conserve energy."""
    error = transient_balance(network, trace).error
    if error > ENERGY:
        raise SimulationError(f"{name}: energy in, heat and stored energy differ by {error:.1%}")


def _dissipates(element: Element) -> bool:
    # A winding's sections only pass power on through the ideal core.
    return not isinstance(element, Mains | Section | Capacitor | Choke | Core)


def _stored(element: Element, trace: Trace, at: int) -> float:
    """Energy [J] in a capacitor or choke at a sample."""
    if isinstance(element, Capacitor):
        return 0.5 * element.farads * float(trace.volts(element.name)[at]) ** 2
    if isinstance(element, Thermistor):
        # Its heat has left the circuit: it counts as dissipated.
        return 0.0
    if isinstance(element, Core):
        return _stored_in_core(element, trace, at)
    assert isinstance(element, Choke)
    amps = abs(float(trace.amps(element.name)[at]))
    knee = element.knee_amps if element.knee_amps is not None else np.inf
    linear = min(amps, knee)
    beyond = element.henries / element.beyond
    return 0.5 * element.henries * linear**2 + (0.5 * beyond * (amps**2 - knee**2) if amps > knee else 0.0)


def _stored_in_core(core: Core, trace: Trace, at: int) -> float:
    """Energy of the magnetising current: the integral of i over flux."""
    share = abs(float(trace.flux(core.name)[at])) / core.rated_flux
    power = core.exponent + 1
    linear = core.linear_share * share**2 / 2
    return core.rated_amps * core.rated_flux * (linear + (1 - core.linear_share) * share**power / power)
