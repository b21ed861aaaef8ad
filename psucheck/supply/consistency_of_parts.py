"""What the parts of a description say against each other."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from psucheck.parts.valves import LoadValve
from psucheck.quantity import show
from psucheck.supply import topology
from psucheck.supply.fill_loads import fits_heaters, heater_voltages, heater_winding
from psucheck.supply.model import Node, Supply, Winding
from psucheck.supply.remark import Remark
from psucheck.supply.valve_types import HEATERS_DIFFER, load_valve, type_name

HALVES_DIFFER = 0.03
"""Difference between the volts of a winding's halves that is pointed out [share of the larger]."""


def of_parts(supply: Supply) -> Iterator[Remark]:
    """Remarks on windings, line-up, heaters and bias pots, in the order of the tables."""
    for name, winding in supply.windings.items():
        yield from _halves(name, winding)
    yield from _line_up(supply)
    yield from _heaters(supply)
    for name, node in supply.filter.items():
        yield from _bias_range(name, node)


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
        listed[type_name(entry.type)] += entry.count
    for load in supply.loads.values():
        for entry in load.valves or ():
            drawing[type_name(entry.type)] += entry.count
    for kind, count in drawing.items():
        if count > listed[kind]:
            where = f"the line-up has {listed[kind]}" if listed[kind] else "the line-up has none"
            yield Remark(("valves", "loads"), f"the loads have {count} x {kind}, {where}")
        elif count < listed[kind] and _is_output(kind):
            said = f"the line-up has {listed[kind]} x {kind}, but only {count} of them draw in the loads"
            yield Remark(("valves", "loads"), said)


def _heaters(supply: Supply) -> Iterator[Remark]:
    """Heaters of the line-up against the winding that is taken to heat them: its volts, its rated current."""
    name = heater_winding(supply)
    if name is not None and heater_voltages(supply) and not fits_heaters(supply, name):
        volts = " or ".join(show(each, "V") for each in sorted(heater_voltages(supply)))
        yield Remark(
            ("valves", f"windings.{name}"),
            f"the heaters of the line-up are for {volts}, and {name}, the only winding left for them, has "
            f"{show(sum(supply.windings[name].volts), 'V')}",
        )
    amps = 0.0
    for entry in supply.valves:
        valve = load_valve(entry.type)
        if valve is None or not _is_parallel(valve):
            return
        amps += entry.count * valve.heater.value.amps
    if amps and name is None and not any(load.heaters for load in supply.loads.values()):
        yield Remark(
            ("valves", "windings"),
            f"the line-up's heaters draw {show(amps, 'A')}, no winding feeds them: the primary is judged "
            "without them",
        )
    low = [n for n, winding in supply.windings.items() if sum(winding.volts) < topology.LOW_VOLTAGE]
    others = {rectifier.winding for rectifier in supply.rectifiers.values()}
    others |= {rectifier.heater for rectifier in supply.rectifiers.values() if rectifier.heater}
    if name is None or [n for n in low if n not in others] != [name]:
        return  # several windings may share them
    rated = supply.windings[name].current
    if rated is not None and amps > (1 + HEATERS_DIFFER) * rated:
        yield Remark(
            ("valves", f"windings.{name}"),
            f"the heaters of the line-up draw {show(amps, 'A')}, "
            f"the winding {name} is rated {show(rated, 'A')}",
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


def _is_output(name: str) -> bool:
    valve = load_valve(name)
    return valve is not None and valve.use == "output"


def _is_parallel(valve: LoadValve) -> bool:
    """Whether the valve's heater is one of the 6.3 V kind that stand in parallel."""
    return 5.9 < valve.heater.value.volts < 6.7
