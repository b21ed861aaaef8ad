"""A network: the elements of a supply in one condition, as plain data.

Node 0 is the chassis. Names of nodes and elements are generated (``n1``, ``r3``); what the user calls them
stands beside, in the layout and in each element's ``says``. All values are SI.

Positive current of an element flows from ``plus`` through it to ``minus``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

GROUND = "0"


@dataclass(frozen=True, slots=True)
class Element:
    """What every element has: a generated name, its two nodes, and what it is."""

    name: str
    plus: str
    minus: str
    says: str


@dataclass(frozen=True, slots=True)
class Mains(Element):
    """The wall: ``peak_volts`` sin(2 pi ``hertz`` t + ``phase_degrees``), cut at ``flat_volts`` if given."""

    peak_volts: float
    hertz: float
    phase_degrees: float = 90.0
    flat_volts: float | None = None


@dataclass(frozen=True, slots=True)
class Dc(Element):
    """A steady voltage: a bias that does not track."""

    volts: float


@dataclass(frozen=True, slots=True)
class Resistor(Element):
    """A resistance."""

    ohms: float


@dataclass(frozen=True, slots=True)
class Capacitor(Element):
    """A capacitance, its voltage a state: of the size of ``scale_volts``, guessed at ``start_volts``."""

    farads: float
    scale_volts: float
    start_volts: float = 0.0


@dataclass(frozen=True, slots=True)
class Choke(Element):
    """An inductance without its copper, its flux linkage [V s] a state.

    Linear up to ``knee_amps``; beyond it the differential inductance falls to ``henries`` / ``beyond``. A
    knee of None makes it linear throughout.
    """

    henries: float
    knee_amps: float | None = None
    beyond: float = 20.0
    start_amps: float = 0.0
    scale_flux: float | None = None
    """The size of its flux linkage [V s]; None: that at half the knee."""


@dataclass(frozen=True, slots=True)
class Core(Element):
    """The transformer's core as the primary sees it, its flux linkage [V s] a state.

    Magnetising current at flux x times rated: ``rated_amps`` (s x + (1 - s) x^n), s ``linear_share``, n the
    odd ``exponent``. Saturation without hysteresis: what the core loses is a resistance beside it, what it
    keeps of the last switch-off is ``residual`` (a share of ``rated_flux``), where a switch-on starts.
    """

    rated_flux: float
    rated_amps: float
    linear_share: float
    exponent: int
    residual: float = 0.0


@dataclass(frozen=True, slots=True)
class Thermistor(Element):
    """An NTC, its rise above room temperature [K] a state: R = ``cold`` exp(``beta`` (1/T - 1/298.15)).

    It loses ``dissipation`` [W/K] and holds ``capacity`` [J/K].
    """

    cold: float
    beta: float
    dissipation: float
    capacity: float
    start_rise: float = 0.0


@dataclass(frozen=True, slots=True)
class ColdHeater(Element):
    """Heaters from cold: ``hot_ohms`` times a share that rises exponentially from ``cold_share`` to one."""

    hot_ohms: float
    cold_share: float
    time_constant: float


@dataclass(frozen=True, slots=True)
class Diode(Element):
    """A junction diode: v = ``emission`` kT/q ln(1 + i/``saturation_amps``) + i ``series_ohms``, 27 degC."""

    saturation_amps: float
    emission: float
    series_ohms: float


@dataclass(frozen=True, slots=True)
class ValveDiode(Element):
    """One anode of a rectifier valve: i = ``perveance`` v^1.5 [A/V^1.5], nothing backwards."""

    perveance: float


KNEE_SATURATION_AMPS = 1e-9
"""Saturation current of the junction that rounds a zener's knee [A]; without a source, and without effect but
below a microampere."""
KNEE_VOLTS = 0.025865 * math.log1p(10e-3 / KNEE_SATURATION_AMPS)
"""What that junction drops at 10 mA, where the zener has its volts [V]; kT/q at 27 degC."""


ZENER_LEAKAGE_AMPS = 5e-6
"""What a zener lets through just below its volts [A] (from memory: 5 uA at three quarters of them)."""


@dataclass(frozen=True, slots=True)
class Zener(Element):
    """A zener: beyond ``volts`` from plus to minus v = ``volts`` + i ``ohms`` + (kT/q) ln(i/10 mA).

    The last term rounds the knee, by 60 mV a decade of current. Backwards it is a junction as of
    :class:`Diode`.
    """

    volts: float
    ohms: float
    saturation_amps: float
    emission: float
    series_ohms: float


@dataclass(frozen=True, slots=True)
class Section(Element):
    """A section of a winding on the ideal core: ``ratio`` times the core's voltage, its current reflected."""

    ratio: float


@dataclass(frozen=True, slots=True)
class Law(Element):
    """A current that depends on voltages elsewhere.

    i = ``amps`` x product of ((sum of weight x V(node) + offset)+ / ``scale``)^exponent over ``factors``; a
    factor whose sum is not positive makes the current zero. No factors: a constant current.
    """

    amps: float
    factors: tuple[Factor, ...] = ()
    window: Window | None = None


