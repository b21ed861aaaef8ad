"""What an ohmmeter reads between two points of a supply that is unplugged, its valves out."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from psucheck.bench.names import CHASSIS
from psucheck.circuit.build import build_network
from psucheck.circuit.condition import Condition, Readings
from psucheck.circuit.network import GROUND, Choke, Network, Resistor, Section
from psucheck.supply.filled import FilledSupply

_SHORT_OHMS = 1e-6
"""What passes direct current without loss: a choke without its copper, a winding without its own."""
_FLOATING_OHMS = 1e11
"""From each node to chassis, so that what hangs in the air has a voltage; beyond any meter's range."""


def plug_ohms(filled: FilledSupply) -> float:
    """Ohms at the mains plug with the mains switch on: primary, fuse, and an inrush limiter cold [ohm]."""
    ohms = filled.primary_ohms + filled.place_ohms.get("mains", 0.0)
    limiter = filled.limiters.get("mains")
    return ohms + (limiter.cold if limiter is not None else 0.0)


def ohms_between(filled: FilledSupply) -> Callable[[str, str], float]:
    """A function of two places, each a node of the filter or the chassis: ohms between them.

    Capacitors are taken as charged, so that only their leakage passes; diodes as blocking.
    """
    network = build_network(filled, Condition("valves out", "set", filled.mains.nominal), Readings())
    inverse, index = _solved(network)

    def at(place: str) -> int | None:
        return None if place == CHASSIS else index[network.layout.nodes[place]]

    def between(red: str, black: str) -> float:
        plus, minus = at(red), at(black)
        current = np.zeros(len(index))
        for place, sign in ((plus, 1.0), (minus, -1.0)):
            if place is not None:
                current[place] += sign
        volts = inverse @ current
        return float(
            (volts[plus] if plus is not None else 0.0) - (volts[minus] if minus is not None else 0.0)
        )

    return between


def _solved(network: Network) -> tuple[NDArray[np.float64], dict[str, int]]:
    """The inverse of the conductances [ohm], and each node's place in it."""
    ends = [(element.plus, element.minus) for element in network.elements]
    index = {node: n for n, node in enumerate(dict.fromkeys(e for pair in ends for e in pair if e != GROUND))}
    conductance = np.eye(len(index)) / _FLOATING_OHMS
    for element in network.elements:
        if isinstance(element, Resistor):
            siemens = 1.0 / element.ohms
        elif isinstance(element, Choke | Section):
            siemens = 1.0 / _SHORT_OHMS
        else:
            continue
        known = [index.get(element.plus), index.get(element.minus)]
        for here, there in (known, known[::-1]):
            if here is not None:
                conductance[here, here] += siemens
                if there is not None:
                    conductance[here, there] -= siemens
    return np.asarray(np.linalg.inv(conductance), dtype=np.float64), index
