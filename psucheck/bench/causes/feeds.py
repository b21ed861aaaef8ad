"""What leads the current on: droppers, chokes, switches, limiters, fuses and joints."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from psucheck.bench.amplifier import Amplifier
from psucheck.bench.causes.cause import VALVES_IN, Cause, Size
from psucheck.bench.causes.surgery import (
    add_ohms,
    open_resistors,
    resistor,
    scale_choke,
    scale_ohms,
    set_ohms,
)
from psucheck.circuit.network import GROUND, Law, Resistor, Thermistor
from psucheck.circuit.wiring import OPEN_OHMS
from psucheck.supply.filled import FilledSupply
from psucheck.supply.topology import is_negative, standby_switches

DRIFT = Size("{:.1f} times its value", (1.25, 1.7, 2.6, 4.0))
LOW = Size("{:.0%} of its value", (0.1, 0.3, 0.7))
CONTACT = Size("{}", (30.0, 120.0, 400.0), unit="ohm")
MAINS_JOINT = Size("{}", (4.0, 12.0, 35.0), unit="ohm")
LOAD = Size("{:.1f} times what they drew", (0.25, 0.6, 1.5, 2.2, 3.5))
EXTRA = Size("{} to chassis", (15e3, 40e3, 110e3, 300e3), mild="high", unit="ohm")
_HALF_AT = 0.02


def feed_causes(filled: FilledSupply) -> Iterator[Cause]:
    """What can be wrong with what stands between the nodes, before the first and in the mains lead."""
    for name, node in filled.nodes.items():
        if is_negative(filled.supply, name):
            continue
        if node.resistor_ohms is not None:
            dropper = f"{name} dropper"
            yield Cause(
                "dropper drifted", name, f"the dropper to {name} has drifted high", 3.0,
                lambda amp, size, dropper=dropper: scale_ohms(amp, _elements(amp, dropper), size), DRIFT,
            )  # fmt: skip
            yield Cause(
                "dropper open", name, f"the dropper to {name} is open", 1.5,
                lambda amp, size, dropper=dropper: open_resistors(amp, _elements(amp, dropper)),
            )  # fmt: skip
        if node.choke is not None:
            yield Cause(
                "choke open", name, f"the choke to {name} is open", 0.6,
                lambda amp, size, name=name: open_resistors(amp, (amp.network.layout.chokes[name][1],)),
            )  # fmt: skip
            yield Cause(
                "choke shorted", name, f"the choke to {name} has shorted turns, or is bridged", 0.5,
                lambda amp, size, name=name: _choke_shorted(amp, name),
            )  # fmt: skip
        if node.resistor_ohms is not None:
            yield Cause(
                "extra load", name, f"something past the dropper to {name} draws to chassis", 2.0,
                lambda amp, size, name=name: add_ohms(
                    amp, amp.network.layout.nodes[name], GROUND, size, f"load on {name}"
                ),
                EXTRA,
            )  # fmt: skip
        if node.bleeder_ohms is not None:
            yield Cause(
                "bleeder open", name, f"the bleeder on {name} is open", 0.6,
                lambda amp, size, name=name: open_resistors(amp, _elements(amp, f"{name} bleeder")),
            )  # fmt: skip
    for name, load in filled.currents.items():
        if load.heats or load.ohms is not None:
            continue
        yield Cause(
            "small valves", name, f"the valves of {name} draw other than they should", 2.5,
            lambda amp, size, name=name: _load(amp, name, size), LOAD, VALVES_IN,
        )  # fmt: skip
    yield from _switches(filled)
    yield from _mains(filled)


def _elements(amp: Amplifier, name: str) -> tuple[str, ...]:
    return amp.network.layout.resistors[name].elements


def _choke_shorted(amp: Amplifier, name: str) -> Amplifier:
    """Next to no inductance left; the copper stays in most of what happens to a choke."""
    return scale_choke(amp, name, _HALF_AT)


def _load(amp: Amplifier, name: str, factor: float) -> Amplifier:
    changed = {}
    for each in amp.network.elements:
        if isinstance(each, Law) and each.says == f"load {name}":
            changed[each.name] = replace(each, amps=each.amps * factor)
    return amp.with_elements(changed)


def _switches(filled: FilledSupply) -> Iterator[Cause]:
    for name, switch in standby_switches(filled.supply).items():
        place = switch.place
        yield Cause(
            "switch open", name, f"the {name} switch does not close", 1.5,
            lambda amp, size, place=place: open_resistors(amp, amp.network.layout.places[place].contacts),
        )  # fmt: skip
        yield Cause(
            "switch contact", name, f"the {name} switch has a contact resistance", 1.5,
            lambda amp, size, place=place: set_ohms(amp, amp.network.layout.places[place].contacts[0], size),
            CONTACT,
        )  # fmt: skip
    for place, fuse in filled.supply.fuses.items():
        if place == "mains":
            continue
        yield Cause(
            "fuse open", place, f"the fuse {place} ({fuse.current:g} A) is open or makes no contact", 1.5,
            lambda amp, size, place=place: open_resistors(amp, amp.network.layout.places[place].elements[:1]),
        )  # fmt: skip


def _mains(filled: FilledSupply) -> Iterator[Cause]:
    """What stands before the transformer, and its primary."""
    fuse = "mains" in filled.supply.fuses
    if fuse:
        yield Cause(
            "fuse open", "mains", "the mains fuse is open or makes no contact", 1.5,
            lambda amp, size: open_resistors(amp, amp.network.layout.places["mains"].elements[:1]),
            dead=True,
        )  # fmt: skip
    yield Cause(
        "primary open", "transformer",
        "the primary, its thermal cut-out, the mains switch or the lead is open", 1.0,
        lambda amp, size: _primary(amp, OPEN_OHMS), dead=True,
    )  # fmt: skip
    yield Cause(
        "mains joint", "mains", "a poor joint in the mains lead, switch or tap selector", 1.0,
        lambda amp, size: _primary(amp, size), MAINS_JOINT,
    )  # fmt: skip
    for place in filled.limiters:
        yield Cause(
            "limiter cold", place, f"the inrush limiter {place} stays cold or is cracked", 0.8,
            lambda amp, size: _cold_limiter(amp),
        )  # fmt: skip


def _primary(amp: Amplifier, ohms: float) -> Amplifier:
    for each in amp.network.elements:
        if isinstance(each, Resistor) and each.says == "primary copper":
            more = resistor(amp, each.name).ohms + ohms
            return amp.with_elements({each.name: replace(each, ohms=more)})
    return amp


def _cold_limiter(amp: Amplifier) -> Amplifier:
    """The limiter as it is at 25 degC, whatever flows: its heat goes at once."""
    changed = {
        each.name: replace(each, dissipation=each.dissipation * 1e3)
        for each in amp.network.elements
        if isinstance(each, Thermistor)
    }
    return amp.with_elements(changed)
