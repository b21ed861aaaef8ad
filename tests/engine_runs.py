"""Running hand-made networks on the engine in this process, every run held against the conservation laws.

:class:`Bench` puts a network together from psucheck's own elements: a stiff mains source on the ideal core,
the windings on it, ideal diodes (test-only: 11 mV at 1 A) or valves, and what follows. No core, linear
chokes.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from psucheck.circuit import network as net
from psucheck.circuit.build import build_network
from psucheck.circuit.condition import Condition, Readings
from psucheck.circuit.spice import write_deck
from psucheck.conditions.chains import start_states
from psucheck.conditions.run import Outcome, place_readings, run_conditions
from psucheck.engine import jobs
from psucheck.engine.here import Here as Here
from psucheck.engine.waveforms import Samples
from psucheck.figures.conservation import check_steady, check_transient
from psucheck.figures.measure import measure
from psucheck.figures.model import Figures
from psucheck.figures.trace import Trace, spectrum
from psucheck.supply.fill import fill
from psucheck.supply.filled import FilledSupply
from psucheck.supply.reader import parse_description

IDEAL_SATURATION_AMPS, IDEAL_EMISSION, IDEAL_SERIES_OHMS = 1e-9, 0.02, 0.0
"""A junction so abrupt that it stands for an ideal diode, and still one that ngspice runs in choke input."""


class Bench:
    """A network in the making.

    Parameters
    ----------
    hertz
        Mains frequency [Hz].
    volts
        RMS of the stiff source on the core [V]; winding volts are given against it.
    phase_degrees
        Phase of the sine at the start.
    """

    def __init__(self, hertz: float, volts: float = 240.0, phase_degrees: float = 90.0) -> None:
        self.network = net.Network("bench", hertz)
        self.volts = volts
        self._counts: dict[str, int] = {}
        self.add(
            net.Mains, "g", "core", net.GROUND,
            peak_volts=math.sqrt(2) * volts, hertz=hertz, phase_degrees=phase_degrees,
        )  # fmt: skip

    def node(self) -> str:
        """A new node."""
        return self._name("n")

    def _name(self, letter: str) -> str:
        self._counts[letter] = self._counts.get(letter, 0) + 1
        return f"{letter}{self._counts[letter]}"

    def add(self, kind: Callable[..., net.Element], letter: str, plus: str, minus: str, **values: Any) -> str:
        """Add an element of ``kind`` under a new name, which is returned."""
        element = kind(self._name(letter), plus, minus, kind.__name__, **values)
        self.network.elements.append(element)
        return element.name

    def rail(self, node: str) -> str:
        """Note ``node`` as one of the supply's nodes, so that its volts scale the conservation checks."""
        self.network.layout.nodes[node] = node
        return node

    def resistor(self, plus: str, minus: str, ohms: float) -> str:
        """A resistance [ohm]."""
        return self.add(net.Resistor, "r", plus, minus, ohms=ohms)

    def winding(self, plus: str, minus: str, volts: float, ohms: float) -> str:
        """A winding section of ``volts`` [V RMS] off load behind ``ohms``; negative volts turn it round."""
        emf = self.node()
        section = self.add(net.Section, "s", emf, minus, ratio=volts / self.volts)
        self.resistor(emf, plus, ohms)
        return section

    def diode(self, anode: str, cathode: str, drop: float = 0.0) -> str:
        """An ideal diode with a constant forward drop [V]."""
        end = cathode if not drop else self.node()
        name = self.add(
            net.Diode, "d", anode, end,
            saturation_amps=IDEAL_SATURATION_AMPS, emission=IDEAL_EMISSION, series_ohms=IDEAL_SERIES_OHMS,
        )  # fmt: skip
        if drop:
            self.add(net.Dc, "v", end, cathode, volts=drop)
            # While it blocks, the joint of the two floats.
            self.resistor(anode, end, 1e9)
        return name

    def valve(self, anode: str, cathode: str, perveance: float) -> str:
        """One anode of a rectifier valve, I = ``perveance`` V^1.5 [A/V^1.5]."""
        return self.add(net.ValveDiode, "d", anode, cathode, perveance=perveance)

    def capacitor(self, plus: str, minus: str, farads: float, volts: float) -> str:
        """A capacitor [F]; ``volts`` is the size of its voltage and the first guess of it."""
        return self.add(
            net.Capacitor, "c", plus, minus, farads=farads, scale_volts=abs(volts), start_volts=volts
        )

    def choke(self, plus: str, minus: str, henries: float, ohms: float, amps: float) -> str:
        """A linear choke behind its copper; ``amps`` is a first guess of its current."""
        inner = self.node()
        name = self.add(net.Choke, "l", plus, inner, henries=henries, knee_amps=None, start_amps=amps)
        self.resistor(inner, minus, ohms)
        return name

    def draw(self, node: str, amps: float) -> str:
        """A constant current from ``node`` to chassis [A]."""
        return self.add(net.Law, "b", node, net.GROUND, amps=amps)

    def bridge(self, plus: str, volts: float, ohms: float, drop: float = 0.0) -> tuple[list[str], str]:
        """A bridge of ideal diodes on a winding; returns its arms (to the output first) and its section."""
        a, b = self.node(), self.node()
        section = self.winding(a, b, volts, ohms)
        # Insulation at both ends: while all four arms block, nothing else says where the winding floats.
        self.resistor(a, net.GROUND, 1e9)
        self.resistor(b, net.GROUND, 1e9)
        arms = [self.diode(a, plus, drop), self.diode(b, plus, drop)]
        return [*arms, self.diode(net.GROUND, a, drop), self.diode(net.GROUND, b, drop)], section

    def centre_tapped(
        self, plus: str, volts: float, ohms: float, arm: Callable[[str, str], str]
    ) -> tuple[list[str], list[str]]:
        """Two halves with their centre tap on the chassis; returns arms and sections."""
        a, b = self.node(), self.node()
        sections = [self.winding(a, net.GROUND, volts, ohms), self.winding(b, net.GROUND, -volts, ohms)]
        return [arm(a, plus), arm(b, plus)], sections


