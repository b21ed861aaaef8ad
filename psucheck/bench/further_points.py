"""Test points that only a fault hunt asks for: no sheet has them, most amplifiers never need them."""

from __future__ import annotations

from collections.abc import Iterator

from psucheck.bench.names import CHASSIS
from psucheck.bench.points import Point
from psucheck.supply.filled import FilledSupply
from psucheck.supply.model import Resistor
from psucheck.supply.topology import is_negative

_OHMS, _AC, _DC = "ohms", "AC volts", "DC volts"


def further_points(filled: FilledSupply) -> tuple[Point, ...]:
    """The further points of ``filled``: live ones, then ohms."""
    found = [*_hum(filled), *_heaters(filled), *_parts_of_strings(filled), *_ohms(filled), *_diodes(filled)]
    return tuple({point.name: point for point in found}.values())


def _hum(filled: FilledSupply) -> Iterator[Point]:
    """The frequency of the ripple, by scope or by a meter's Hz range."""
    for name in filled.nodes:
        red = f"{name}, through 0.1 uF 630 V"
        yield Point(f"{name} hum", "node AC", "Hz", red, CHASSIS, "scope, or Hz", name)


def _heaters(filled: FilledSupply) -> Iterator[Point]:
    for name in dict.fromkeys(load.winding for load in filled.heaters if load.group == "valves"):
        pins = "a valve's heater pin"
        yield Point(f"{name} at the pins", "winding AC", "V", pins, "the other heater pin", _AC, name)
        for end in ("a", "b"):
            red = f"{name} winding, end {end}"
            yield Point(f"{name} end {end} to chassis", "winding AC", "V", red, CHASSIS, _AC, name)


def _parts_of_strings(filled: FilledSupply) -> Iterator[Point]:
    """Each capacitor of a series string, and each of a doubler's pair."""
    strings = {name: node.capacitor for name, node in filled.nodes.items() if node.capacitor is not None}
    counted = {name: part.in_series for name, part in strings.items() if part.in_series > 1}
    for rectifier, pair in filled.pairs.items():
        for which, part in zip(("upper", "lower"), pair, strict=True):
            counted[f"rectifiers.{rectifier} {which}"] = part.in_series
    for name, count in counted.items():
        for number in range(1, count + 1):
            called = f"{name} can {number}"
            yield Point(
                f"{called} DC", "node DC", "V", f"{called}, plus", f"{called}, minus", _DC, name, number
            )


def _ohms(filled: FilledSupply) -> Iterator[Point]:
    for place in filled.supply.fuses:
        several = place.startswith("each ")
        for number in (1, 2) if several else (0,):
            called = f"fuse {place}{f' {number}' if number else ''}"
            yield _across(f"{called} ohms", called, place, number)
    for name, rectifier in filled.supply.rectifiers.items():
        if isinstance(rectifier.feed, Resistor):
            yield _across(f"{name} feed ohms", f"{name} feed", name)
    for name, node in filled.nodes.items():
        if node.bleeder_ohms is not None:
            yield _across(f"{name} bleeder ohms", f"{name} bleeder", name)
        if node.resistor_ohms is not None and is_negative(filled.supply, name):
            yield _across(f"{name} dropper ohms", f"{name} dropper", name)
    for name, load in filled.outputs.items():
        if load.cathode_ohms:
            yield _across(f"{name} cathode resistor ohms", f"{name} cathode resistor", name)


def _across(name: str, part: str, of: str, number: int = 0) -> Point:
    return Point(name, "dropper ohms", "ohm", f"{part}, one end", f"{part}, the other end", _OHMS, of, number)


def _diodes(filled: FilledSupply) -> Iterator[Point]:
    """Each silicon arm both ways; forwards the diode range's half a volt is typed as 500 ohm."""
    arms = {"bridge": 4, "half-wave": 1}
    for name, rectifier in filled.supply.rectifiers.items():
        if filled.devices[name].kind != "silicon":
            continue
        for number in range(1, arms.get(rectifier.circuit, 2) + 1):
            for way, red in (("forwards", "anode"), ("backwards", "cathode")):
                called = f"{name} diode {number}"
                black = "cathode" if red == "anode" else "anode"
                yield Point(
                    f"{called} {way} ohms", "dropper ohms", "ohm", f"{called}, {red}", f"{called}, {black}",
                    "diode range", name, number,
                )  # fmt: skip
