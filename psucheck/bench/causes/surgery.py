"""Small operations on an amplifier's network, of which the causes are made."""

from __future__ import annotations

from dataclasses import replace

from psucheck.bench.amplifier import Amplifier, Socket
from psucheck.circuit.network import Capacitor, Choke, Element, Factor, Law, Resistor, Section
from psucheck.circuit.wiring import OPEN_OHMS

OPEN_SHARE = 1e-3
"""What is taken to be left of a capacitor that is open; with none at all its state would hang in the air."""


def resistor(amp: Amplifier, name: str) -> Resistor:
    """A resistor by its element's name."""
    element = amp.element(name)
    assert isinstance(element, Resistor)
    return element


def set_ohms(amp: Amplifier, name: str, ohms: float) -> Amplifier:
    """A resistor with another value."""
    return amp.with_elements({name: replace(resistor(amp, name), ohms=ohms)})


def scale_ohms(amp: Amplifier, names: tuple[str, ...], factor: float) -> Amplifier:
    """Resistors times a factor."""
    return amp.with_elements(
        {n: replace(resistor(amp, n), ohms=resistor(amp, n).ohms * factor) for n in names}
    )


def open_resistors(amp: Amplifier, names: tuple[str, ...]) -> Amplifier:
    """Resistors gone open."""
    return amp.with_elements({n: replace(resistor(amp, n), ohms=OPEN_OHMS) for n in names})


def add_ohms(amp: Amplifier, plus: str, minus: str, ohms: float, says: str) -> Amplifier:
    """A resistance between two nodes that should have none."""
    number = sum(each.name.startswith("rwrong") for each in amp.network.elements)
    return amp.with_elements({}, (Resistor(f"rwrong{number}", plus, minus, says, ohms),))


def capacitors(amp: Amplifier, name: str) -> list[Capacitor]:
    """The parts of a capacitor or a string, by its key in the layout."""
    found = []
    for unit in amp.network.layout.capacitors[name].units:
        element = amp.element(unit)
        assert isinstance(element, Capacitor)
        found.append(element)
    return found


def esr_of(amp: Amplifier, capacitor: Capacitor) -> Resistor:
    """The resistor that stands for a capacitor's ESR."""
    for each in amp.network.elements:
        if isinstance(each, Resistor) and each.plus == capacitor.minus and each.says.startswith("ESR of"):
            return each
    raise KeyError(capacitor.name)


def scale_farads(amp: Amplifier, name: str, share: float) -> Amplifier:
    """A capacitor, or every part of a string, with a share of its value."""
    return amp.with_elements({c.name: replace(c, farads=c.farads * share) for c in capacitors(amp, name)})


def add_esr(amp: Amplifier, name: str, ohms: float) -> Amplifier:
    """More series resistance in a capacitor; in a string shared out over its parts."""
    parts = [esr_of(amp, each) for each in capacitors(amp, name)]
    return amp.with_elements({p.name: replace(p, ohms=p.ohms + ohms / len(parts)) for p in parts})


def add_leak(
    amp: Amplifier, plus: str, minus: str, amps: float, at_volts: float, power: float, says: str
) -> Amplifier:
    """A current from ``plus`` to ``minus``: ``amps`` at ``at_volts`` [V], elsewhere by that power of them."""
    if at_volts < 0:
        plus, minus, at_volts = minus, plus, -at_volts
    number = sum(each.name.startswith("bwrong") for each in amp.network.elements)
    factor = Factor(((1.0, plus), (-1.0, minus)), 0.0, at_volts, power)
    return amp.with_elements({}, (Law(f"bwrong{number}", plus, minus, says, amps, (factor,)),))


def without(amp: Amplifier, name: str) -> Amplifier:
    """The amplifier without an element."""
    elements = [each for each in amp.network.elements if each.name != name]
    return replace(amp, network=replace(amp.network, elements=elements))


def scale_choke(amp: Amplifier, name: str, factor: float) -> Amplifier:
    """A choke with a share of its inductance."""
    element = amp.element(amp.network.layout.chokes[name][0])
    assert isinstance(element, Choke)
    scale = element.scale_flux
    if scale is None:
        scale = element.henries * (element.knee_amps / 2 if element.knee_amps else 0.2)
    return amp.with_elements(
        {element.name: replace(element, henries=element.henries * factor, scale_flux=scale * factor)}
    )


def scale_windings(amp: Amplifier, factor: float) -> Amplifier:
    """All secondaries with more or fewer volts for each volt on the primary."""
    changed: dict[str, Element] = {
        each.name: replace(each, ratio=each.ratio * factor)
        for each in amp.network.elements
        if isinstance(each, Section)
    }
    return amp.with_elements(changed)


def scale_valve(amp: Amplifier, socket: Socket, anode: float, screen: float) -> Amplifier:
    """A valve that passes a share of its currents; one of none has no law at all."""
    for name, share in ((socket.anode_law, anode), (socket.screen_law, screen)):
        if name is None:
            continue
        if share == 0.0:
            amp = _resting(amp, name)
        else:
            law = amp.element(name)
            assert isinstance(law, Law)
            amp = amp.with_elements({name: replace(law, amps=law.amps * share)})
    return amp


def _resting(amp: Amplifier, name: str) -> Amplifier:
    law = amp.element(name)
    assert isinstance(law, Law)
    return amp.with_elements({name: replace(law, amps=0.0, factors=())})


def socket_of(amp: Amplifier, load: str, number: int) -> Socket:
    """A socket by its load and number."""
    return next(each for each in amp.sockets if (each.load, each.number) == (load, number))


def shift_grid(amp: Amplifier, load: str, number: int, volts: float) -> Amplifier:
    """A grid that stands so much higher [V] than the bias makes it."""
    socket = socket_of(amp, load, number)
    for name in (socket.anode_law, socket.screen_law):
        law = amp.element(name) if name else None
        if isinstance(law, Law) and law.factors and amp.condition.drawing == "idle":
            first = law.factors[0]
            moved = replace(first, offset=first.offset + volts)
            amp = amp.with_elements({law.name: replace(law, factors=(moved, *law.factors[1:]))})
    sockets = tuple(
        replace(each, grid_shift=each.grid_shift + volts) if each == socket else each for each in amp.sockets
    )
    return replace(amp, sockets=sockets)


def scale_grid(amp: Amplifier, load: str, factor: float) -> Amplifier:
    """The pot turned: every grid of a load gets that much more or less of its bias node."""
    changed: dict[str, Element] = {}
    for socket in amp.of_load(load):
        for name in (socket.anode_law, socket.screen_law):
            law = amp.element(name) if name else None
            if isinstance(law, Law):
                factors = tuple(_turned(each, socket.grid_node, factor) for each in law.factors)
                changed[law.name] = replace(law, factors=factors)
    sockets = tuple(
        replace(each, grid_share=each.grid_share * factor) if each.load == load else each
        for each in amp.sockets
    )
    return replace(amp.with_elements(changed), sockets=sockets)


def _turned(factor: Factor, grid: str | None, by: float) -> Factor:
    return replace(
        factor, terms=tuple((weight * by if node == grid else weight, node) for weight, node in factor.terms)
    )
