"""Resistances between two points of an unplugged, drained network.

Capacitors are open (the reading has settled), windings, chokes and the core are their copper alone, whatever
conducts only with volts on it (diodes, valves, leakage that rises with the volts) is open.
"""

from __future__ import annotations

import numpy as np

from psucheck.circuit.network import (
    GROUND,
    Choke,
    Core,
    Diode,
    Element,
    Network,
    Resistor,
    Section,
    Thermistor,
)

MOST_OHMS = 20e6
"""Above this an ohmmeter shows open."""
_JOINT = 1e-3
"""Resistance of what is nothing but copper that stands elsewhere [ohm]."""


class Resistances:
    """The resistances of one network."""

    def __init__(self, network: Network) -> None:
        self._network = network
        conducting = [(each.plus, each.minus, ohms) for each in network.elements if (ohms := _ohms(each))]
        names = {GROUND, *(node for plus, minus, _ in conducting for node in (plus, minus))}
        self._index = {name: number for number, name in enumerate(sorted(names))}
        size = len(self._index)
        conductance = np.zeros((size, size))
        for plus, minus, ohms in conducting:
            a, b, g = self._index[plus], self._index[minus], 1.0 / ohms
            conductance[[a, b], [a, b]] += g
            conductance[[a, b], [b, a]] -= g
        # A little from everywhere to chassis, so that islands have a potential.
        conductance[np.diag_indices(size)] += 1e-10
        self._conductance = conductance

    def between(self, plus: str, minus: str) -> float:
        """Resistance from one node to another [ohm], at most what an ohmmeter shows."""
        if plus not in self._index or minus not in self._index:
            return MOST_OHMS
        a, b = self._index[plus], self._index[minus]
        if a == b:
            return 0.0
        # Seen from the other lead: then a winding that floats at half a gigohm loses no digits.
        kept = np.arange(len(self._index)) != b
        current = np.zeros(len(self._index))
        current[a] = 1.0
        volts = np.linalg.solve(self._conductance[np.ix_(kept, kept)], current[kept])
        return float(min(max(volts[a - (a > b)], 0.0), MOST_OHMS))

    def forwards(self, anode: str, cathode: str) -> float:
        """As :meth:`between` from an anode to its cathode, a sound junction there counting as 500 ohm.

        That is about what the diode range makes of it: half a volt at a milliampere.
        """
        beside = self.between(anode, cathode)
        sound = any(
            isinstance(each, Diode) and (each.plus, each.minus) == (anode, cathode)
            for each in self._network.elements
        )
        return 1.0 / (1.0 / max(beside, _JOINT) + 1.0 / 500.0) if sound else beside


def _ohms(element: Element) -> float | None:
    """Resistance that an ohmmeter meets in an element; None for none."""
    if isinstance(element, Resistor):
        return element.ohms
    if isinstance(element, Section | Choke | Core):
        return _JOINT
    return element.cold if isinstance(element, Thermistor) else None
