"""The bench on which a network is put together: nodes, elements, and what stands at each place."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from psucheck.circuit.condition import Condition
from psucheck.circuit.network import (
    GROUND,
    Element,
    Network,
    PlaceLayout,
    Resistor,
    ResistorLayout,
    Thermistor,
    Zener,
)
from psucheck.supply import model as described
from psucheck.supply.fill_rectifiers import silicon
from psucheck.supply.filled import FilledSupply, FilledZener
from psucheck.supply.notation import place as read_place
from psucheck.supply.topology import MAINS_SWITCH

CONTACT_OHMS = 1e-3
"""A closed contact, so that its current can be told."""
OPEN_OHMS = 1e9
"""An open contact; at 500 V half a microampere, below any leakage."""

_FORWARD = (1.1, 1.0)
"""Forward drop of a zener [V] and its current [A], as of any rectifier diode; it is met by mistake only."""

_USUAL_RISE = 60.0
"""First guess of a limiter's rise in temperature [K]."""


class Wiring:
    """Adds elements to a network under generated names and knows what stands at each place."""

    def __init__(self, filled: FilledSupply, condition: Condition) -> None:
        self.filled = filled
        self.supply = filled.supply
        self.condition = condition
        self.network = Network(title="psucheck", hertz=filled.mains.hertz)
        self.layout = self.network.layout
        self._counts: dict[str, int] = {}
        self._places = self._places_by_key()
        if condition.seconds is not None:
            for key, warm_up in filled.warm_ups.items():
                self.layout.emission[key] = warm_up.share(condition.seconds)
        self.sides: dict[str, str] = {}
        """Place with a resistor -> the node on its near side; in a centre tap's lead, the winding's."""

    def emission(self, key: str) -> float:
        """Share of its emission that a cathode has [1]; ``key`` is that of ``FilledSupply.warm_ups``."""
        return self.layout.emission.get(key, 1.0)

    def node(self) -> str:
        """A new node."""
        return self._name("n")

    def _name(self, letter: str) -> str:
        self._counts[letter] = self._counts.get(letter, 0) + 1
        return f"{letter}{self._counts[letter]}"

    def add(
        self, kind: Callable[..., Element], letter: str, plus: str, minus: str, says: str, **values: Any
    ) -> str:
        """Add an element of ``kind`` under a new name, which is returned."""
        element = kind(name=self._name(letter), plus=plus, minus=minus, says=says, **values)
        self.network.elements.append(element)
        return element.name

    def resistor(self, plus: str, minus: str, ohms: float, says: str) -> str:
        """Add a resistor; none is smaller than a closed contact."""
        return self.add(Resistor, "r", plus, minus, says, ohms=max(ohms, CONTACT_OHMS))

    def _places_by_key(self) -> dict[tuple[str, str], list[str]]:
        """(kind, name) of a place -> the description's own words for it."""
        described = [*self.supply.fuses, *self.supply.limiters, *self.supply.series]
        described += [switch.place for switch in self.supply.switches.values()]
        places: dict[tuple[str, str], list[str]] = {}
        for text in dict.fromkeys(described):
            read = read_place(text)
            places.setdefault((read["kind"], read.get("name", "")), []).append(text)
        return places

    def zener_volts(self, kind: str, name: str) -> float:
        """Volts of the zener that stands at a place; 0 where none does."""
        standing = self._places.get((kind, name), ())
        return sum(self.filled.zeners[text].volts for text in standing if text in self.filled.zeners)

    def through(
        self,
        kind: str,
        name: str,
        node: str,
        says: str,
        *,
        dc: bool,
        volts: tuple[str, str] | None = None,
        outwards: bool = True,
    ) -> str:
        """Lead ``node`` through whatever stands at a place; returns the node behind it.

        ``outwards``: direct current flows there from ``node`` on, so that a zener is turned to conduct it.
        """
        for text in self._places.get((kind, name), ()):
            behind = self.node()
            element = self.resistor(node, behind, self.filled.place_ohms.get(text, 0.0), f"{text}: {says}")
            known = self.layout.places.get(text)
            pairs = (volts or (node, GROUND),)
            self.layout.places[text] = PlaceLayout(
                elements=(*(known.elements if known else ()), element),
                dc=dc,
                volts_between=(*(known.volts_between if known else ()), *pairs),
                contacts=known.contacts if known else (),
            )
            behind = self._through_limiter(text, self._through_series(text, behind, outwards=outwards))
            node = self._through_switches(text, behind)
        return node

    def _through_limiter(self, text: str, node: str) -> str:
        """An inrush limiter that the description puts at a place."""
        limiter = self.filled.limiters.get(text)
        if limiter is None:
            return node
        behind = self.node()
        self.add(
            Thermistor,
            "t",
            node,
            behind,
            f"{text}: inrush limiter",
            cold=limiter.cold,
            beta=limiter.beta,
            dissipation=limiter.dissipation,
            capacity=limiter.capacity,
            start_rise=_USUAL_RISE,
        )
        return behind

    def _through_series(self, text: str, node: str, *, outwards: bool) -> str:
        """A resistor or a zener that the description puts at a place; ``outwards`` flows what conducts it."""
        part = self.supply.series.get(text)
        if part is None:
            return node
        behind = self.node()
        if isinstance(part, described.Zener):
            ends = (node, behind) if outwards else (behind, node)
            element = self.add_zener(f"{text}: zener", self.filled.zeners[text], *ends)
        else:
            element = self.resistor(node, behind, part.value, f"{text}: series resistor")
            self.sides[text] = node
        self.note_resistor(text, element)
        return behind

    def add_zener(self, says: str, zener: FilledZener, plus: str, minus: str) -> str:
        """Add a zener that holds its volts from ``plus`` to ``minus``."""
        saturation, emission, series = silicon(*_FORWARD)
        return self.add(
            Zener,
            "z",
            plus,
            minus,
            says,
            volts=zener.volts,
            ohms=zener.ohms,
            saturation_amps=saturation,
            emission=emission,
            series_ohms=series,
        )

    def _through_switches(self, text: str, node: str) -> str:
        """The switches at a place. One in the mains lead is the mains switch: it stays closed."""
        for name, switch in self.supply.switches.items():
            if switch.place != text:
                continue
            behind = self.node()
            is_open = self.condition.standby_open and text != MAINS_SWITCH
            contact = self.resistor(node, behind, OPEN_OHMS if is_open else CONTACT_OHMS, f"{name} switch")
            known = self.layout.places[text]
            self.layout.places[text] = replace(known, contacts=(*known.contacts, contact))
            if is_open and switch.bypass is not None:
                bypass = self.resistor(node, behind, switch.bypass.value, f"{name} bypass")
                self.note_resistor(f"{name} bypass", bypass)
            node = behind
        return node

    def note_resistor(self, name: str, *elements: str, parts: int = 1) -> None:
        """Record what the description calls a resistor; further elements of the same name are equal ones."""
        known = self.layout.resistors.get(name)
        before = known.elements if known else ()
        self.layout.resistors[name] = ResistorLayout((*before, *elements), parts)
