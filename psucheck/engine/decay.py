"""How a supply runs down with the mains off and no valve drawing: linear once the rectifier blocks.

The states obey dx/dt = A x. A is found by solving the resistive network once for each state (capacitors as
voltage sources, chokes as current sources), and x(t) = sum of exp(lambda t) terms over A's eigenvectors, the
matrix exponential in its own coordinates.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from psucheck.circuit.network import (
    GROUND,
    Capacitor,
    Choke,
    Core,
    Diode,
    Element,
    Law,
    Mains,
    Network,
    Resistor,
    Section,
    Thermistor,
    ValveDiode,
    Zener,
)

_UNSEEN = Core | Thermistor
"""Elements whose states have no part in the decay: they stand on the far side of the blocking rectifier."""
_SHORT_OHMS = 1e-3
"""A winding with the mains off, seen from outside."""


@dataclass(frozen=True)
class Decay:
    """x(t) = ``modes`` diag(exp(``rates`` t)) ``weights``; a node's volts are ``rows[node]`` @ x."""

    rates: NDArray[np.complex128]
    modes: NDArray[np.complex128]
    weights: NDArray[np.complex128]
    rows: dict[str, NDArray[np.float64]]

    def volts(self, node: str, seconds: NDArray[np.float64]) -> NDArray[np.float64]:
        """Voltage of ``node`` at times ``seconds``: array of the same shape [V]."""
        states = self.modes @ (np.exp(np.outer(self.rates, seconds)) * self.weights[:, None])
        return np.real(self.rows[node] @ states)

    def seconds_to(self, node: str, volts: float, limit: float) -> float | None:
        """First time [s] at which |V(node)| is down to ``volts`` [V]; None if not within ``limit`` [s]."""
        times = np.concatenate(([0.0], np.geomspace(1e-3, limit, 400)))
        below = np.abs(self.volts(node, times)) <= volts
        if not below.any():
            return None
        first = int(np.argmax(below))
        if first == 0:
            return 0.0
        low, high = times[first - 1], times[first]
        for _ in range(50):
            middle = (low + high) / 2
            if abs(self.volts(node, np.array([middle]))[0]) <= volts:
                high = middle
            else:
                low = middle
        return float(high)


def run_down(network: Network, states: NDArray[np.float64]) -> Decay:
    """The decay of ``network`` from ``states`` (its own order, SI), rectifiers blocking, nothing drawing.

    Raises
    ------
    ValueError
        If a valve draws in this network: its law is not linear.
    """
    if any(isinstance(element, Law) for element in network.elements):
        raise ValueError("a valve draws in this network, its decay is not linear")
    holders = [element for element in network.states if not isinstance(element, _UNSEEN)]
    kept = [k for k, element in enumerate(network.states) if not isinstance(element, _UNSEEN)]
    solution, rows = _responses(network, holders)
    derivative = np.empty((len(holders), len(holders)))
    for row, element in enumerate(holders):
        if isinstance(element, Capacitor):
            derivative[row] = solution[element.name] / element.farads
        else:
            derivative[row] = rows[element.plus] - rows[element.minus]
    rates, modes = np.linalg.eig(derivative)
    return Decay(rates, modes, np.linalg.solve(modes, states[kept].astype(complex)), rows)


def _responses(
    network: Network, holders: list[Element]
) -> tuple[dict[str, NDArray[np.float64]], dict[str, NDArray[np.float64]]]:
    """Each capacitor's current, and each node's volts, per unit of each state: rows over the states."""
    # A zener is taken to block: above its volts it would let the rail before it run down sooner.
    blocking = Diode | ValveDiode | Core | Thermistor | Zener
    elements = [element for element in network.elements if not isinstance(element, blocking)]
    nodes = sorted({n for element in elements for n in (element.plus, element.minus)} - {GROUND})
    index = {node: k for k, node in enumerate(nodes)}
    capacitors = [element for element in holders if isinstance(element, Capacitor)]
    size = len(nodes) + len(capacitors)
    matrix = np.zeros((size, size))
    # Floating parts (a winding behind blocking diodes) get a path to chassis far above any leakage.
    matrix[range(len(nodes)), range(len(nodes))] += 1e-15
    for element in elements:
        if isinstance(element, Resistor):
            _stamp(matrix, index, element, 1.0 / element.ohms)
        elif isinstance(element, Section | Mains):
            _stamp(matrix, index, element, 1.0 / _SHORT_OHMS)
    right = np.zeros((size, len(holders)))
    for k, capacitor in enumerate(capacitors):
        row = len(nodes) + k
        right[row, holders.index(capacitor)] = 1.0
        for node, sign in _ends(capacitor):
            matrix[row, index[node]] = sign
            matrix[index[node], row] = sign
    for column, element in enumerate(holders):
        if isinstance(element, Choke):
            for node, sign in _ends(element):
                right[index[node], column] -= sign / element.henries
    solved = np.linalg.solve(matrix, right)
    currents = {capacitor.name: solved[len(nodes) + k] for k, capacitor in enumerate(capacitors)}
    rows = {node: solved[index[node]] for node in nodes}
    rows[GROUND] = np.zeros(len(holders))
    return currents, rows


def _ends(element: Element) -> list[tuple[str, float]]:
    """The ends of an element that are no chassis, with their signs."""
    return [(n, sign) for n, sign in ((element.plus, 1.0), (element.minus, -1.0)) if n != GROUND]


def _stamp(matrix: NDArray[np.float64], index: dict[str, int], element: Element, siemens: float) -> None:
    for first, second in ((element.plus, element.minus), (element.minus, element.plus)):
        if first != GROUND:
            matrix[index[first], index[first]] += siemens
            if second != GROUND:
                matrix[index[first], index[second]] -= siemens
