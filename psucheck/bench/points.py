"""Test points: where the leads of the meter go."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Literal

from psucheck.bench.names import CHASSIS
from psucheck.supply.filled import FilledSupply, OutputLoad
from psucheck.supply.topology import is_negative

Kind = Literal[
    "mains volts",
    "mains amps",
    "mains watts",
    "node DC",
    "node AC",
    "winding AC",
    "bias",
    "bias end",
    "anode",
    "screen",
    "cathode",
    "transformer drop",
    "screen drop",
    "plug ohms",
    "winding ohms",
    "transformer ohms",
    "choke ohms",
    "dropper ohms",
    "screen ohms",
    "node ohms",
]
"""What is read. ``cathode`` is the drop over 1 ohm in each cathode lead, or over the cathode resistor."""

Unit = Literal["V", "A", "W", "ohm", "Hz"]

_OHMS_OF_DROP: Mapping[Kind, Kind] = {"transformer drop": "transformer ohms", "screen drop": "screen ohms"}
"""Where a drop is read live, the ohms are read cold."""
_DC, _AC, _OHMS = "DC volts", "AC volts", "ohms"


@dataclass(frozen=True, slots=True)
class Point:
    """A test point.

    Attributes
    ----------
    name
        As sheets and readings call it: ``"reservoir DC"``, ``"ht a"``, ``"bias at output 1"``.
    kind, unit
        What is read there, in which SI unit.
    red, black
        Where the meter's leads go.
    meter
        Its setting.
    of
        The node, winding or load it belongs to; empty for the mains.
    number
        Which valve, section, half or end of it, from 1; 0 where there is only one.
    """

    name: str
    kind: Kind
    unit: Unit
    red: str
    black: str
    meter: str
    of: str = ""
    number: int = 0

    @property
    def cold(self) -> bool:
        """Whether it is read with the mains plug out."""
        return self.unit == "ohm"


def points(filled: FilledSupply) -> tuple[Point, ...]:
    """Every test point of ``filled``, no name twice: first what is read live, then the ohms."""
    return (*_mains(), *_windings(filled), *_nodes(filled), *_outputs(filled), *_ohms(filled))


def halves(count: int) -> tuple[str, ...]:
    """What tells the sections of a winding apart: ``""`` for one, ``" a"`` and ``" b"`` for two."""
    return ("",) if count == 1 else (" a", " b")


def _mains() -> Iterator[Point]:
    yield Point("mains volts", "mains volts", "V", "amplifier plug, live", "amplifier plug, neutral", _AC)
    yield Point("mains amps", "mains amps", "A", "ammeter in the live lead", "", "AC amps")
    yield Point("mains watts", "mains watts", "W", "wattmeter", "", "watts")


def _windings(filled: FilledSupply) -> Iterator[Point]:
    others = {*filled.nodes, *filled.outputs}
    for name, winding in filled.windings.items():
        # A node may have the winding's name; then the winding says what it is.
        called = f"{name} winding" if name in others else name
        inner = "the centre tap" if len(winding.ratios) == 2 else "the other end"
        for number, half in enumerate(halves(len(winding.ratios)), start=1):
            yield Point(
                f"{called}{half}",
                "winding AC",
                "V",
                f"{name} winding, end{half or ' a'}",
                inner,
                _AC,
                name,
                number,
            )


def _nodes(filled: FilledSupply) -> Iterator[Point]:
    for name in filled.nodes:
        yield Point(f"{name} DC", "node DC", "V", name, CHASSIS, _DC, name)
        yield Point(
            f"{name} AC", "node AC", "V", f"{name}, through 0.1 uF 630 V", CHASSIS, "AC volts, RMS", name
        )


def _outputs(filled: FilledSupply) -> Iterator[Point]:
    for name, load in filled.outputs.items():
        valves = range(1, load.standing + 1)
        if load.bias != "cathode":
            for n in valves:
                yield Point(
                    f"bias at {name} {n}", "bias", "V", f"{name} valve {n}, grid pin", CHASSIS, _DC, name, n
                )
        for number, end in enumerate(("coldest", "hottest"), start=1):
            if load.bias_node is not None and filled.supply.filter[load.bias_node].range is not None:
                yield Point(
                    f"{name} bias {end}",
                    "bias end",
                    "V",
                    f"{name} valve 1, grid pin, pot there",
                    CHASSIS,
                    _DC,
                    name,
                    number,
                )
        for n in valves:
            yield Point(
                f"{name} anode {n}", "anode", "V", f"{name} valve {n}, anode pin", CHASSIS, _DC, name, n
            )
            if load.screens is not None:
                yield Point(
                    f"{name} screen {n}",
                    "screen",
                    "V",
                    f"{name} valve {n}, screen pin",
                    CHASSIS,
                    _DC,
                    name,
                    n,
                )
        yield from _currents(filled, name, load)


def _currents(filled: FilledSupply, name: str, load: OutputLoad) -> Iterator[Point]:
    """Where the currents of output valves are read."""
    if load.cathode_ohms:
        yield Point(f"{name} cathode DC", "cathode", "V", f"{name} cathodes", CHASSIS, _DC, name)
    else:
        for n in range(1, load.standing + 1):
            yield Point(
                f"{name} cathode {n} mV",
                "cathode",
                "V",
                f"{name} valve {n}, cathode end of 1 ohm",
                CHASSIS,
                "DC millivolts",
                name,
                n,
            )
    for number, half in enumerate(halves(len(transformer_ohms(filled, name))), start=1):
        if transformer_ohms(filled, name):
            yield Point(
                f"{name} transformer{half} drop",
                "transformer drop",
                "V",
                f"{name} transformer, centre tap",
                f"{name} anode, half{half}",
                _DC,
                name,
                number,
            )
    if load.screens is not None and load.screen_ohms:
        for n in range(1, load.standing + 1):
            yield Point(
                f"{name} screen resistor {n} drop",
                "screen drop",
                "V",
                load.screens,
                f"{name} valve {n}, screen pin",
                _DC,
                name,
                n,
            )


def transformer_ohms(filled: FilledSupply, load: str) -> tuple[float, ...]:
    """Copper of each half of an output transformer [ohm]; none where it was not read."""
    return filled.supply.loads[load].output_transformer or ()


def _ohms(filled: FilledSupply) -> Iterator[Point]:
    yield Point(
        "plug ohms", "plug ohms", "ohm", "mains plug, live", "mains plug, neutral", "ohms, mains switch on"
    )
    for point in _windings(filled):
        yield replace(point, name=f"{point.name} ohms", kind="winding ohms", unit="ohm", meter=_OHMS)
    for name, load in filled.outputs.items():
        for point in _currents(filled, name, load):
            drop = _OHMS_OF_DROP.get(point.kind)
            if drop is not None:
                called = f"{point.name.removesuffix(' drop')} ohms"
                yield replace(point, name=called, kind=drop, unit="ohm", meter=_OHMS)
    for name, node in filled.nodes.items():
        above = node.source.name if node.source.kind == "node" else "its feed"
        if node.choke is not None:
            yield Point(f"{name} choke ohms", "choke ohms", "ohm", above, name, _OHMS, name)
        elif node.resistor_ohms is not None:
            yield Point(f"{name} dropper ohms", "dropper ohms", "ohm", above, name, _OHMS, name)
        red, black = (CHASSIS, name) if is_negative(filled.supply, name) else (name, CHASSIS)
        yield Point(f"{name} ohms", "node ohms", "ohm", red, black, _OHMS, name)
