"""The supply as plain data: what stands on the drawing and what was read with a meter.

Every class is the table form of design; a string in its place is the short form and is expanded by
:mod:`psucheck.supply.notation` before validation. All numbers are SI. Nothing here knows of SPICE.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal, Self

from pydantic import (
    BeforeValidator,
    Field,
    PrivateAttr,
    model_validator,
)

from psucheck.parts.shelves import Library
from psucheck.supply import fields as f
from psucheck.supply import notation
from psucheck.supply.part_tables import (
    ACapacitor,
    AChoke,
    ADevice,
    AResistor,
    ASeries,
    AZener,
    Backup,
    Capacitor,
    Choke,
    Device,
    DropPoint,
    HeaterRating,
    LineUp,
    Resistor,
    Table,
    ValveCount,
    Zener,
    short,
)

if TYPE_CHECKING:
    from psucheck.supply.spelling import Spelling

__all__ = [
    "ACapacitor",
    "AChoke",
    "ADevice",
    "AFuse",
    "ALimiter",
    "AMeter",
    "ANode",
    "AResistor",
    "ASeries",
    "ASwitch",
    "AWinding",
    "AnElevation",
    "Backup",
    "Capacitor",
    "Choke",
    "Description",
    "Device",
    "DropPoint",
    "Elevation",
    "Fuse",
    "HeaterRating",
    "Idle",
    "Limiter",
    "LineUp",
    "Load",
    "Mains",
    "Meter",
    "Node",
    "Primary",
    "Rectifier",
    "RectifierCircuit",
    "Relay",
    "Resistor",
    "Supply",
    "Switch",
    "Table",
    "Transformer",
    "ValveCount",
    "Winding",
    "WindingTap",
    "Zener",
]

# --- mains and transformer --------------------------------------------------------------------------------


class Mains(Table):
    """The wall: nominal voltage, its range, and what it reads today [V RMS]."""

    voltage: f.Volts
    frequency: f.Hertz
    system: str | None = None
    low: f.Volts | None = None
    high: f.Volts | None = None
    wall: f.Volts | None = None
    impedance: f.Ohms | None = None
    flat_top: f.Fraction | None = Field(None, description="by how much the crest is below a sine's")


class Primary(Table):
    """The tap in use: ``"230 V, 6.2 ohm"``."""

    voltage: f.Volts
    resistance: f.Ohms | None = None


class Transformer(Table):
    """The mains transformer as its primary shows it."""

    primary: Annotated[Primary, short(notation.primary)]
    taps: dict[str, f.Ohms] = Field(default_factory=dict, description="the other primary taps")
    core: Literal["laminated", "toroidal", "ideal"] = "laminated"
    power: f.VoltAmperes | None = None
    design_frequency: f.Hertz | None = None
    no_load_current: f.Amps | None = None
    no_load_power: f.Watts | None = None
    leakage: f.Henries | None = None
    regulation: f.Fraction | None = None


class WindingTap(Table):
    """A tap: volts from the centre tap (or from end b of a plain winding), and the copper to it."""

    volts: f.Volts
    resistance: f.Ohms | None = None


class Winding(Table):
    """A secondary: one section, or two from a centre tap (``"365-0-365 V off load at 243 V, 33 + 35 ohm"``).

    ``volts`` are off-load volts when ``off_load_at`` names the mains they were read at, else volts at the
    rated ``current``.
    """

    volts: tuple[f.Volts, ...] = Field(min_length=1, max_length=2)
    off_load_at: f.Volts | None = None
    resistance: tuple[f.Ohms, ...] | None = None
    current: f.Amps | None = None
    current_is: Literal["AC", "DC"] = "AC"
    taps: dict[str, Annotated[WindingTap, short(notation.tap)]] = Field(default_factory=dict)

    @property
    def centre_tapped(self) -> bool:
        """Whether the winding has a centre tap."""
        return len(self.volts) == 2


AWinding = Annotated[Winding, short(notation.winding)]


# --- rectifiers and filter --------------------------------------------------------------------------------

RectifierCircuit = Literal["centre-tapped", "bridge", "half-wave", "full-wave doubler", "cascade doubler"]


class Rectifier(Table):
    """A rectifier circuit on a winding; its DC output feeds the filter nodes that name it."""

    circuit: RectifierCircuit
    winding: str
    device: ADevice
    polarity: Literal["positive", "negative"] = "positive"
    heater: str | None = Field(None, description="the winding that heats a rectifier valve")
    end: str | None = Field(None, description='half-wave: "a", "b" or a tap\'s name; the return is the rest')
    feed: AResistor | ACapacitor | None = Field(None, description="in series, before the diode")
    clamp: ADevice | None = Field(None, description="the diode to chassis behind a feed capacitor")
    anode_resistors: AResistor | None = Field(None, description="one in each anode lead")
    capacitors: tuple[ACapacitor, ACapacitor] | None = Field(None, description="the two of a doubler")
    centre_tap: str | None = Field(None, description='bridge: "RESERVOIR middle" joins the centre tap there')


class Node(Table):
    """A filter node: what leads to it (choke or resistor), the capacitor on it, what was read there."""

    from_: str | None = Field(None, alias="from")
    choke: AChoke | None = None
    resistor: AResistor | None = None
    capacitor: ACapacitor | None = None
    bleeder: AResistor | None = None
    zener: AZener | None = Field(None, description="from the node to chassis, behind its dropper")
    was: f.BiasVolts | None = Field(None, description="DC read at idle at the wall voltage")
    target: Annotated[tuple[f.Volts, float], short(notation.target)] | None = None
    original: ACapacitor | None = None
    temperature: f.Celsius | None = None
    range: tuple[f.BiasVolts, f.BiasVolts] | None = Field(None, description="of a bias node: the pot's ends")
    set: f.BiasVolts | None = Field(None, description="of a bias node: what the grids get")
    wiper_open: f.BiasVoltsOrNone | None = Field(
        None, description="of a bias node: what the grids get with the pot's wiper lifted"
    )


ANode = Annotated[Node, short(notation.node)]


# --- loads ------------------------------------------------------------------------------------------------


class Idle(Table):
    """The idle point that was read: per valve if ``each``, else of all valves of the load together."""

    cathode: f.Amps | None = None
    anode: f.Amps | None = None
    screen: f.Amps | None = None
    at: f.Volts | None = Field(None, description="anode rail at which it was read")
    each: bool = True

    @model_validator(mode="after")
    def _a_current(self) -> Self:
        if (self.cathode is None) == (self.anode is None):
            raise ValueError(
                'give the idle current at the cathode or at the anode, one of them: "38 mA each"'
            )
        return self


class Relay(Table):
    """A relay's coil: ``"12 V 360 ohm"``; where ``pull_in`` is not given it is a share of ``voltage``."""

    voltage: f.Volts | None = Field(None, description="the coil's nominal")
    pull_in: f.Volts | None = None
    holds: f.Volts | None = Field(None, description="down to which it stays pulled in")
    resistance: f.Ohms | None = None

    @model_validator(mode="after")
    def _some_volts(self) -> Self:
        if self.voltage is None and self.pull_in is None:
            raise ValueError('a relay needs the volts at which it pulls in, or its nominal ("12 V 360 ohm")')
        return self


