"""What a meter shows at the test points of an amplifier: from a run, and with the ohmmeter from the network.

Points go by the names of :mod:`psucheck.bench.points`. Sockets and halves are told apart, which the figures
of a check do not do.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from psucheck.bench.amplifier import Amplifier, Socket, places_of_fuses
from psucheck.bench.points import halves
from psucheck.bench.resistances import Resistances
from psucheck.circuit.network import GROUND, Mains
from psucheck.engine.jobs import Run
from psucheck.figures.trace import Trace

Values = dict[str, float]


def observe(amp: Amplifier, run: Run) -> Values:
    """Everything a meter could be put on, in one steady run; SI.

    ``hum`` is the share of the ripple that has the mains' own frequency (the rest has twice that), as a
    scope shows it.
    """
    trace = Trace(amp.network, run.waveforms, run.deck.currents)
    values = {**_of_nodes(amp, trace), **_of_windings(amp, trace)}
    wall = next(e for e in amp.network.elements if isinstance(e, Mains))
    amps, volts = -trace.amps(wall.name), trace.volts(wall.name)
    values["mains amps"], values["mains watts"] = trace.rms(amps), trace.mean(volts * amps)
    for socket in amp.sockets:
        values |= _of_socket(amp, trace, socket)
    for load in amp.filled.outputs:
        sockets = amp.of_load(load)
        if sockets and sockets[0].cathode != GROUND and sockets[0].anode_law is not None:
            values[f"{load} cathode DC"] = trace.mean(trace.waveforms.node(sockets[0].cathode))
        for letter, element in _lettered((amp.halves or {}).get(load, ())):
            values[f"{load} transformer{letter} drop"] = trace.mean(trace.volts(element))
    return values


def _lettered(sections: Sequence[Any]) -> list[tuple[str, Any]]:
    """Each section with what tells it from its mate."""
    return list(zip(halves(len(sections)), sections, strict=True)) if sections else []


def winding_called(amp: Amplifier, name: str) -> str:
    """What a winding's test points are called: a node or a load may have its name."""
    return f"{name} winding" if name in amp.filled.nodes or name in amp.filled.outputs else name


def _of_nodes(amp: Amplifier, trace: Trace) -> Values:
    """Direct volts, ripple and its frequency at each node, and the volts of capacitors in series."""
    values: Values = {}
    layout = amp.network.layout
    for name, node in layout.nodes.items():
        volts = trace.waveforms.node(node)
        mean = trace.mean(volts)
        values[f"{name} DC"] = mean
        values[f"{name} AC"] = trace.rms(volts - mean)
        values[f"{name} hum"] = _hum(trace.time, volts, amp.network.hertz)
    for name, string in layout.capacitors.items():
        if len(string.units) > 1 or name not in layout.nodes:
            for number, unit in enumerate(string.units, 1):
                values[f"{name} can {number} DC"] = trace.mean(trace.volts(unit))
    return values


def _of_windings(amp: Amplifier, trace: Trace) -> Values:
    """Volts of each winding's sections; of the heaters also at the pins, and of each end to chassis."""
    values: Values = {}
    for name, ends in amp.network.layout.winding_ends.items():
        for letter, pair in _lettered(ends):
            values[f"{winding_called(amp, name)}{letter}"] = trace.rms(trace.waveforms.between(*pair))
    for name, (share_a, share_b) in (amp.heater_halves or {}).items():
        ends = amp.network.layout.winding_ends[name]
        whole = sum(trace.rms(trace.waveforms.between(*pair)) for pair in ends)
        values[f"{name} at the pins"] = trace.rms(trace.waveforms.between(*amp.heater_pins(name)))
        values[f"{name} end a to chassis"] = share_a * whole
        values[f"{name} end b to chassis"] = share_b * whole
    return values


def _of_socket(amp: Amplifier, trace: Trace, socket: Socket) -> Values:
    load, number = socket.load, socket.number
    values = {f"{load} anode {number}": trace.mean(trace.waveforms.node(socket.anode))}
    if socket.screen is not None:
        values[f"{load} screen {number}"] = trace.mean(trace.waveforms.node(socket.screen))
    laws = [name for name in (socket.anode_law, socket.screen_law) if name is not None]
    if socket.screen_resistor is not None and laws:
        drop = trace.mean(trace.volts(socket.screen_resistor))
        values[f"{load} screen resistor {number} drop"] = drop
    if laws and socket.cathode == GROUND:
        values[f"{load} cathode {number} mV"] = sum(trace.mean(trace.amps(name)) for name in laws)
    if socket.grid_node is not None:
        grid = socket.grid_share * trace.mean(trace.waveforms.node(socket.grid_node))
        values[f"bias at {load} {number}"] = grid + socket.grid_shift
    return values


def _hum(time: np.ndarray, volts: np.ndarray, hertz: float) -> float:
    """Share of the mains' own frequency in the ripple, of that and the second harmonic."""
    parts = [abs(np.trapezoid(volts * np.exp(-2j * np.pi * hertz * k * time), time)) for k in (1, 2)]
    total = parts[0] + parts[1]
    return float(parts[0] / total) if total > 0 else 0.0


_IN_PLACE = (" dropper", " feed", " cathode resistor", " bleeder")


def measure_ohms(amp: Amplifier) -> Values:
    """What an ohmmeter reads, unplugged and drained: in place, so that what stands beside is in it.

    Of a diode, forwards and backwards; forwards a sound one counts as the few hundred ohms that the diode
    range makes of its drop.
    """
    network, layout = amp.network, amp.network.layout
    meter = Resistances(network)
    wall = next(e for e in network.elements if isinstance(e, Mains))
    values: Values = {"plug ohms": meter.between(wall.plus, wall.minus)}
    for name, ends in layout.winding_ends.items():
        for letter, pair in _lettered(ends):
            values[f"{winding_called(amp, name)}{letter} ohms"] = meter.between(*pair)
    for name, (choke, copper) in layout.chokes.items():
        values[f"{name} choke ohms"] = meter.between(network[choke].plus, network[copper].minus)
    for name, node in layout.nodes.items():
        values[f"{name} ohms"] = meter.between(node, GROUND)
    for called, name in _resistors(amp):
        element = network[name]
        values[f"{called} ohms"] = meter.between(element.plus, element.minus)
    return values | _diodes(amp, meter)


def _resistors(amp: Amplifier) -> Iterator[tuple[str, str]]:
    """What is read across one element: its name at the bench, and the element's."""
    layout = amp.network.layout
    for name, resistor in layout.resistors.items():
        if name.endswith(_IN_PLACE):
            yield name, resistor.elements[0]
    for socket in amp.sockets:
        if socket.screen_resistor is not None:
            yield f"{socket.load} screen resistor {socket.number}", socket.screen_resistor
    for load, elements in (amp.halves or {}).items():
        for letter, name in _lettered(elements):
            yield f"{load} transformer{letter}", name
    for place, number, name in places_of_fuses(amp):
        several = len(layout.places[place].elements) > 1
        yield f"fuse {place}{f' {number + 1}' if several else ''}", name


def _diodes(amp: Amplifier, meter: Resistances) -> Values:
    """Each silicon arm, both ways."""
    values: Values = {}
    for name, rectifier in amp.network.layout.rectifiers.items():
        if amp.filled.devices[name].kind == "silicon":
            for number, (anode, cathode) in enumerate(rectifier.ends, 1):
                values[f"{name} diode {number} backwards ohms"] = meter.between(anode, cathode)
                values[f"{name} diode {number} forwards ohms"] = meter.forwards(anode, cathode)
    return values
