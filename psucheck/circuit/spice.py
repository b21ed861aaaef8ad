"""A network as a SPICE netlist, built with PySpice.

Every value that reaches a netlist is a float from validated input and every name is generated, so no text of
a user's can enter it; :func:`check_deck` makes sure once more, line by line.

States are carried by capacitors only: a choke's flux linkage is the voltage [V = V s] of a 1 F capacitor that
integrates the choke's voltage, so that a saturating choke needs no model of the simulator's own.
"""

from __future__ import annotations

import math
from dataclasses import fields, is_dataclass, replace
from functools import singledispatchmethod
from typing import Any

import numpy as np
from PySpice.Spice.Netlist import Circuit

from psucheck.circuit import network as net
from psucheck.circuit.deck import Deck, DeckError, State, check_deck
from psucheck.circuit.expressions import choke_expression, law_expression

_ACCEPT_VOLTS, _ACCEPT_FLUX = 1e-4, 1e-3
"""A rail is wanted to a ten-thousandth; the core's flux, which the simulator's choice of steps moves by some
ten-thousandths from cycle to cycle, to a thousandth."""

REVERSE_OHMS = 1e8
"""A blocking diode: 5 uA at 500 V. Sheets of 1 A rectifiers state 5 uA at most at the rated voltage and
25 degC (1N4007, from memory)."""
_SCALE_KELVIN, _ACCEPT_KELVIN = 100.0, 1e-2