@dataclass(frozen=True, slots=True)
class Window:
    """A law is on from ``start`` to ``end`` [s], or (not ``inside``) off then; ramps of ``ramp`` [s]."""

    start: float
    end: float
    inside: bool
    ramp: float = 2e-3


@dataclass(frozen=True, slots=True)
class Factor:
    """One factor of a :class:`Law`; ``terms`` are (weight, node)."""

    terms: tuple[tuple[float, str], ...]
    offset: float
    scale: float
    exponent: float


STATEFUL = (Capacitor, Choke, Core, Thermistor)


@dataclass(frozen=True)
class ResistorLayout:
    """A resistor of the description: its elements (equal ones), and how many parts share each."""

    elements: tuple[str, ...]
    parts: int = 1


@dataclass(frozen=True)
class StringLayout:
    """A capacitor or a series string of them: its unit elements from ``plus`` on, and its two nodes.

    ``sign`` is that of the volts from ``plus`` to ``minus`` for which an electrolytic is turned there; None
    for a part that stands either sign.
    """

    units: tuple[str, ...]
    plus: str
    minus: str
    sign: int | None = None


@dataclass(frozen=True)
class RectifierLayout:
    """A rectifier: its arms, those whose current reaches the output, and what each conducting half sees."""

    arms: tuple[str, ...]
    outputs: tuple[str, ...]
    source_ohms: float
    devices_in_series: int
    devices_in_parallel: int
    ends: tuple[tuple[str, str], ...]
    """Anode and cathode of each arm, over all that is in series there: a valve and the silicon behind it."""


@dataclass(frozen=True)
class ValveLayout:
    """The output valves of a load: their summed current laws, and the nodes around them."""

    count: int
    type: str
    anode_laws: tuple[str, ...]
    screen_laws: tuple[str, ...]
    anode_node: str
    screen_node: str | None
    cathode_node: str
    grid_node: str | None
    grid_share: float
    fixed_grid_volts: float
    anode_path_ohms: float
    """Resistance that the anode current of one valve meets in the output transformer, times the share of the
    valves that go through it [ohm]: volts lost = total anode current x this."""
    halves: int = 1
    """Windings of the output transformer that share the valves: two of a push-pull stage."""


@dataclass(frozen=True)
class PlaceLayout:
    """A place where a fuse, switch or limiter stands: the resistors that carry its current."""

    elements: tuple[str, ...]
    dc: bool
    volts_between: tuple[tuple[str, str], ...]
    """Node pairs whose highest voltage the place would have to interrupt."""
    contacts: tuple[str, ...] = ()
    """The contacts of the switches that stand there, open or closed."""


@dataclass
class Layout:
    """What the user's names mean in the network."""

    nodes: dict[str, str] = field(default_factory=dict)
    capacitors: dict[str, StringLayout] = field(default_factory=dict)
    resistors: dict[str, ResistorLayout] = field(default_factory=dict)
    chokes: dict[str, tuple[str, str]] = field(default_factory=dict)
    """Node name -> (choke element, element of its copper)."""
    windings: dict[str, tuple[str, ...]] = field(default_factory=dict)
    winding_ends: dict[str, tuple[tuple[str, str], ...]] = field(default_factory=dict)
    """Winding name -> the node pair of each section, behind its copper and before its leads."""
    heater_ends: dict[str, tuple[str, str]] = field(default_factory=dict)
    """Name of a winding that heats -> the two nodes of its heaters, behind what stands in its leads."""
    rectifiers: dict[str, RectifierLayout] = field(default_factory=dict)
    valves: dict[str, ValveLayout] = field(default_factory=dict)
    elevations: dict[str, str | float] = field(default_factory=dict)
    """Heater winding -> the tap of the divider that it stands on, or the volts as given."""
    places: dict[str, PlaceLayout] = field(default_factory=dict)
    core: str | None = None
    """The core's element; None for an ideal one."""
    core_loss: str | None = None
    """The resistor that stands for its loss."""
    emission: dict[str, float] = field(default_factory=dict)
    """While cathodes warm up: what each of them passes, as a share [1], by the key of its warm-up."""
    bled: dict[str, bool] = field(default_factory=dict)
    """Node name -> whether a resistor that the description names drains it with the valves out."""
    drawn: bool = True
    """Whether every rail is drawn from in this condition, by more than its capacitors' leakage."""


@dataclass
class Network:
    """Elements in the order in which the current flows, and what they are to the user."""

    title: str
    hertz: float
    elements: list[Element] = field(default_factory=list)
    layout: Layout = field(default_factory=Layout)

    def __getitem__(self, name: str) -> Element:
        for element in self.elements:
            if element.name == name:
                return element
        raise KeyError(name)

    @property
    def states(self) -> list[Element]:
        """The elements that hold a state, in order."""
        return [element for element in self.elements if isinstance(element, STATEFUL)]
