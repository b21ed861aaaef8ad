"""The supply with nothing left open: every value that a circuit needs, given, derived, default or guessed.

Plain data, SI; made by :mod:`psucheck.supply.fill`. The description itself stays as it was read.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from psucheck.supply.assumptions import Assumption
from psucheck.supply.model import Supply, Zener
from psucheck.supply.topology import Source


@dataclass(frozen=True, slots=True)
class FilledMains:
    """Nominal, low, high and wall volts [V RMS], frequency [Hz], source resistance [ohm]."""

    nominal: float
    low: float
    high: float
    wall: float | None
    hertz: float
    ohms: float
    flat_top: float = 0.0
    """Share by which the crest falls short of a sine's of the same RMS."""


@dataclass(frozen=True, slots=True)
class FilledCore:
    """The core seen from the primary tap in use.

    Peak flux linkage at rated volts and design frequency [V s]; peak magnetising current there [A], its
    linear share and the odd power of the rest; core loss as a resistance [ohm]; leakage inductance [H]; the
    residual flux that a switch-on may find, as a share of the rated.
    """

    rated_flux: float
    rated_amps: float
    linear_share: float
    exponent: int
    loss_ohms: float
    leakage_henries: float
    residual: float


@dataclass(frozen=True, slots=True)
class FilledTap:
    """A tap on a winding's first section, from its inner end: volts per volt on the primary, copper."""

    ratio: float
    ohms: float


@dataclass(frozen=True, slots=True)
class FilledWinding:
    """A winding: per section the off-load volts per volt on the primary, and the copper [ohm]."""

    ratios: tuple[float, ...]
    ohms: tuple[float, ...]
    taps: Mapping[str, FilledTap]


@dataclass(frozen=True, slots=True)
class FilledDevice:
    """A rectifying device per arm: a valve by its perveance [A/V^1.5], or silicon by diode constants."""

    kind: Literal["valve", "silicon"]
    perveance: float = 0.0
    saturation_amps: float = 0.0
    emission: float = 0.0
    series_ohms: float = 0.0
    in_series: int = 1
    in_parallel: int = 1
    backup: FilledDevice | None = None
    """Silicon in series with each anode of a valve."""
    unequal: float = 0.0
    """Share by which the anode of arm b passes less."""


@dataclass(frozen=True, slots=True)
class FilledCapacitor:
    """A capacitor of a string: value [F], ESR [ohm], leakage resistance [ohm], balancing resistor [ohm]."""

    farads: float
    esr: float
    leakage_ohms: float
    in_series: int
    balancing_ohms: float | None


@dataclass(frozen=True, slots=True)
class FilledChoke:
    """A choke: inductance [H], copper [ohm], current at which it saturates [A] (None: never)."""

    henries: float
    ohms: float
    knee_amps: float | None


@dataclass(frozen=True, slots=True)
class FilledNode:
    """A filter node and what leads to it; ``bleeder_ohms`` is one that the description names."""

    source: Source
    choke: FilledChoke | None
    resistor_ohms: float | None
    capacitor: FilledCapacitor | None
    bleeder_ohms: float | None
    was: float | None
    bias_load_ohms: float | None = None
    """Of a bias node: the pot, its padding and the grid leaks, seen as one resistance."""
    zener: FilledZener | None = None
    """Across the node, from it to chassis."""


@dataclass(frozen=True, slots=True)
class HeaterLoad:
    """Heaters on a winding: amps at volts; those of rectifier valves stay in when the others are out."""

    winding: str
    group: Literal["valves", "rectifier"]
    amps: float
    volts: float
    pulled_amps: float = 0.0
    """What of ``amps`` valves that are missing do not draw; the readings were taken with them in."""


@dataclass(frozen=True, slots=True)
class CurrentLoad:
    """A load that is no output valve.

    ``amps`` drawn at ``at_volts`` (None: at whatever the node reads when everything draws what was read),
    following its rail unless ``constant``; or a resistance ``ohms``; heaters are one, absent with the valves.
    """

    node: str
    amps: float = 0.0
    at_volts: float | None = None
    constant: bool = False
    ohms: float | None = None
    heats: bool = False


@dataclass(frozen=True, slots=True)
class FilledRelay:
    """A relay on a node: the volts at which it pulls in, and down to which it holds (None: not known)."""

    node: str
    pull_in: float
    holds: float | None