class Load(Table):
    """What draws from the rails: output valves, a current, a resistance, DC heaters, or a relay."""

    valves: LineUp | None = None
    anodes: str | None = None
    screens: str | None = None
    bias: f.BiasVolts | str | None = Field(None, description='a node, "cathode", or a fixed voltage')
    cathode_resistor: AResistor | None = Field(None, description="common to all valves of the load")
    idle: Annotated[Idle, short(notation.idle)] | None = None
    full: f.Amps | None = Field(None, description="anode current of all valves at full output")
    full_screen: f.Amps | None = None
    power: f.Watts | None = Field(None, description="audio output, the badge power")
    output_transformer: Annotated[tuple[f.Ohms, ...], short(notation.two_resistances)] | None = None
    screen_resistors: AResistor | None = Field(None, description="one at each valve")
    missing: int | None = Field(None, ge=1, le=23, description="so many of the valves pulled")
    node: str | None = None
    current: f.Amps | None = None
    resistance: f.Ohms | None = None
    constant: bool = False
    heaters: LineUp | None = Field(None, description="valves heated with DC from the node")
    at: f.Volts | None = Field(None, description="nominal volts of those heaters as wired: 6.3 V, 12.6 V")
    relay: Annotated[Relay, short(notation.relay)] | None = None


# --- protection and switching -----------------------------------------------------------------------------


class Fuse(Table):
    """A fuse: ``"T2AL250V"``."""

    standard: Literal["IEC", "UL"] = "IEC"
    speed: Literal["FF", "F", "M", "T", "TT"]
    breaking: Literal["L", "E", "H"] | None = None
    current: f.Amps
    voltage: f.Volts | None = None
    dc_voltage: f.Volts | None = None
    melting_i2t: f.AmpsSquaredSeconds | None = None
    resistance: f.Ohms | None = None
    maker: str | None = None


def _fuse(raw: Any) -> Any:
    """Expand ``"T2AL250V"``, and ``{ rating = "T2AL250V", maker = "..." }``."""
    if isinstance(raw, str):
        return notation.fuse(raw)
    if isinstance(raw, dict) and isinstance(raw.get("rating"), str):
        rest = {key: value for key, value in raw.items() if key != "rating"}
        return {**notation.fuse(raw["rating"]), **rest}
    return raw


AFuse = Annotated[Fuse, BeforeValidator(_fuse)]


