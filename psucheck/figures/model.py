"""Figures: what a run of the supply amounts to, in the trade's words and SI units.

One :class:`Figures` per condition. Steady conditions hold averages over one mains cycle of the periodic
steady state; transients hold the extremes of the whole run, and their averages over its last cycle. Rules and
reports read these and nothing else; no waveform reaches them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from psucheck.circuit.condition import Level, State

__all__ = [
    "SAFE_VOLTS",
    "CapacitorFigures",
    "ChokeFigures",
    "CoreFigures",
    "Discharge",
    "Figures",
    "Level",
    "MainsFigures",
    "NodeFigures",
    "PlaceFigures",
    "RectifierFigures",
    "RelayFigures",
    "ResistorFigures",
    "Sag",
    "State",
    "ValveFigures",
    "WindingFigures",
]

SAFE_VOLTS = 60.0
"""DC that is not hazardous to touch, IEC 62368-1 ES1 (from memory): discharges are timed down to it [V]."""


@dataclass(frozen=True, slots=True)
class NodeFigures:
    """A filter node against its return [V]; ``dc`` is negative on a bias node."""

    dc: float
    ripple_pp: float
    ripple_rms: float
    min: float
    max: float


@dataclass(frozen=True, slots=True)
class CapacitorFigures:
    """A capacitor, or a series string of them.

    ``max_volts`` is the highest absolute voltage over the string, ``unit_max_volts`` over each part of it as
    simulated with equal parts. ``ripple_spectrum`` lists (Hz, A RMS) of the ripple current. ``reverse_volts``
    is the most that any electrolytic of it sees with its poles the wrong way round.
    """

    dc: float
    max_volts: float
    unit_max_volts: tuple[float, ...]
    ripple_current: float
    ripple_spectrum: tuple[tuple[float, float], ...]
    peak_current: float
    energy: float
    reverse_volts: float = 0.0


@dataclass(frozen=True, slots=True)
class ResistorFigures:
    """A resistor: A RMS, mean watts, highest absolute volts across it."""

    rms_current: float
    watts: float
    max_volts: float


@dataclass(frozen=True, slots=True)
class ChokeFigures:
    """A choke: mean, RMS and peak current [A], and the mean volts over its copper [V]."""

    dc: float
    rms_current: float
    min_current: float
    peak_current: float
    dc_volts: float


@dataclass(frozen=True, slots=True)
class WindingFigures:
    """A winding; tuples run over its sections (halves, for a centre-tapped one).

    ``volts`` is the RMS over the whole winding under load, ``section_volts`` over each section, both at the
    transformer; ``rms_current`` and ``peak_current`` [A] are those of each section. ``elevation`` is the mean
    voltage to chassis of a heater winding that the description raises; None for any other. ``heater_volts``
    is the RMS at the heaters, behind what stands in the winding's leads; None for one that heats nothing.
    """

    volts: float
    section_volts: tuple[float, ...]
    rms_current: tuple[float, ...]
    peak_current: tuple[float, ...]
    elevation: float | None = None
    heater_volts: float | None = None

    @property
    def at_heaters(self) -> float:
        """Volts that heaters on it get [V RMS]: the winding's own where they are not told apart."""
        return self.volts if self.heater_volts is None else self.heater_volts


@dataclass(frozen=True, slots=True)
class RectifierFigures:
    """A rectifier circuit; ``arm_*`` are those of the busiest arm (anode, or diode).

    ``mean_current`` is the DC of the whole circuit [A]; ``reverse_voltage`` the highest over one arm [V];
    ``source_resistance`` [ohm] that of one conducting half as an anode sees it (winding, reflected primary
    and mains, added resistors).
    """

    mean_current: float
    arm_mean_current: float
    arm_rms_current: float
    peak_current: float
    reverse_voltage: float
    source_resistance: float


@dataclass(frozen=True, slots=True)
class ValveFigures:
    """The output valves of one load, per valve, counted from the cathode: volts, amps, watts.

    ``bias`` is the mean grid voltage against the cathode (negative).
    """

    count: int
    type: str
    anode_volts: float
    screen_volts: float
    bias: float
    anode_current: float
    screen_current: float
    anode_watts: float
    screen_watts: float
    anode_rail: float


