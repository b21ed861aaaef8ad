"""The amplifier as it stands on the bench: a network in which every output valve has its own socket.

The check's network sums the output valves of a load. A fault sits in one of them, so here each has its own
laws, its own screen resistor and its half of the output transformer.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from psucheck.circuit.build import build_network
from psucheck.circuit.condition import Condition, Readings
from psucheck.circuit.network import GROUND, Element, Factor, Law, Network, Resistor, ResistorLayout
from psucheck.circuit.wiring import CONTACT_OHMS, OPEN_OHMS
from psucheck.supply.filled import FilledSupply, OutputLoad

METER_OHMS = 10e6
"""Input resistance of a bench multimeter; keeps a pin that nothing holds at what the meter would show."""


@dataclass(frozen=True, slots=True)
class Socket:
    """One output valve's socket.

    ``number`` counts from one. ``half`` is the half of the output transformer it hangs on, 0 or 1. The laws
    are names of elements, None where nothing draws. ``grid_node`` is the bias node (None: none),
    ``grid_share`` what of its volts the pot passes on, ``grid_shift`` what a fault adds to it [V].
    """

    load: str
    number: int
    half: int
    anode: str
    screen: str | None
    cathode: str
    anode_law: str | None
    screen_law: str | None
    screen_resistor: str | None
    grid_node: str | None
    grid_share: float
    grid_volts: float
    grid_shift: float = 0.0


@dataclass(frozen=True)
class Amplifier:
    """A supply with its output valves, in one condition."""

    filled: FilledSupply
    readings: Readings
    condition: Condition
    network: Network
    sockets: tuple[Socket, ...] = ()
    halves: Mapping[str, tuple[str, ...]] | None = None
    """Load -> the resistors of its output transformer's halves."""
    heater_halves: Mapping[str, tuple[float, float]] | None = None
    """Heater winding -> share of its volts that end a and end b have to chassis, where it is balanced."""
    opened: tuple[tuple[str, int], ...] = ()
    """The leads of the places whose fuse has opened."""

    def element(self, name: str) -> Element:
        """The element of that name."""
        return self.network[name]

    def with_elements(self, changed: Mapping[str, Element], added: tuple[Element, ...] = ()) -> Amplifier:
        """The same with elements replaced by name, and others added."""
        elements = [changed.get(each.name, each) for each in self.network.elements]
        return replace(self, network=replace(self.network, elements=[*elements, *added]))

    def heater_pins(self, winding: str) -> tuple[str, str]:
        """The nodes of the heaters' pins on a winding; its ends where no valve's heater is in."""
        wanted = f"heaters of the valves on {winding}"
        for each in self.network.elements:
            if each.says.startswith(wanted):
                return each.plus, each.minus
        ends = self.network.layout.winding_ends[winding]
        return ends[0][0], ends[-1][1]

    def of_load(self, load: str) -> list[Socket]:
        """The sockets of one load."""
        return [socket for socket in self.sockets if socket.load == load]


def amplifier(filled: FilledSupply, condition: Condition, readings: Readings) -> Amplifier:
    """``filled`` in ``condition``, each output valve by itself."""
    network = build_network(filled, condition, readings)
    elements = list(network.elements)
    sockets: list[Socket] = []
    halves: dict[str, tuple[str, ...]] = {}
    for order, (name, load) in enumerate(filled.outputs.items()):
        found = _split(network, filled, name, load, readings, order)
        gone = set(found.gone)
        elements = [each for each in elements if each.name not in gone] + list(found.added)
        sockets += found.sockets
        halves[name] = found.halves
    balanced = {
        winding: (0.5, 0.5)
        for winding in dict.fromkeys(load.winding for load in filled.heaters if load.group == "valves")
        if winding not in {rectifier.winding for rectifier in filled.supply.rectifiers.values()}
    }
    return Amplifier(
        filled, readings, condition, replace(network, elements=elements), tuple(sockets), halves, balanced
    )


@dataclass
class _Split:
    gone: list[str]
    added: list[Element]
    sockets: list[Socket]
    halves: tuple[str, ...]