class Switch(Table):
    """A switch in the DC or AC path: ``standby = "before screens"``."""

    place: str
    bypass: AResistor | None = None
    voltage: f.Volts | None = Field(None, description="rated: of DC in a rail, of AC on the AC side")
    current: f.Amps | None = None


ASwitch = Annotated[Switch, short(lambda text: {"place": text})]


class Limiter(Table):
    """An NTC inrush limiter: ``"B57236S0100"`` of the library, or its resistance cold and hot.

    ``hot`` is its resistance at the steady ``current``.
    """

    type: str | None = None
    cold: f.Ohms | None = None
    hot: f.Ohms | None = None
    current: f.Amps | None = None
    time_constant: f.Seconds | None = None

    @model_validator(mode="after")
    def _either_type_or_readings(self) -> Self:
        if self.type is None and (self.cold is None or self.hot is None or self.current is None):
            raise ValueError(
                'a limiter needs its type, or cold = "10 ohm", hot = "0.38 ohm" and current = "2 A"'
            )
        return self


ALimiter = Annotated[Limiter, short(lambda text: {"type": text})]


class Elevation(Table):
    """What a heater winding stands on: ``"45 V"``, or a divider from a node to chassis, upper part first."""

    volts: f.Volts | None = None
    node: str | None = None
    divider: tuple[AResistor, AResistor] | None = None

    @model_validator(mode="after")
    def _volts_or_divider(self) -> Self:
        if (self.volts is None) == (self.node is None) or (self.node is None) != (self.divider is None):
            raise ValueError('an elevation is "45 V", or node = "preamp" with divider = ["220k", "47k"]')
        return self


AnElevation = Annotated[Elevation, short(lambda text: {"volts": text})]


# --- the bench --------------------------------------------------------------------------------------------


class Meter(Table):
    """A meter's accuracy: ``"1 % + 3"``, of the reading and in counts of the last digit."""

    share: f.Fraction = Field(description="of the reading")
    counts: int = Field(3, ge=0, le=9999, description="of the last digit")
    display: int = Field(2000, ge=100, le=9_999_999, description="counts that the display has")


AMeter = Annotated[Meter, short(notation.meter)]


# --- the whole --------------------------------------------------------------------------------------------


class Supply(Table):
    """One supply, as described. See docs/description.md for each key."""

    title: str = Field(min_length=1, max_length=200)
    valves: LineUp = ()
    mains: Mains
    transformer: Transformer
    windings: dict[str, AWinding]
    rectifiers: dict[str, Rectifier]
    filter: dict[str, ANode]
    loads: dict[str, Load] = Field(default_factory=dict)
    fuses: dict[str, AFuse] = Field(default_factory=dict)
    switches: dict[str, ASwitch] = Field(default_factory=dict)
    limiters: dict[str, ALimiter] = Field(default_factory=dict)
    series: dict[str, ASeries] = Field(default_factory=dict)
    elevation: dict[str, AnElevation] = Field(default_factory=dict)
    accepted: dict[str, str] = Field(default_factory=dict)
    parts: str | None = Field(None, min_length=1, description="a parts file of the user's own")
    limits: str | None = Field(None, min_length=1, description="a limits file of the user's own")
    meter: AMeter | None = Field(None, description="what readings at the bench are taken with")
    wattmeter: Literal["before variac", "after variac"] | None = None
    _library: Library | None = PrivateAttr(None)
    _limits_files: tuple[tuple[Path, str], ...] = PrivateAttr(())

    @property
    def library(self) -> Library | None:
        """The library with the user's own parts; None: the one that ships with psucheck."""
        return self._library

    def with_library(self, library: Library) -> Self:
        """The same supply, its parts looked up in ``library``."""
        made = self.model_copy()
        made._library = library
        return made

    @property
    def limits_files(self) -> tuple[tuple[Path, str], ...]:
        """Files of the user's own limits, each with its name as outputs show it; the first is asked first."""
        return self._limits_files

    def with_limits_files(self, *files: tuple[Path, str]) -> Self:
        """The same supply, judged by the limits in ``files`` where those have any."""
        made = self.model_copy()
        made._limits_files = files
        return made


class Description(Table):
    """What a file holds: the supply as found and, where ``[new]`` stands, the supply as proposed.

    ``[new]`` repeats only what changes. ``was``, ``set`` and the other readings belong to ``found``; what is
    derived from them (currents, the bias network) then carries over to ``proposed``.
    """

    found: Supply
    proposed: Supply | None = None
    _spelling: Spelling | None = PrivateAttr(None)

    @property
    def spelling(self) -> Spelling | None:
        """What it was read from; None for one that was put together otherwise."""
        return self._spelling

    def spelled(self, spelling: Spelling) -> Self:
        """The same description, read from ``spelling``."""
        made = self.model_copy()
        made._spelling = spelling
        return made