class _Writer:
    """Adds one element after another to a PySpice circuit, with an ammeter where a current is wanted."""

    def __init__(self, network: net.Network) -> None:
        self.network = network
        self.circuit = Circuit("psucheck")
        self.states: list[State] = []
        self.currents: dict[str, str] = {}
        self.says: list[str] = []
        self._models: dict[tuple[float, float, float], str] = {}
        self._reflected: list[tuple[str, float]] = []

    def write(self) -> Deck:
        for element in self.network.elements:
            self._add(element)
        for source, ratio in self._reflected:
            self.circuit.CurrentControlledCurrentSource(
                f"{source[1:]}", net.GROUND, "core", source=source, current_gain=ratio
            )
            self.says.append("reflects that section's current into the primary")
        if self._reflected:
            # The core itself draws nothing; with nothing connected the matrix still needs a path.
            self.circuit.R("core", "core", net.GROUND, 1e9)
            self.says.append("keeps the core's node defined")
        lines = [line for line in str(self.circuit).splitlines() if line and not line.startswith(".title")]
        elements = [line for line in lines if not line.startswith(".model")]
        models = [line for line in lines if line.startswith(".model")]
        return Deck(
            lines=(*elements, *models),
            says=(*self.says, *("diode that meets its sheet's drop point" for _ in models)),
            states=tuple(self.states),
            currents=self.currents,
            hertz=self.network.hertz,
        )

    def _note(self, text: str) -> None:
        self.says.append(text)

    def _ammeter(self, element: net.Element) -> str:
        """An ammeter in the minus lead; returns the node between element and ammeter."""
        inner = f"{element.name}m"
        self.circuit.V(f"m{element.name}", inner, element.minus, 0.0)
        self._note(f"ammeter of {element.name}")
        self.currents[element.name] = f"vm{element.name}"
        return inner

    @singledispatchmethod
    def _add(self, element: net.Element) -> None:
        raise TypeError(f"no netlist form for {type(element).__name__}")

    @_add.register
    def _mains(self, element: net.Mains) -> None:
        if element.flat_volts is not None:
            self._flat_topped(element, element.flat_volts)
            return
        self.circuit.SinusoidalVoltageSource(
            element.name,
            element.plus,
            element.minus,
            offset=0.0,
            amplitude=element.peak_volts,
            frequency=element.hertz,
        )
        self._patch_phase(element)
        self._note(element.says)
        self.currents[element.name] = f"v{element.name}"

    def _flat_topped(self, element: net.Mains, flat_volts: float) -> None:
        turns, radians = 2 * math.pi * element.hertz, math.radians(element.phase_degrees)
        sine = f"{element.peak_volts!r}*sin({turns!r}*time+{radians!r})"
        self.circuit.BehavioralSource(
            element.name,
            element.plus,
            element.minus,
            voltage_expression=f"max(min({sine},{flat_volts!r}),-{flat_volts!r})",
        )
        self._note(f"{element.says}, flat-topped")
        self.currents[element.name] = f"b{element.name}"

    @_add.register
    def _dc(self, element: net.Dc) -> None:
        self.circuit.V(element.name, element.plus, element.minus, element.volts)
        self._note(element.says)
        self.currents[element.name] = f"v{element.name}"

    @_add.register
    def _resistor(self, element: net.Resistor) -> None:
        self.circuit.R(element.name, element.plus, element.minus, element.ohms)
        self._note(element.says)

    @_add.register
    def _capacitor(self, element: net.Capacitor) -> None:
        inner = self._ammeter(element)
        self.circuit.C(element.name, element.plus, inner, element.farads, ic=0.0)
        self._note(element.says)
        self.states.append(
            State(f"c{element.name}", element.name, element.plus, inner, element.scale_volts, _ACCEPT_VOLTS)
        )

    @_add.register
    def _choke(self, choke: net.Choke) -> None:
        scale = choke.scale_flux
        if scale is None:
            scale = choke.henries * (choke.knee_amps / 2 if choke.knee_amps else 0.2)
        self._by_flux(choke, choke_expression(choke, f"{choke.name}x"), scale)

    @_add.register
    def _core(self, core: net.Core) -> None:
        share = f"(V({core.name}x)/{core.rated_flux!r})"
        # An odd power as x (x x)^k: the simulator's pow takes the absolute value of a negative base.
        power = f"{share}*pow({share}*{share},{(core.exponent - 1) // 2})"
        linear, bent = core.rated_amps * core.linear_share, core.rated_amps * (1 - core.linear_share)
        self._by_flux(core, f"{linear!r}*{share}+{bent!r}*{power}", core.rated_flux)

    @_add.register
    def _thermistor(self, ntc: net.Thermistor) -> None:
        inner = self._ammeter(ntc)
        rise = f"{ntc.name}x"
        kelvin = f"(298.15+max(V({rise}),0))"
        ohms = f"({ntc.cold!r}*exp({ntc.beta!r}*(1/{kelvin}-1/298.15)))"
        self._behavioural(ntc, inner, f"V({ntc.plus},{inner})/{ohms}")
        self.circuit.BehavioralSource(
            rise, net.GROUND, rise, current_expression=f"V({ntc.plus},{inner})*V({ntc.plus},{inner})/{ohms}"
        )
        self._note(f"heat into {ntc.name}, 1 A = 1 W")
        self.circuit.R(rise, rise, net.GROUND, 1.0 / ntc.dissipation)
        self._note(f"heat that {ntc.name} loses, 1 V = 1 K")
        self.circuit.C(rise, rise, net.GROUND, ntc.capacity, ic=0.0)
        self._note(f"heat that {ntc.name} holds")
        self.states.append(State(f"c{rise}", ntc.name, rise, net.GROUND, _SCALE_KELVIN, _ACCEPT_KELVIN))

    @_add.register
    def _cold_heater(self, heater: net.ColdHeater) -> None:
        inner = self._ammeter(heater)
        cold, rise = heater.cold_share, 1.0 - heater.cold_share
        warmth = f"({cold!r}+{rise!r}*(1-exp(-time/{heater.time_constant!r})))"
        self._behavioural(heater, inner, f"V({heater.plus},{inner})/({heater.hot_ohms!r}*{warmth})")

    @_add.register
    def _diode(self, diode: net.Diode) -> None:
        inner = self._ammeter(diode)
        model = self._junction(diode.saturation_amps, diode.emission, diode.series_ohms)
        self.circuit.D(diode.name, diode.plus, inner, model=model)
        self._note(diode.says)
        # Blocking diodes may leave a winding floating; their leakage keeps its node defined.
        self.circuit.R(f"{diode.name}l", diode.plus, inner, REVERSE_OHMS)
        self._note(f"reverse leakage of {diode.name}")

    @_add.register
    def _valve_diode(self, valve: net.ValveDiode) -> None:
        inner = self._ammeter(valve)
        # Without the floor at zero the power law would conduct backwards.
        self._behavioural(valve, inner, f"{valve.perveance!r}*pow(max(V({valve.plus},{inner}),0),1.5)")
        self.circuit.R(f"{valve.name}l", valve.plus, inner, 1e9)
        self._note("keeps the valve's node defined while it does not conduct")

    @_add.register
    def _zener(self, zener: net.Zener) -> None:
        inner, behind = self._ammeter(zener), f"{zener.name}k"
        # A junction, so that the microamperes of a rail with nothing on it have a place on the curve.
        rounded = self._junction(net.KNEE_SATURATION_AMPS, 1.0, zener.ohms)
        self.circuit.D(f"{zener.name}k", zener.plus, behind, model=rounded)
        self._note(f"{zener.says}, its knee")
        self.circuit.V(f"{zener.name}k", behind, inner, zener.volts - net.KNEE_VOLTS)
        self._note(f"volts of {zener.name}")
        self.circuit.D(
            zener.name,
            inner,
            zener.plus,
            model=self._junction(zener.saturation_amps, zener.emission, zener.series_ohms),
        )
        self._note(f"{zener.name} the other way")
        self.circuit.R(f"{zener.name}l", zener.plus, inner, zener.volts / net.ZENER_LEAKAGE_AMPS)
        self._note(f"leakage of {zener.name}")

    @_add.register
    def _section(self, section: net.Section) -> None:
        inner = self._ammeter(section)
        self.circuit.VoltageControlledVoltageSource(
            section.name, section.plus, inner, "core", net.GROUND, voltage_gain=section.ratio
        )
        self._note(section.says)
        self._reflected.append((f"Vm{section.name}", section.ratio))

    @_add.register
    def _law(self, law: net.Law) -> None:
        self._behavioural(law, self._ammeter(law), law_expression(law))

    def _patch_phase(self, element: net.Mains) -> None:
        # PySpice 1.5's sinusoid writes offset, amplitude, frequency, delay and damping but not the phase,
        # which the standard SPICE form takes as the sixth number.
        source = self.circuit[f"V{element.name}"]
        text = f"DC 0 SIN(0 {element.peak_volts!r} {element.hertz!r} 0 0 {element.phase_degrees!r})"
        source.format_spice_parameters = lambda: text

    def _behavioural(self, element: net.Element, minus: str, expression: str) -> None:
        self.circuit.BehavioralSource(element.name, element.plus, minus, current_expression=expression)
        self._note(element.says)

    def _by_flux(self, element: net.Choke | net.Core, amps: str, scale: float) -> None:
        """An element whose current follows its flux linkage, which a 1 F capacitor integrates."""
        flux = f"{element.name}x"
        inner = self._ammeter(element)
        self._behavioural(element, inner, amps)
        self.circuit.BehavioralSource(
            f"{element.name}x", net.GROUND, flux, current_expression=f"V({element.plus},{inner})"
        )
        self._note(f"integrates the voltage of {element.name} to its flux linkage")
        self.circuit.C(f"{element.name}x", flux, net.GROUND, 1.0, ic=0.0)
        self._note(f"flux linkage of {element.name}, 1 V = 1 V s")
        self.states.append(State(f"c{element.name}x", element.name, flux, net.GROUND, scale, _ACCEPT_FLUX))

    def _junction(self, saturation_amps: float, emission: float, series_ohms: float) -> str:
        """Name of the junction's model."""
        key = (saturation_amps, emission, series_ohms)
        if key not in self._models:
            name = f"d{len(self._models) + 1}"
            self._models[key] = name
            self.circuit.model(name, "D", IS=key[0], N=key[1], RS=key[2])
        return self._models[key]


def _plain(value: Any, where: str) -> Any:
    """``value`` with every number in it a finite Python number: only those have a form that SPICE reads."""
    if isinstance(value, float | np.floating):
        if not math.isfinite(value):
            raise DeckError(f"{where} is {value}")
        return float(value)
    if isinstance(value, tuple):
        return tuple(_plain(item, where) for item in value)
    if is_dataclass(value) and not isinstance(value, type):
        parts = {
            part.name: _plain(getattr(value, part.name), f"{where}{part.name}") for part in fields(value)
        }
        return replace(value, **parts)
    return value


def write_deck(network: net.Network) -> Deck:
    """Netlist of ``network``, without analysis and with all states zero.

    Raises
    ------
    DeckError
        If a value is not finite or a line is none that psucheck writes.
    """
    network = replace(network, elements=[_plain(each, f"{each.name}: ") for each in network.elements])
    deck = _Writer(network).write()
    check_deck(deck.lines)
    return deck