def _split(
    network: Network, filled: FilledSupply, name: str, load: OutputLoad, readings: Readings, order: int
) -> _Split:
    layout = network.layout
    valves = layout.valves.get(name)
    rail = layout.nodes[load.anodes]
    fed = layout.nodes[load.screens] if load.screens else None
    ohms = filled.supply.loads[name].output_transformer or (load.anode_path_ohms * 2.0,)
    tag = f"{order}"
    added: list[Element] = []
    halves, anodes = [], []
    for half, each in enumerate(ohms):
        node = f"nanode{tag}{half}"
        says = (
            f"{name} output transformer half {'ab'[half]}" if len(ohms) == 2 else f"{name} output transformer"
        )
        element = Resistor(f"rhalf{tag}{half}", rail, node, says, max(each, CONTACT_OHMS))
        added.append(element)
        halves.append(element.name)
        anodes.append(node)
    gone: list[str] = []
    laws: list[tuple[Law, bool]] = []
    if valves is not None:
        for law_names, is_screen in ((valves.anode_laws, False), (valves.screen_laws, True)):
            for law_name in law_names:
                law = network[law_name]
                assert isinstance(law, Law)
                laws.append((law, is_screen))
                gone.append(law_name)
        together = layout.resistors.get(f"{name} screen resistor")
        gone += list(together.elements) if together else []
    cathode = valves.cathode_node if valves is not None else GROUND
    if valves is None and load.cathode_ohms:
        # With the valves out it carries nothing, and is there for the ohmmeter.
        cathode = f"ncathode{tag}"
        says = f"{name} cathode resistor"
        added.append(Resistor(f"rcathode{tag}", cathode, GROUND, says, load.cathode_ohms))
        layout.resistors[says] = ResistorLayout((f"rcathode{tag}",))
    grid = layout.nodes[load.bias_node] if load.bias_node else None
    count = load.standing
    sockets = []
    for number in range(1, count + 1):
        half = (number - 1) % len(ohms)
        screen, resistor = fed, None
        if fed is not None and load.screen_ohms:
            screen, resistor = f"nscreen{tag}{number}", f"rscreen{tag}{number}"
            own = load.screen_ohms * load.count
            added.append(Resistor(resistor, fed, screen, f"{name} screen resistor {number}", own))
        of_socket: dict[bool, str | None] = {False: None, True: None}
        for law, is_screen in laws:
            made = f"b{'screen' if is_screen else 'anode'}{tag}{number}"
            plus = (screen or law.plus) if is_screen else anodes[half]
            added.append(
                replace(
                    law,
                    name=made,
                    plus=plus,
                    amps=law.amps / count,
                    factors=tuple(
                        _own_screen(f, valves.screen_node if valves else None, screen) for f in law.factors
                    ),
                    says=f"{law.says}, valve {number}",
                )
            )
            of_socket[is_screen] = made
        sockets.append(
            Socket(
                name, number, half, anodes[half], screen, cathode, of_socket[False], of_socket[True],
                resistor, grid, readings.grid_shares.get(name, 0.0),
                load.grid_volts or 0.0 if load.bias == "fixed" else 0.0,
            )
        )  # fmt: skip
    return _Split(gone, added, sockets, tuple(halves))


def _own_screen(factor: Factor, common: str | None, own: str | None) -> Factor:
    """The factor with the valve's own screen pin in place of the common one."""
    if common is None or own is None or common == own:
        return factor
    return replace(
        factor, terms=tuple((weight, own if node == common else node) for weight, node in factor.terms)
    )


def places_of_fuses(amp: Amplifier) -> Iterator[tuple[str, int, str]]:
    """Place, number of the lead, and resistor of every fuse."""
    for place in amp.filled.supply.fuses:
        standing = amp.network.layout.places.get(place)
        for number, element in enumerate(standing.elements if standing else ()):
            yield place, number, element


def with_fuse_out(amp: Amplifier, place: str, number: int) -> Amplifier:
    """The amplifier with one fuse open."""
    name = amp.network.layout.places[place].elements[number]
    resistor = amp.element(name)
    assert isinstance(resistor, Resistor)
    opened = amp.with_elements({name: replace(resistor, ohms=OPEN_OHMS)})
    return replace(opened, opened=(*amp.opened, (place, number)))
