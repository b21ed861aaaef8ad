"""Faults: a network with one thing in it failed, and with fuses that have opened taken out.

A fault changes a network that stands already: one more element where something has gone short, other laws
where the bias is gone. It adds no state, so that a run may start from the sound network's periodic state.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Literal

from psucheck.circuit.network import GROUND, Element, Factor, Law, Network, Resistor, ValveLayout
from psucheck.circuit.wiring import OPEN_OHMS

FaultKind = Literal[
    "shorted rectifier",
    "shorted reservoir",
    "short beyond the choke",
    "shorted output valve",
    "lost bias",
    "lost bias of one valve",
    "shorted heaters",
]

SHORT_OHMS, HEATER_SHORT_OHMS = 0.1, 0.01
"""What a short is taken as [ohm]: next to nothing against an HT winding's tens of ohms, and against a heater
winding's tens of milliohms. Chosen, without a source."""


@dataclass(frozen=True, slots=True)
class Lead:
    """One lead of a place: ``each winding ht`` has two, with a fuse each."""

    place: str
    number: int


@dataclass(frozen=True, slots=True)
class ZeroBias:
    """What one output valve passes with its grid at the cathode's potential.

    Anode and screen current together: ``amps`` at ``screen_volts`` between screen and cathode, as their power
    of three halves elsewhere.
    """

    amps: float
    screen_volts: float


@dataclass(frozen=True)
class Fault:
    """What has failed.

    Attributes
    ----------
    at
        The rectifier, node, load or winding, in the description's words.
    ohms
        Resistance of the short [ohm]; with an output valve, of the half of the output transformer that is in
        series with it.
    zero_bias
        With a lost bias: what a valve passes then.
    opened
        The fuses that have opened.
    """

    kind: FaultKind
    at: str
    ohms: float = SHORT_OHMS
    zero_bias: ZeroBias | None = None
    opened: frozenset[Lead] = frozenset()


@dataclass(frozen=True)
class Faulted:
    """A network with a fault in it; ``valves`` are those that lost their bias, if any did."""

    network: Network
    fault: Fault
    valves: ValveLayout | None = None


def with_fault(network: Network, fault: Fault) -> Faulted:
    """``network`` with ``fault`` in it; the network itself stays as it was.

    Raises
    ------
    KeyError
        If the network has nothing of the name that the fault is at.
    """
    opened = _opened(network, fault.opened)
    if fault.kind in ("lost bias", "lost bias of one valve"):
        changed, valves = _without_bias(network, fault)
        elements = [opened.get(each.name, each) for each in changed]
        return Faulted(replace(network, elements=elements), fault, valves)
    plus, minus = _shorted(network, fault)
    short = Resistor("rfault", plus, minus, f"{fault.kind}: {fault.at}", fault.ohms)
    elements = [*(opened.get(each.name, each) for each in network.elements), short]
    return Faulted(replace(network, elements=elements), fault)


def _opened(network: Network, leads: frozenset[Lead]) -> dict[str, Element]:
    """The resistors of the leads whose fuse has opened, by name."""
    names = [network.layout.places[lead.place].elements[lead.number] for lead in leads]
    opened: dict[str, Element] = {}
    for name in names:
        element = network[name]
        assert isinstance(element, Resistor)
        opened[name] = replace(element, ohms=OPEN_OHMS)
    return opened


def _shorted(network: Network, fault: Fault) -> tuple[str, str]:
    """The two nodes that a short joins."""
    layout = network.layout
    if fault.kind == "shorted rectifier":
        return layout.rectifiers[fault.at].ends[0]
    if fault.kind == "shorted output valve":
        valves = layout.valves[fault.at]
        return valves.anode_node, valves.cathode_node
    if fault.kind == "shorted heaters":
        return layout.heater_ends[fault.at]
    return layout.nodes[fault.at], GROUND


def _without_bias(network: Network, fault: Fault) -> tuple[list[Element], ValveLayout]:
    """Elements with the grids of a load at 0 V, or the grid of one of its valves."""
    valves = network.layout.valves[fault.at]
    assert fault.zero_bias is not None
    lost = 1 if fault.kind == "lost bias of one valve" else valves.count
    screen, resistors = _screens(network, fault.at, valves, lost)
    changed: dict[str, Element] = dict(resistors)
    added = [each for name, each in resistors.items() if name not in {e.name for e in network.elements}]
    anodes: list[str] = []
    screens: list[str] = []
    for laws, node, found in (
        (valves.anode_laws, valves.anode_node, anodes),
        (valves.screen_laws, screen, screens),
    ):
        for name in laws:
            law = network[name]
            assert isinstance(law, Law)
            share = law.amps / _idle_amps(network, valves)
            free = replace(
                law,
                name=f"{law.name}fault",
                plus=node or law.plus,
                says=f"{law.says}, grid at 0 V",
                amps=share * lost * fault.zero_bias.amps,
                factors=(_control(valves, screen, fault.zero_bias),),
            )
            changed[name] = replace(law, amps=law.amps * (valves.count - lost) / valves.count)
            added.append(free)
            found.append(free.name)
    elements = [changed.get(each.name, each) for each in network.elements]
    kept = [each for each in elements if not (isinstance(each, Law) and each.amps == 0.0)]
    layout = replace(
        valves, count=lost, anode_laws=tuple(anodes), screen_laws=tuple(screens), screen_node=screen,
        grid_node=None, grid_share=0.0, fixed_grid_volts=0.0,
    )  # fmt: skip
    return [*kept, *added], layout


def _idle_amps(network: Network, valves: ValveLayout) -> float:
    """Anode and screen current of all valves of a load at its idle point [A]."""
    return sum(law.amps for law in _laws(network, (*valves.anode_laws, *valves.screen_laws)))


def _laws(network: Network, names: tuple[str, ...]) -> Iterator[Law]:
    for name in names:
        law = network[name]
        assert isinstance(law, Law)
        yield law


def _control(valves: ValveLayout, screen: str | None, law: ZeroBias) -> Factor:
    """The three-halves law at zero grid volts; without screens the anode takes their part."""
    control = screen if screen is not None else valves.anode_node
    terms = [(1.0, control)]
    if valves.cathode_node != GROUND:
        terms.append((-1.0, valves.cathode_node))
    return Factor(tuple(terms), 0.0, law.screen_volts, 1.5)


def _screens(
    network: Network, load: str, valves: ValveLayout, lost: int
) -> tuple[str | None, Mapping[str, Element]]:
    """The screens of the valves that lost their bias, and the screen resistors that change or are added.

    The resistors of all valves stand as one: that of a single valve is taken out of it.
    """
    known = network.layout.resistors.get(f"{load} screen resistor")
    if valves.screen_node is None or known is None or lost == valves.count:
        return valves.screen_node, {}
    together = network[known.elements[0]]
    assert isinstance(together, Resistor)
    one = together.ohms * valves.count
    own = Resistor(f"{together.name}fault", together.plus, "nfault", f"{load} screen resistor of one", one)
    rest = replace(together, ohms=one / (valves.count - lost))
    return "nfault", {together.name: rest, own.name: own}
