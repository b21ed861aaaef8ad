"""What was read against what the parts can give, and against other readings."""

from __future__ import annotations

import math
from collections.abc import Iterator

from psucheck.quantity import show
from psucheck.supply import topology
from psucheck.supply.model import Load, Node, Rectifier, Supply
from psucheck.supply.remark import Remark
from psucheck.supply.valve_types import load_valve

SAME_READING = 0.03
"""Difference at which two readings of one voltage are pointed out [share]; common practice, no source."""

CHOKE_INPUT_SHARE = 2.0 * math.sqrt(2.0) / math.pi
"""Mean of a rectified sine over its RMS value, 0.90: a capacitor-input rail lies above it."""

CATHODE_VOLTS = (0.4, 2.0)
"""Cathode volts over the sheet's grid bias beyond which they are pointed out; common practice, no source."""


def of_readings(supply: Supply) -> Iterator[Remark]:
    """Remarks on the readings of nodes and loads."""
    fed = topology.parents(supply)
    for name, node in supply.filter.items():
        yield from _against_winding(supply, name, node, fed[name])
        yield from _against_upstream(supply, name, node, fed[name])
        yield from _against_rating(name, node)
        yield from _same_node_twice(name, node)
    for name, load in supply.loads.items():
        yield from _same_rail_twice(supply, name, load)
        yield from _cathode_volts(name, load)


def _against_winding(supply: Supply, name: str, node: Node, source: topology.Source) -> Iterator[Remark]:
    """A first node's reading against the crest, and the mean, of what its winding gives off load."""
    if source.kind != "rectifier" or node.was is None:
        return
    rectifier = supply.rectifiers[source.name]
    ac = _off_load_volts(supply, rectifier)
    if ac is None:
        return
    keys = (f"filter.{name}.was", f"windings.{rectifier.winding}")
    crest, was = math.sqrt(2.0) * ac * _stages(rectifier), abs(node.was)
    if was > crest:
        yield Remark(
            keys,
            f"{name} was {show(was, 'V')}, above the {show(crest, 'V')} that {rectifier.winding} can "
            f"charge it to: {show(ac, 'V')} AC off load at the wall voltage x 1.41"
            + (f" x {_stages(rectifier)}" if _stages(rectifier) > 1 else ""),
        )
    full_wave = rectifier.circuit in ("centre-tapped", "bridge")
    capacitor_input = node.capacitor is not None and node.choke is None and node.resistor is None
    if full_wave and capacitor_input and rectifier.feed is None and was < CHOKE_INPUT_SHARE * ac:
        yield Remark(
            keys,
            f"{name} was {show(was, 'V')}, below 0.9 x the {show(ac, 'V')} AC of {rectifier.winding}: so low "
            "a rail on a capacitor-input filter means a dead half, an empty capacitor, or a bad reading",
        )


def _off_load_volts(supply: Supply, rectifier: Rectifier) -> float | None:
    """AC volts a rectifier sees off load at the wall voltage [V RMS]; None where no reading tells."""
    winding = supply.windings[rectifier.winding]
    if winding.off_load_at is None:
        return None
    wall = supply.mains.wall or supply.mains.voltage
    scale = wall / winding.off_load_at
    if rectifier.circuit == "centre-tapped":
        return max(winding.volts) * scale
    if rectifier.circuit == "half-wave" and (winding.centre_tapped or rectifier.end in winding.taps):
        end = rectifier.end or "a"
        volts = winding.taps[end].volts if end in winding.taps else winding.volts[1 if end == "b" else 0]
        return volts * scale
    return sum(winding.volts) * scale


def _stages(rectifier: Rectifier) -> int:
    return 2 if rectifier.circuit.endswith("doubler") else 1


def _against_upstream(supply: Supply, name: str, node: Node, source: topology.Source) -> Iterator[Remark]:
    if source.kind != "node" or node.was is None:
        return
    above = supply.filter[source.name].was
    if above is not None and abs(node.was) > abs(above):
        yield Remark(
            (f"filter.{name}.was", f"filter.{source.name}.was"),
            f"{name} was {show(node.was, 'V')}, "
            f"more than the {show(above, 'V')} of {source.name} that feeds it",
        )


def _against_rating(name: str, node: Node) -> Iterator[Remark]:
    if node.was is None or node.capacitor is None or node.original is not None:
        return  # with an original given, the reading was taken on that one
    rated = node.capacitor.string_voltage
    if rated is not None and abs(node.was) > rated:
        yield Remark(
            (f"filter.{name}.was", f"filter.{name}.capacitor"),
            f"{name} was {show(node.was, 'V')}, and its capacitor is rated {show(rated, 'V')}",
        )


def _same_node_twice(name: str, node: Node) -> Iterator[Remark]:
    """``set`` is what the grids get, which is what a meter reads at the bias node."""
    if node.was is not None and node.set is not None and _apart(node.was, node.set):
        yield Remark(
            (f"filter.{name}.was", f"filter.{name}.set"),
            f"{name} was {show(node.was, 'V')} and is set to {show(node.set, 'V')}: "
            "two readings of one voltage",
        )


def _same_rail_twice(supply: Supply, name: str, load: Load) -> Iterator[Remark]:
    at = load.idle.at if load.idle else None
    was = supply.filter[load.anodes].was if load.anodes else None
    if at is not None and was is not None and _apart(at, was):
        yield Remark(
            (f"loads.{name}.idle", f"filter.{load.anodes}.was"),
            f"the idle current of {name} was read at {show(at, 'V')}, "
            f"and {load.anodes} was {show(was, 'V')}: two readings of one rail",
        )


def _cathode_volts(name: str, load: Load) -> Iterator[Remark]:
    """Volts across the cathode resistor at idle against the grid bias of the type's data sheet."""
    valves, idle = load.valves, load.idle
    if load.bias != "cathode" or load.cathode_resistor is None or idle is None or not valves:
        return
    valve = load_valve(valves[0].type)
    biases = [-point.value.grid_volts for point in valve.law_points] if valve else []
    amps = idle.cathode or (idle.anode or 0.0) + (idle.screen or 0.0)
    if not biases:
        return
    count = sum(entry.count for entry in valves) if idle.each else 1
    volts = load.cathode_resistor.value * amps * count
    low, high = CATHODE_VOLTS[0] * min(biases), CATHODE_VOLTS[1] * max(biases)
    if not low <= volts <= high:
        ohms, kind = show(load.cathode_resistor.value, "ohm"), valves[0].type
        yield Remark(
            (f"loads.{name}.cathode_resistor", f"loads.{name}.idle", f"loads.{name}.valves"),
            f"{show(amps * count, 'A')} through {ohms} is {show(volts, 'V')} at the cathodes of {name}; "
            f"{kind} is biased with {show(min(biases), 'V')} to {show(max(biases), 'V')}",
        )


def _apart(one: float, other: float) -> bool:
    return abs(one - other) > SAME_READING * max(abs(one), abs(other))