@dataclass(frozen=True, slots=True)
class PlaceFigures:
    """The current at a place where a fuse, switch or limiter stands [A].

    ``volts`` is the highest the place would have to interrupt (RMS on the AC side, DC on a rail), ``dc`` says
    which.

    ``open_volts``: of a switch that is open, the highest voltage over its contacts [V].

    Transients only: ``i2t`` [A^2 s] of the whole run, and ``window_rms``: (window [s], highest RMS over any
    window of that length [A]).
    """

    rms_current: float
    peak_current: float
    volts: float
    dc: bool
    i2t: float | None = None
    window_rms: tuple[tuple[float, float], ...] = ()
    open_volts: float | None = None


@dataclass(frozen=True, slots=True)
class MainsFigures:
    """What the supply draws from the wall."""

    volts: float
    rms_current: float
    watts: float
    volt_amperes: float
    peak_current: float


@dataclass(frozen=True, slots=True)
class Discharge:
    """A node after mains off.

    ``seconds_to_60_v`` is None when it does not fall below 60 V within the run; ``bled`` says whether any
    resistor of the description drains it with the valves out.
    """

    start_volts: float
    seconds_to_60_v: float | None
    bled: bool


@dataclass(frozen=True, slots=True)
class Sag:
    """A node while the output stage goes from idle to full output for a second, and back.

    Means over a mains cycle [V]: at idle before, and the ``lowest``, reached at full output. ``seconds_down``
    to 63 % of the fall, ``seconds_back`` to within 5 % of it after full output ends; None if that is not
    reached within the run.
    """

    idle: float
    lowest: float
    seconds_down: float | None
    seconds_back: float | None


@dataclass(frozen=True, slots=True)
class CoreFigures:
    """The transformer's core: magnetising A RMS, loss [W], and flux as shares of the rated.

    ``flux`` is half of its swing; ``offset`` its mean, which half-wave rectifiers on its windings cause.
    """

    flux: float
    offset: float
    magnetising: float
    watts: float


@dataclass(frozen=True, slots=True)
class RelayFigures:
    """A relay: the volts at which it pulls in, and the mains at which its node has them [V RMS].

    ``pull_in_mains`` at idle, ``pull_in_mains_valves_out`` with the valves out; None if not found.
    ``at_low_mains`` is the DC on its node at idle at low mains [V].
    """

    name: str
    node: str
    pull_in: float
    pull_in_mains: float | None
    pull_in_mains_valves_out: float | None
    at_low_mains: float | None


@dataclass(frozen=True)
class Figures:
    """All figures of one condition.

    Keys of the mappings: node, winding, rectifier, load names as in the description. Capacitors by their
    node's name (``"reservoir"``; ``"rectifiers.ht"`` + ``" upper"``/``" lower"`` for a doubler's pair).
    Resistors by what they are: ``"splitter dropper"``, ``"reservoir bleeder"``, ``"splitter balancing"``,
    ``"output screen resistor"``, ``"output cathode resistor"``, ``"bias feed"``, ``"ht anode resistor"``,
    ``"standby bypass"``. Chokes by their node. Places by the description's own words.
    """

    name: str
    state: State
    level: Level
    mains: float
    kind: Literal["steady", "transient"]
    nodes: Mapping[str, NodeFigures]
    capacitors: Mapping[str, CapacitorFigures]
    resistors: Mapping[str, ResistorFigures]
    chokes: Mapping[str, ChokeFigures]
    windings: Mapping[str, WindingFigures]
    rectifiers: Mapping[str, RectifierFigures]
    valves: Mapping[str, ValveFigures]
    places: Mapping[str, PlaceFigures]
    mains_supply: MainsFigures | None
    core: CoreFigures | None = None
    discharge: Mapping[str, Discharge] = field(default_factory=dict)
    sag: Mapping[str, Sag] = field(default_factory=dict)
    uncertainty: Mapping[str, float] = field(default_factory=dict)
    """Path (``"nodes.reservoir.dc"``) -> numerical uncertainty in the figure's own unit."""
    guessed_range: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    """Path -> lowest and highest that the figure takes while one guess at a time goes through its range."""
    remarks: tuple[str, ...] = ()
    seconds: float | None = None
    """Of a moment of the warm-up: how long after switch-on from cold [s]."""
    emission: Mapping[str, float] = field(default_factory=dict)
    """Then: ``"rectifiers.NAME"`` and ``"valves"`` -> share of their emission that is there [1]."""
