"""What in a sound supply is not as described: the spread of its parts, one drift of everything after another.

No fault: a winding a per cent over, a capacitor ten under, valves of a pair a tenth apart. Each drift is put
into the amplifier's network, and how far every reading moves with it makes the covariance of the readings.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from psucheck.bench.amplifier import Amplifier
from psucheck.circuit.network import (
    Capacitor,
    Choke,
    Core,
    Diode,
    Element,
    Law,
    Mains,
    Resistor,
    Section,
    Thermistor,
    ValveDiode,
)

PRACTICE = "common practice, a guess"


@dataclass(frozen=True)
class Drift:
    """One thing that differs from part to part.

    ``spread`` is the standard deviation of the logarithm of its factor [1]. ``put`` puts a factor in.
    """

    name: str
    spread: float
    put: Callable[[Amplifier, float], Amplifier]


WALL, BETWEEN_STEPS = 0.01, 0.005
"""How far off the volts typed for the mains are, for all steps together and from one step to the next [1]."""


def drifts_of(amp: Amplifier) -> list[Drift]:
    """The drifts that a supply has parts for; ``amp`` is any condition of it in which everything stands."""
    found: dict[str, tuple[float, set[str]]] = {}
    for element in amp.network.elements:
        for name, spread in _of_element(element):
            found.setdefault(name, (spread, set()))[1].add(element.says)
    return [Drift(name, spread, _put(frozenset(says))) for name, (spread, says) in found.items()]


def _put(says: frozenset[str]) -> Callable[[Amplifier, float], Amplifier]:
    def put(amp: Amplifier, factor: float) -> Amplifier:
        changed: dict[str, Element] = {}
        for element in amp.network.elements:
            if element.says in says:
                changed[element.name] = _times(element, factor)
        return amp.with_elements(changed)

    return put


_VALUES: Mapping[type[Element], tuple[str, ...]] = {
    Resistor: ("ohms",),
    Capacitor: ("farads",),
    Choke: ("henries",),
    Section: ("ratio",),
    Law: ("amps",),
    Core: ("rated_amps",),
    ValveDiode: ("perveance",),
    Diode: ("series_ohms",),
    Thermistor: ("cold",),
    Mains: ("peak_volts", "flat_volts"),
}
"""What of an element is off by its drift's factor."""


def _times(element: Element, factor: float) -> Element:
    changed: dict[str, Any] = {
        name: value * factor
        for name in _VALUES.get(type(element), ())
        if (value := getattr(element, name)) is not None
    }
    return replace(element, **changed)


_RESISTORS: tuple[tuple[str, float], ...] = (
    ("wiring of the house", 0.5),
    ("primary copper", 0.07),
    ("copper, ", 0.07),
    ("core loss", 0.35),
    ("heaters of", 0.05),
    ("ESR of", 0.4),
    ("leakage of", 0.7),
    ("balancing of", 0.04),
    (" dropper", 0.06),
    (" feed", 0.04),
    ("anode resistor", 0.04),
    (" cathode resistor", 0.04),
    ("screen resistor", 0.04),
    ("choke's copper", 0.07),
    (" bleeder", 0.04),
    ("output transformer", 0.06),
    ("pot, padding", 0.03),
    ("load ", 0.08),
)
"""Spread of resistances by what they are; copper is a few degrees warmer than it was when it was read."""


def _of_element(element: Element) -> Iterator[tuple[str, float]]:
    """The drifts that an element takes part in."""
    says = element.says
    if isinstance(element, Mains):
        yield "wall", WALL
    elif isinstance(element, Section):
        winding = says.split(" winding")[0]
        yield f"{winding} volts", 0.008
        if says.endswith("to end b"):
            yield f"{winding} half b", 0.006
    elif isinstance(element, ValveDiode):
        yield f"{says.split(' arm')[0]} emission", 0.08
        if " b" in says:
            yield f"{says} alone", 0.05
    elif isinstance(element, Law):
        yield from _of_law(says)
    elif isinstance(element, Resistor):
        yield from ((says, spread) for words, spread in _RESISTORS if words == _kind(says))
    elif type(element) in _ALONE and says != "leakage inductance":
        yield says, _ALONE[type(element)]


_ALONE: Mapping[type[Element], float] = {Capacitor: 0.1, Choke: 0.15, Core: 0.35}
"""Spread of what is off by itself."""


def _kind(says: str) -> str:
    """The words of ``_RESISTORS`` that a resistor's own begin to hold; empty for none."""
    return next((words for words, _ in _RESISTORS if words in says), "")


def _of_law(says: str) -> Iterator[tuple[str, float]]:
    """A load's current; of an output valve, that of all, of its own, and of its screen."""
    if says.startswith("load "):
        yield says, 0.08
    elif ", valve " in says:
        load, number = re.split(r" (?:anodes,|screens,)", says)[0], says.rsplit(" ", 1)[1]
        yield f"{load} valves", 0.06
        yield f"{load} valve {number}", 0.06
        if "screens" in says:
            yield f"{load} screens", 0.1