@dataclass(frozen=True, slots=True)
class OutputLoad:
    """The output valves of one load, all together.

    The idle point: ``anode_amps`` and ``screen_amps`` at ``anode_volts`` and ``screen_volts`` on their rails
    (None: as computed for the readings), ``grid_volts`` between grid and cathode (None: all that the bias
    node has in the run of the readings). ``mu`` None: the law of the
    type is not known.
    """

    type: str
    count: int
    anodes: str
    screens: str | None
    anode_amps: float
    screen_amps: float
    anode_volts: float | None
    screen_volts: float | None
    bias: Literal["node", "fixed", "cathode"]
    bias_node: str | None
    grid_volts: float | None
    cathode_ohms: float
    mu: float | None
    full_anode_amps: float
    full_screen_amps: float
    full_volts: float | None
    """Anode rail at which the full-output current is meant; None: at the idle point's."""
    screen_ohms: float
    anode_path_ohms: float
    halves: int = 1
    """Windings of the output transformer that share the valves: two of a push-pull stage."""
    missing: int = 0
    """Of ``count``, on which all else here is told, so many are pulled."""
    told_on: OutputLoad | None = None
    """The same load as it was read, where its parts or valves are others now: it tells the valves' law."""

    @property
    def standing(self) -> int:
        """Valves that are in."""
        return self.count - self.missing

    @property
    def share(self) -> float:
        """Valves that are in, as a share of all."""
        return self.standing / self.count


@dataclass(frozen=True, slots=True)
class FilledLimiter:
    """An NTC: resistance at 25 degC [ohm], B value [K], dissipation [W/K], heat capacity [J/K], hot [ohm]."""

    cold: float
    beta: float
    dissipation: float
    capacity: float
    hot: float


@dataclass(frozen=True, slots=True)
class FilledZener:
    """A zener at a place: its volts, and its differential resistance where it conducts [ohm]."""

    volts: float
    ohms: float


@dataclass(frozen=True, slots=True)
class FilledColdHeaters:
    """Heaters at a switch-on from cold: cold over hot resistance [1], its time constant [s]."""

    share: float
    seconds: float


@dataclass(frozen=True, slots=True)
class FilledWarmUp:
    """Emission of cathodes: none until ``starts``, all of it from ``full`` on [s after switch-on, cold]."""

    starts: float
    full: float

    def share(self, seconds: float) -> float:
        """Share of the emission [1] that is there ``seconds`` after switch-on.

        It rises smoothly, x^2 (3 - 2 x) over the time between; the form is a guess without a source.
        """
        x = min(max((seconds - self.starts) / (self.full - self.starts), 0.0), 1.0)
        return x * x * (3.0 - 2.0 * x)


@dataclass(frozen=True)
class FilledSupply:
    """Everything a circuit needs, and what was assumed for it."""

    supply: Supply
    mains: FilledMains
    primary_ohms: float
    core: FilledCore | None
    """None for an ideal one."""
    windings: Mapping[str, FilledWinding]
    devices: Mapping[str, FilledDevice]
    clamps: Mapping[str, FilledDevice]
    pairs: Mapping[str, tuple[FilledCapacitor, FilledCapacitor]]
    """The two capacitors of each doubler."""
    feeds: Mapping[str, FilledCapacitor]
    """The feed capacitor of each rectifier that has one."""
    nodes: Mapping[str, FilledNode]
    heaters: tuple[HeaterLoad, ...]
    currents: Mapping[str, CurrentLoad]
    outputs: Mapping[str, OutputLoad]
    place_ohms: Mapping[str, float]
    """Resistance of the fuses at each place."""
    limiters: Mapping[str, FilledLimiter]
    relays: Mapping[str, FilledRelay]
    zeners: Mapping[str, FilledZener]
    warm_ups: Mapping[str, FilledWarmUp]
    """Warm-up of ``"rectifiers.NAME"``, valves only, and of ``"valves"``: all that draw from the rails."""
    cold_heaters: FilledColdHeaters
    assumptions: tuple[Assumption, ...]

    def at_place(self, place: str) -> float:
        """All resistance that stands at a place: fuse, resistor or zener, hot limiter [ohm]."""
        series, limiter = self.supply.series.get(place), self.limiters.get(place)
        ohms = self.place_ohms.get(place, 0.0) + (limiter.hot if limiter else 0.0)
        if isinstance(series, Zener):
            return ohms + self.zeners[place].ohms
        return ohms + (series.value if series else 0.0)
