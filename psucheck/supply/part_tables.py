"""The parts of a description as tables: resistors, capacitors, chokes, rectifying devices, valves."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any, Literal, Self

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Discriminator,
    Field,
    FiniteFloat,
    Tag,
    model_validator,
)

from psucheck.supply import fields as f
from psucheck.supply import notation


class Table(BaseModel):
    """A table of the description: unknown keys are errors, values do not change once read."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)


def short(expand: Callable[[str], Any]) -> BeforeValidator:
    """Let a string stand for a table: ``expand`` turns the short form into the table's content."""
    return BeforeValidator(lambda raw: expand(raw) if isinstance(raw, str) else raw)


class Resistor(Table):
    """A resistor: ``"10k 1 W"``."""

    value: f.Ohms
    power: f.Watts | None = None
    voltage: f.Volts | None = Field(None, description="limiting element voltage on its data sheet")


class Choke(Table):
    """A choke: ``"choke 10 H 110 ohm 180 mA"``."""

    resistance: f.Ohms
    inductance: f.Henries | None = None
    current: f.Amps | None = None


class Zener(Table):
    """A zener, ``"zener 50 V 10 W"``: at a place, where it drops its volts, or across a node."""

    zener: f.Volts
    power: f.Watts | None = None
    resistance: f.Ohms | None = Field(None, description="differential, where it conducts")


AResistor = Annotated[Resistor, short(notation.resistor)]
AZener = Annotated[Zener, short(notation.zener)]


def _what_stands(raw: Any) -> str:
    """Which of the two a table in ``[series]`` means."""
    return "Zener" if isinstance(raw, Zener) or (isinstance(raw, dict) and "zener" in raw) else "Resistor"


ASeries = Annotated[
    Annotated[Resistor, Tag("Resistor")] | Annotated[Zener, Tag("Zener")],
    Discriminator(_what_stands),
    short(notation.series),
]
AChoke = Annotated[Choke, short(notation.choke)]


class Capacitor(Table):
    """A capacitor, or a string of equal ones: ``"2 x 100 uF 350 V in series with 220k 1 W each"``.

    ``value`` and ``voltage`` are those of one part of the string; sections in one can that are joined in
    parallel (``"32+32 uF"``) are added up in ``value``.
    """

    value: f.Farads
    voltage: f.Volts | None = None
    in_series: int = Field(1, ge=1, le=6)
    balancing: AResistor | None = Field(None, description="across each part of a series string")
    sections: tuple[f.Farads, ...] | None = None
    tolerance: Annotated[tuple[FiniteFloat, FiniteFloat], short(notation.tolerance)] = Field(
        (-0.2, 0.2), description='shares of one, low and high: "-10/+50 %"'
    )
    esr: f.Ohms | None = None
    ripple_current: f.Amps | None = Field(None, description="A RMS at twice the mains frequency")
    surge_voltage: f.Volts | None = None
    temperature: f.Celsius | None = Field(None, description="category temperature")
    life: f.Seconds | None = None
    can: str | None = Field(None, description="the can that it is a section of")

    @property
    def string_value(self) -> float:
        """Capacitance of the whole string [F]."""
        return self.value / self.in_series

    @property
    def string_voltage(self) -> float | None:
        """Rated voltage of the whole string [V], if the parts shared it equally."""
        return None if self.voltage is None else self.voltage * self.in_series


ACapacitor = Annotated[Capacitor, short(notation.capacitor)]


class HeaterRating(Table):
    """Heater volts and amps: ``"5 V 1.9 A"``."""

    volts: f.Volts
    amps: f.Amps


class DropPoint(Table):
    """One point of a forward characteristic: ``"17 V at 225 mA"``."""

    volts: f.Volts
    amps: f.Amps


class Backup(Table):
    """Silicon in series with each anode of a rectifier valve: ``"1N4007"``."""

    type: str | None = None
    drop: Annotated[DropPoint, short(notation.drop)] | None = None
    reverse_voltage: f.Volts | None = None
    in_series: int = Field(1, ge=1, le=10, description="diodes in series per anode")
    in_parallel: int = Field(1, ge=1, le=4, description="diodes in parallel per anode")

    @model_validator(mode="after")
    def _either_type_or_drop(self) -> Self:
        if self.type is None and self.drop is None:
            raise ValueError('a backup diode needs its type (type = "1N4007"), or its drop ("1 V at 1 A")')
        return self


class Device(Table):
    """A rectifying device: a type of the part library, or its ratings written out."""

    type: str | None = None
    kind: Literal["valve", "silicon"] | None = None
    drop: Annotated[DropPoint, short(notation.drop)] | None = None
    reverse_voltage: f.Volts | None = None
    peak_current: f.Amps | None = None
    transient_current: f.Amps | None = None
    mean_current: f.Amps | None = None
    surge_current: f.Amps | None = None
    first_capacitor: f.Farads | None = None
    source_resistance: f.Ohms | None = None
    heater: Annotated[HeaterRating, short(notation.heater)] | None = None
    in_series: int = Field(1, ge=1, le=10, description="devices in series per arm")
    in_parallel: int = Field(1, ge=1, le=4, description="devices in parallel per arm")
    backup: Annotated[Backup, short(notation.device)] | None = Field(
        None, description="silicon in series with each anode of a valve"
    )
    unequal: f.Fraction | None = Field(None, description="by how much less the anode of arm b passes")

    @model_validator(mode="after")
    def _either_type_or_ratings(self) -> Self:
        if self.type is None and (self.kind is None or self.drop is None):
            raise ValueError(
                'a device needs its type (type = "GZ34"), or its kind ("valve" or "silicon") and its drop '
                '("17 V at 225 mA")'
            )
        return self


ADevice = Annotated[Device, short(notation.device)]


class ValveCount(Table):
    """So many valves of a type."""

    count: int = Field(ge=1, le=24)
    type: str


def _line_up(raw: Any) -> Any:
    """Expand ``"2 x EL34, 3 x ECC83"``, and a list of such pieces."""
    if isinstance(raw, str):
        return notation.valves(raw)
    if isinstance(raw, list | tuple):
        return [
            item for piece in raw for item in (notation.valves(piece) if isinstance(piece, str) else [piece])
        ]
    return raw


LineUp = Annotated[tuple[ValveCount, ...], BeforeValidator(_line_up)]
