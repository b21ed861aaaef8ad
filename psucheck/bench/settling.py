"""What readings settle of a description, as changes to its values."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean

from psucheck.bench.plan import Plan
from psucheck.bench.points import Kind
from psucheck.report.readings_view import JudgedReading

_BELIEVED: Mapping[Kind, float] = {
    "winding AC": 0.10, "plug ohms": 0.25, "winding ohms": 0.25, "transformer ohms": 0.25, "choke ohms": 0.25,
    "node DC": 0.15, "bias": 0.25, "cathode": 0.5,
}  # fmt: skip
"""How far off a reading may be and still be taken for what the part is rather than for a fault; as a share of
what was expected (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Settled:
    """One value that readings settle.

    Attributes
    ----------
    table, name
        The table of the description and the entry in it: ``"windings"``, ``"ht"``.
    what
        Which fact of that entry: ``"off load"``, ``"ohms"``, ``"was"``, ``"idle"``, ``"set"``, ``"wall"``.
    values
        What was read [SI].
    at
        Mains at which it was read [V RMS], where that belongs to it.
    """

    table: str
    name: str
    what: str
    values: tuple[float, ...]
    at: float | None = None


def settled(plan: Plan, judged: Sequence[JudgedReading]) -> tuple[tuple[Settled, ...], tuple[str, ...]]:
    """What the readings settle, and which of them are left out as more like a fault, a sentence each."""
    taken: list[JudgedReading] = []
    left = []
    for reading in judged:
        kind = plan.up.points[reading.point].kind
        if reading.verdict == "asked about" or kind not in _BELIEVED:
            continue
        if reading.off is None or reading.danger or abs(reading.off) > _BELIEVED[kind]:
            left.append(
                f"{reading.point} ({reading.step}) was not taken: that far off it is more like a fault."
            )
        else:
            taken.append(reading)
    found = [*_windings(plan, taken), *_ohms(plan, taken), *_at_idle(plan, taken)]
    return tuple(found), tuple(left)


def _of(plan: Plan, taken: Sequence[JudgedReading], kind: Kind, of: str) -> dict[int, list[JudgedReading]]:
    """The readings of one kind on one part, by their number."""
    found: dict[int, list[JudgedReading]] = {}
    for reading in taken:
        point = plan.up.points[reading.point]
        if (point.kind, point.of) == (kind, of):
            found.setdefault(point.number, []).append(reading)
    return found


def _out(reading: JudgedReading) -> bool:
    return reading.wall is not None and reading.step not in ("full wall", "full output", "soak")


def _windings(plan: Plan, taken: Sequence[JudgedReading]) -> Iterator[Settled]:
    """Off-load volts, from the highest mains at which every section was read with the valves out.

    With the valves out a winding drops next to nothing; one with a rectifier's heater on it is passed over.
    """
    loaded = {load.winding for load in plan.filled.heaters if load.group == "rectifier"}
    for name, winding in plan.filled.windings.items():
        if name in loaded:
            continue
        steps: dict[str, dict[int, JudgedReading]] = {}
        for number, readings in _of(plan, [r for r in taken if _out(r)], "winding AC", name).items():
            for reading in readings:
                steps.setdefault(reading.step, {})[number] = reading
        whole = [sections for sections in steps.values() if len(sections) == len(winding.ratios)]
        if whole:
            sections = max(whole, key=lambda each: each[1].volts or 0.0)
            at = max(each.volts or 0.0 for each in sections.values())
            # Each at its own mains; off load they go in proportion to it.
            volts = tuple(sections[n].value * at / (sections[n].volts or at) for n in sorted(sections))
            yield Settled("windings", name, "off load", volts, at)


def _ohms(plan: Plan, taken: Sequence[JudgedReading]) -> Iterator[Settled]:
    kinds: tuple[tuple[Kind, str, str], ...] = (
        ("winding ohms", "windings", "ohms"),
        ("transformer ohms", "loads", "transformer ohms"),
        ("choke ohms", "filter", "choke ohms"),
    )
    for kind, table, what in kinds:
        for name in dict.fromkeys(plan.up.points[reading.point].of for reading in taken):
            sections = _of(plan, taken, kind, name)
            wanted = [p for p in plan.up.points.values() if (p.kind, p.of) == (kind, name)]
            if sections and len(sections) == len(wanted):
                yield Settled(table, name, what, tuple(sections[n][-1].value for n in sorted(sections)))
    for reading in taken:
        if plan.up.points[reading.point].kind == "plug ohms":
            copper = reading.value - ((reading.expected.value or 0.0) - plan.filled.primary_ohms)
            if copper > 0:
                yield Settled("transformer", "primary", "ohms", (copper,))


def _drawn(plan: Plan, idle: Sequence[JudgedReading]) -> Iterator[Settled]:
    """Currents that the description states, where the drops over droppers tell them.

    Where it states none they follow from ``was`` by themselves.
    """
    points = plan.up.points
    read = {points[each.point].of: each.value for each in idle if points[each.point].kind == "node DC"}
    loads = plan.filled.supply.loads
    of_valves = {node for load in plan.filled.outputs.values() for node in (load.anodes, load.screens)}
    for name, load in loads.items():
        node = load.node
        if load.current is None or node is None or node in of_valves:
            continue
        if sum(other.node == node for other in loads.values()) == 1:
            amps = _left_at(plan, node, read)
            if amps is not None and amps > 0:
                yield Settled("loads", name, "current", (amps,))


def _left_at(plan: Plan, node: str, read: Mapping[str, float]) -> float | None:
    """What comes through a node's dropper and does not go on, by Ohm's law [A]; None if a reading lacks."""
    nodes = plan.filled.nodes
    fed = [
        child for child, other in nodes.items() if (other.source.kind, other.source.name) == ("node", node)
    ]
    amps = 0.0
    for way, sign in ((node, 1.0), *((child, -1.0) for child in fed)):
        ohms, source = nodes[way].resistor_ohms, nodes[way].source.name
        if not ohms or way not in read or source not in read:
            return None
        amps += sign * (read[source] - read[way]) / ohms
    bleeder = nodes[node].bleeder_ohms
    return amps - (read[node] / bleeder if bleeder else 0.0)


def _at_idle(plan: Plan, taken: Sequence[JudgedReading]) -> Iterator[Settled]:
    """DC on the nodes, the idle point and the bias, all read at the full wall voltage."""
    idle = [reading for reading in taken if reading.step == "full wall"]
    if not idle:
        return
    walls = [reading.wall for reading in idle if reading.wall is not None]
    yield Settled("mains", "", "wall", (fmean(walls),))
    for name in plan.high_nodes:
        for readings in _of(plan, idle, "node DC", name).values():
            yield Settled("filter", name, "was", (readings[-1].value,))
    yield from _drawn(plan, idle)
    for name, load in plan.filled.outputs.items():
        currents = [each[-1].value for each in _of(plan, idle, "cathode", name).values()]
        if currents and load.bias != "cathode" and len(currents) == load.standing:
            yield Settled("loads", name, "idle", (fmean(currents),))
        elif currents and load.bias == "cathode":
            yield Settled("loads", name, "idle", (currents[0] / load.cathode_ohms / load.standing,))
        grids = [each[-1].value for each in _of(plan, idle, "bias", name).values()]
        if grids and load.bias_node is not None:
            yield Settled("filter", load.bias_node, "set", (fmean(grids),))
