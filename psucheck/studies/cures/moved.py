"""What else a change moves: the figures that a technician asks about."""

from __future__ import annotations

from collections.abc import Iterator

from psucheck.checks.finding import Move
from psucheck.figures.model import Figures, State
from psucheck.report import view
from psucheck.report.view import Report
from psucheck.supply.topology import is_low_voltage, is_negative

_LEAST = 0.004
"""A figure that moves by less, as a share of itself, is not told."""


def moves(before: Report, after: Report) -> tuple[Move, ...]:
    """What moved by more than a meter tells apart, at the level that the tables are made at."""
    old, new = dict(_told(before)), dict(_told(after))
    return tuple(
        Move(what, value, new[what, unit], unit)
        for (what, unit), value in old.items()
        if (what, unit) in new and abs(new[what, unit] - value) > _LEAST * abs(value)
    )


def _told(report: Report) -> Iterator[tuple[tuple[str, str], float]]:
    node = _main_node(report)
    idle = _at(report, "idle")
    if idle is None or node is None or node not in idle.nodes:
        return
    yield (f"{node} at idle", "V"), idle.nodes[node].dc
    full = _at(report, "full output")
    if full is not None and node in full.nodes:
        yield (f"{node} at full output", "V"), full.nodes[node].dc
    yield (f"ripple of {node}", "V"), idle.nodes[node].ripple_pp
    worst = view.extreme(report, node)
    if worst is not None:
        yield (f"highest volts of {node}", "V"), worst.volts
    for name, valves in idle.valves.items():
        yield (f"anode current of {name}, each", "A"), valves.anode_current
    for name in report.supply.windings:
        if is_heater(report, name) and name in idle.windings:
            yield (f"{name} winding", "V"), idle.windings[name].volts


def is_heater(report: Report, winding: str) -> bool:
    """Whether a winding feeds nothing but heaters."""
    rectified = any(rectifier.winding == winding for rectifier in report.supply.rectifiers.values())
    return not rectified and sum(report.supply.windings[winding].volts) < 30.0


def _main_node(report: Report) -> str | None:
    """The first node of the main rail."""
    for name in report.supply.filter:
        if not is_negative(report.supply, name) and not is_low_voltage(report.supply, name):
            return name
    return None


def _at(report: Report, state: State) -> Figures | None:
    return view.at(report, state)