@dataclass(frozen=True)
class Solved:
    """A run that conserves what it must: its network, waveforms and what can be read off them."""

    network: net.Network
    run: jobs.Run
    trace: Trace

    @property
    def time(self) -> Samples:
        """Times of the samples [s]."""
        return self.trace.time

    def volts(self, plus: str, minus: str = net.GROUND) -> Samples:
        """Voltage between two nodes [V]."""
        return self.trace.waveforms.between(plus, minus)

    def amps(self, *elements: str) -> Samples:
        """Sum of the currents of elements [A]."""
        total: Samples = np.sum([self.trace.amps(name) for name in elements], axis=0)
        return total

    def mean(self, values: Samples) -> float:
        """Time average."""
        return self.trace.mean(values)

    def rms(self, values: Samples) -> float:
        """Root of the mean square."""
        return self.trace.rms(values)

    def ac_rms(self, values: Samples) -> float:
        """RMS without the mean."""
        return self.rms(values - self.mean(values))

    def dc(self, node: str) -> float:
        """Mean of a node's voltage [V]."""
        return self.mean(self.volts(node))

    def harmonic(self, values: Samples, order: int) -> float:
        """Amplitude of a harmonic of the mains."""
        return math.sqrt(2) * spectrum(self.time, values, self.network.hertz)[order - 1][1]

    def conduction_degrees(self, arm: str) -> float:
        """Angle in a mains cycle through which an arm conducts more than a thousandth of its peak
        [degrees].
        """
        amps = self.trace.amps(arm)
        even = np.linspace(self.time[0], self.time[-1], 36000)
        return float(np.mean(np.interp(even, self.time, amps) > 1e-3 * amps.max()) * 360)


def steady(network: net.Network, start: Sequence[float] | None = None) -> Solved:
    """The periodic steady state of ``network``, checked for conservation.

    Raises
    ------
    SimulationError
        If it is not found, or breaks a conservation law.
    """
    states = start_states(network) if start is None else np.array(start, dtype=float)
    run = jobs.run_chain([jobs.SteadyJob(write_deck(network), states)])[0]
    trace = Trace(network, run.waveforms, run.deck.currents)
    check_steady(network, trace, network.title)
    return Solved(network, run, trace)


def refined(solved: Solved, steps: int) -> Solved:
    """The same steady state run once more at ``steps`` a cycle."""
    spice = jobs.simulator()
    spice.load(solved.run.deck)
    period = 1.0 / solved.network.hertz
    waveforms = spice.run(solved.run.states, seconds=period, max_step=period / steps)
    trace = Trace(solved.network, waveforms, solved.run.deck.currents)
    check_steady(solved.network, trace, solved.network.title)
    return Solved(solved.network, replace(solved.run, waveforms=waveforms), trace)


def transient(
    network: net.Network, seconds: float, *, max_step: float = 100e-6, start: Sequence[float] | None = None
) -> Solved:
    """A run of ``seconds`` [s] from ``start`` (all states zero without it), checked for conservation.

    Raises
    ------
    SimulationError
        If it stops short, or does not conserve energy.
    """
    states = np.zeros(len(network.states)) if start is None else np.array(start, dtype=float)
    job = jobs.TransientJob((write_deck(network),), seconds=seconds, max_step=max_step, states=states)
    run = jobs.run_chain([job])[0]
    trace = Trace(network, run.waveforms, run.deck.currents)
    check_transient(network, trace, network.title)
    return Solved(network, run, trace)


def described(text: str) -> FilledSupply:
    """The supply that a description's text describes, completed."""
    return fill(parse_description(text, "test").found)


def readings_of(filled: FilledSupply) -> Readings:
    """Where the description's readings lie on the supply as computed."""
    return place_readings(filled, Here())


def network_of(filled: FilledSupply, condition: Condition, readings: Readings | None = None) -> net.Network:
    """The network of a supply in a condition."""
    return build_network(filled, condition, readings_of(filled) if readings is None else readings)


def outcomes_of(filled: FilledSupply, *conditions: Condition) -> list[Outcome]:
    """Conditions of a supply, run in this process."""
    return run_conditions(filled, conditions, readings_of(filled), Here())


def figures_of(filled: FilledSupply, *conditions: Condition) -> list[Figures]:
    """Figures of conditions; measuring them checks conservation."""
    return [measure(outcome) for outcome in outcomes_of(filled, *conditions)]
