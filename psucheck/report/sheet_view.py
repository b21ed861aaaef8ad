"""The bring-up sheet as plain data: what outputs print and nothing they have to work out."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Expected", "LampLine", "LampView", "Line", "Sheet", "Step"]


@dataclass(frozen=True, slots=True)
class Expected:
    """What a test point should read.

    Attributes
    ----------
    point, unit
        The test point, and the SI unit of all that follows.
    value
        None where no number is promised.
    low, high
        The band: sound parts and the meter together.
    plain
        What the rule "so much of what it is at full mains" gives, which leaves the diodes out.
    red, black
        Where its own leads go.
    """

    point: str
    unit: str
    value: float | None = None
    low: float | None = None
    high: float | None = None
    plain: float | None = None
    red: str = ""
    black: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the sheet: where to measure or look, what to expect, when to stop.

    Attributes
    ----------
    what
        The test points, or what is looked at, in words.
    red, black, meter
        The leads and the meter's setting.
    expected
        The test points that are read here, halves and sockets together.
    said
        What to expect beside or instead of numbers.
    stop, look
        When to stop, and what to look at if it is off.
    step
        The step as readings name it here, where it is not the one in which the line stands.
    """

    what: str
    red: str = ""
    black: str = ""
    meter: str = ""
    expected: tuple[Expected, ...] = ()
    said: str = ""
    stop: str = ""
    look: str = ""
    step: str = ""


@dataclass(frozen=True, slots=True)
class Step:
    """A step of the sheet.

    Attributes
    ----------
    name
        As readings name it.
    title
        For people.
    volts
        At the amplifier's mains plug [V RMS]; None where no number is promised, 0 with the plug out.
    contents
        What is in: ``"no valves"``, ``"all valves"``.
    lines
        The readings, those that show most first.
    cannot
        What the step cannot show.
    notes
        What happens here, or is done before: relays, limiters, delays, how long to stay.
    factor
        How readings scale where the variac does not sit exactly there; empty where they do not.
    number
        In the order of the sheet, from 0.
    """

    name: str
    title: str
    volts: float | None
    contents: str
    lines: tuple[Line, ...]
    cannot: str
    notes: tuple[str, ...] = ()
    factor: str = ""
    number: int = 0


@dataclass(frozen=True, slots=True)
class LampLine:
    """A capacitor at what the lamp lets through with the valves out [V]; ``rating`` None: not given."""

    capacitor: str
    volts: float
    rating: float | None


@dataclass(frozen=True, slots=True)
class LampView:
    """A filament lamp in series with the amplifier at the wall voltage.

    ``volts_out`` and ``volts_in``: at the amplifier with the valves out and, warm and drawing, in [V RMS];
    ``lamp_out`` and ``lamp_in`` over the lamp [V RMS]; ``ohms_cold`` and ``ohms_hot`` of the lamp [ohm].
    """

    watts: float
    ohms_cold: float
    ohms_hot: float
    volts_out: float
    lamp_out: float
    volts_in: float | None
    lamp_in: float | None
    capacitors: tuple[LampLine, ...]
    said: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """The sheet to take to the bench.

    Attributes
    ----------
    title
        Of the supply.
    wall
        The mains the sheet is made for [V RMS].
    instruments
        Which meter and wattmeter it counts on, a sentence each.
    cautions, stops
        Whole sentences for its top: what can hurt, and when to stop at any step.
    steps
        In order.
    lamp
        Where one was asked for.
    remarks
        What the numbers rest on.
    """

    title: str
    wall: float
    instruments: tuple[str, ...]
    cautions: tuple[str, ...]
    stops: tuple[str, ...]
    steps: tuple[Step, ...]
    lamp: LampView | None = None
    remarks: tuple[str, ...] = ()
