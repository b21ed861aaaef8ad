"""Facts of a description that contradict each other.

A contradiction does not stop a check: one of the two facts is a slip of the pen or a bad reading, and the
technician can tell which. Nothing here judges a part; ratings against worst cases are the rules' affair.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from psucheck.parts import UnknownPart, in_force, library
from psucheck.parts.valves import LoadValve
from psucheck.quantity import show
from psucheck.supply import topology
from psucheck.supply.fill_loads import heater_winding
from psucheck.supply.model import Description, Load, Node, Rectifier, Supply, Winding
from psucheck.supply.notation import place as read_place

HALVES_DIFFER = 0.03
"""Difference between the volts of a winding's halves that is pointed out [share of the larger]."""

SAME_READING = 0.03
"""Difference at which two readings of one voltage are pointed out [share]; common practice, no source."""

CHOKE_INPUT_SHARE = 2.0 * math.sqrt(2.0) / math.pi
"""Mean of a rectified sine over its RMS value, 0.90: a capacitor-input rail lies above it."""

CATHODE_VOLTS = (0.4, 2.0)
"""Cathode volts over the sheet's grid bias beyond which they are pointed out; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Remark:
    """Two facts that cannot both be true.

    Attributes
    ----------
    keys
        Dotted paths of the two.
    message
        What does not fit, with both numbers.
    """

    keys: tuple[str, ...]
    message: str


def contradictions(description: Description) -> list[Remark]:
    """Facts of a description that contradict each other, in the order of the tables.

    Of the supply as proposed only what its own parts say is looked at, since the readings in it belong to the
    supply as found.
    """
    with in_force(description.found.library):
        remarks = [*_parts(description.found), *_readings(description.found)]
        if description.proposed is not None:
            remarks += _parts(description.proposed)
    return list(dict.fromkeys(remarks))


def _parts(supply: Supply) -> Iterator[Remark]:
    for name, winding in supply.windings.items():
        yield from _halves(name, winding)
    yield from _line_up(supply)
    yield from _heaters(supply)
    yield from _heater_leads(supply)
    for name, node in supply.filter.items():
        yield from _bias_range(name, node)


def _readings(supply: Supply) -> Iterator[Remark]:
    fed = topology.parents(supply)
    for name, node in supply.filter.items():
        yield from _against_winding(supply, name, node, fed[name])
        yield from _against_upstream(supply, name, node, fed[name])
        yield from _against_rating(name, node)
        yield from _same_node_twice(name, node)
    for name, load in supply.loads.items():
        yield from _same_rail_twice(supply, name, load)
        yield from _cathode_volts(name, load)


# --- what the parts say -----------------------------------------------------------------------------------


def _halves(name: str, winding: Winding) -> Iterator[Remark]:
    if not winding.centre_tapped:
        return
    one, other = winding.volts
    apart = abs(one - other) / max(one, other)
    if apart > HALVES_DIFFER:
        yield Remark(
            (f"windings.{name}",),
            f"the halves of {name} are {100 * apart:.0f} % apart, {show(one, 'V')} and {show(other, 'V')}: "
            "measure them again, off load; a difference that stays means shorted turns, or a tap off centre",
        )


def _line_up(supply: Supply) -> Iterator[Remark]:
    """The line-up against the valves of the loads."""
    if not supply.valves:
        return
    listed, drawing = Counter[str](), Counter[str]()
    for entry in supply.valves:
        listed[_type(entry.type)] += entry.count
    for load in supply.loads.values():
        for entry in load.valves or ():
            drawing[_type(entry.type)] += entry.count
    for kind, count in drawing.items():
        if count > listed[kind]:
            where = f"the line-up has {listed[kind]}" if listed[kind] else "the line-up has none"
            yield Remark(("valves", "loads"), f"the loads have {count} x {kind}, {where}")
        elif count < listed[kind] and _is_output(kind):
            said = f"the line-up has {listed[kind]} x {kind}, but only {count} of them draw in the loads"
            yield Remark(("valves", "loads"), said)


def _heaters(supply: Supply) -> Iterator[Remark]:
    """Heater amps of the line-up against the rated current of the only winding that can heat it."""
    amps = 0.0
    for entry in supply.valves:
        valve = _valve(entry.type)
        if valve is None or not _is_parallel(valve):
            return
        amps += entry.count * valve.heater.value.amps
    taken = {rectifier.winding for rectifier in supply.rectifiers.values()}
    taken |= {rectifier.heater for rectifier in supply.rectifiers.values() if rectifier.heater}
    heating = [
        name
        for name, winding in supply.windings.items()
        if name not in taken and sum(winding.volts) < topology.LOW_VOLTAGE
    ]
    if amps and not heating and not any(load.heaters for load in supply.loads.values()):
        yield Remark(
            ("valves", "windings"),
            f"the line-up's heaters draw {show(amps, 'A')}, no winding feeds them: the primary is judged "
            "without them",
        )
    if len(heating) != 1:
        return
    rated = supply.windings[heating[0]].current
    if rated is not None and amps > rated:
        yield Remark(
            ("valves", f"windings.{heating[0]}"),
            f"the heaters of the line-up draw {show(amps, 'A')}, "
            f"the winding {heating[0]} is rated {show(rated, 'A')}",
        )


def _heater_leads(supply: Supply) -> Iterator[Remark]:
    """What stands in the leads of a winding that feeds heaters: the runs put nothing there."""
    rectified = {rectifier.winding for rectifier in supply.rectifiers.values()}
    standing = [("fuses", place) for place in supply.fuses]
    standing += [("series", place) for place in supply.series]
    standing += [("limiters", place) for place in supply.limiters]
    for table, place in standing:
        read = read_place(place)
        if read["kind"] not in ("winding", "each winding"):
            continue
        name = read["name"]
        if name not in rectified or name == heater_winding(supply):
            yield Remark(
                (f"{table}.{place}", f"windings.{name}"),
                f"what stands at {place!r} is left out of the runs where heaters are fed: their current does "
                "not pass it there, and no verdict on it or on a fault behind it counts the heaters",
            )


def _bias_range(name: str, node: Node) -> Iterator[Remark]:
    if node.range is None or node.set is None:
        return
    low, high = sorted(node.range)
    if not low <= node.set <= high:
        yield Remark(
            (f"filter.{name}.set", f"filter.{name}.range"),
            f"the bias is set to {show(node.set, 'V')}, "
            f"outside the pot's range of {show(high, 'V')} to {show(low, 'V')}",
        )


# --- what was read ----------------------------------------------------------------------------------------


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
    valve = _valve(valves[0].type)
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


# --- shared -----------------------------------------------------------------------------------------------


def _apart(one: float, other: float) -> bool:
    return abs(one - other) > SAME_READING * max(abs(one), abs(other))


def _valve(name: str) -> LoadValve | None:
    try:
        return library().load_valve(name)
    except UnknownPart:
        return None


def _type(name: str) -> str:
    """A type by the library's own name, so that 12AX7 and ECC83 are one."""
    valve = _valve(name)
    return valve.name if valve else name


def _is_output(name: str) -> bool:
    valve = _valve(name)
    return valve is not None and valve.use == "output"


def _is_parallel(valve: LoadValve) -> bool:
    """Whether the valve's heater is one of the 6.3 V kind that stand in parallel."""
    return 5.9 < valve.heater.value.volts < 6.7
