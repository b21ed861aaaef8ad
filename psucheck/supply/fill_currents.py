"""Loads that are no output valves: currents given, from readings on both sides of a dropper, or usual."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from psucheck.supply import guesses
from psucheck.supply.assumptions import Assumption, take
from psucheck.supply.fill_fixed import fixed_loads
from psucheck.supply.filled import CurrentLoad, OutputLoad
from psucheck.supply.model import Load, Supply
from psucheck.supply.topology import is_low_voltage, is_negative, parents
from psucheck.supply.valve_types import load_valve


def fill_currents(
    supply: Supply, outputs: Mapping[str, OutputLoad], notes: list[Assumption]
) -> dict[str, CurrentLoad]:
    """Loads that are no output valves: as given, else from ``was`` on both sides of a dropper."""
    loads = fixed_loads(supply, notes)
    for name, load in supply.loads.items():
        given = given_current(load, supply)
        if given is not None:
            loads[name] = given
    derived = _from_readings(supply, outputs, loads)
    for node, amps in derived.items():
        notes.append(
            Assumption(
                f"filter.{node}.current", amps, "A", "derived",
                "the drop over what leads to it, less what flows on",
            )
        )  # fmt: skip
        if amps > 0:
            loads[f"at {node}"] = CurrentLoad(node, amps, supply.filter[node].was)
    if all(is_low_voltage(supply, load.node) for load in loads.values()):
        loads.update(_from_line_up(supply, outputs, notes))
    return loads


def given_current(load: Load, read_in: Supply) -> CurrentLoad | None:
    """A load whose current is given, drawn at what its node read in a supply; None for any other."""
    if load.node is None or load.current is None:
        return None
    node = read_in.filter.get(load.node)
    return CurrentLoad(load.node, load.current, node.was if node else None, load.constant)


def _from_line_up(
    supply: Supply, outputs: Mapping[str, OutputLoad], notes: list[Assumption]
) -> dict[str, CurrentLoad]:
    """The small valves' usual current on the last positive node, when nothing else tells it."""
    amps = 0.0
    for entry in supply.valves:
        part = load_valve(entry.type)
        if part is not None and part.use == "small":
            each = part.usual_current.value if part.usual_current else guesses.PREAMP_AMPS_PER_SECTION.value
            amps += entry.count * part.sections * each
    nodes = [n for n in supply.filter if not (is_negative(supply, n) or is_low_voltage(supply, n))]
    if not amps or not nodes:
        return {}
    why = "the usual current of the line-up's small valves"
    usual = guesses.PREAMP_AMPS_PER_SECTION.assume(f"filter.{nodes[-1]}.current", why, amps)
    amps = take(notes, usual)
    return {f"at {nodes[-1]}": CurrentLoad(nodes[-1], amps, None)}


def _from_readings(
    supply: Supply, outputs: Mapping[str, OutputLoad], given: Mapping[str, CurrentLoad]
) -> dict[str, float]:
    """Load currents that the readings settle [A], by node.

    The DC network of the filter is linear: over each node's feed resistance R flows what its branch
    draws, V(parent) - V(node) = R sum(load + V/bleeder). Unknown are the voltages of nodes without ``was``
    and the loads of nodes that have one and no load given; there are as many equations as fed nodes.
    """
    fed = {
        node: source.name
        for node, source in parents(supply).items()
        if source.kind == "node" and not is_negative(supply, node)
    }
    loaded = {load.node for load in given.values()}
    roots = dict.fromkeys(_root(node, fed) for node in fed)
    unknown_volts = [n for n in (*roots, *fed) if _held(supply, n) is None]
    unknown_amps = [n for n in fed if _held(supply, n) is not None and n not in loaded]
    if not unknown_amps:
        return {}
    column = {("V", n): k for k, n in enumerate(unknown_volts)}
    column |= {("I", n): len(unknown_volts) + k for k, n in enumerate(unknown_amps)}
    matrix, right = _equations(supply, fed, column, _known_amps(supply, outputs, given))
    solution = np.linalg.lstsq(matrix, right, rcond=None)[0]
    settled = _settled(matrix)
    # What a zener takes is no load; beside it no reading tells what is one.
    return {
        node: float(solution[column["I", node]])
        for node in unknown_amps
        if settled[column["I", node]] and supply.filter[node].zener is None
    }


def _held(supply: Supply, node: str) -> float | None:
    """Volts that are known of a node: as read, else those of a zener across it."""
    described = supply.filter[node]
    zener = None if described.zener is None else described.zener.zener
    return zener if described.was is None else described.was


def _settled(matrix: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Which unknowns the equations settle: those that no vector of the null space touches."""
    _, sizes, rows = np.linalg.svd(matrix)
    rank = int((sizes > 1e-9 * sizes.max(initial=0.0)).sum())
    touched: NDArray[np.bool_] = np.abs(rows[rank:]).max(axis=0, initial=0.0) >= 1e-9
    return ~touched


def _known_amps(
    supply: Supply, outputs: Mapping[str, OutputLoad], given: Mapping[str, CurrentLoad]
) -> dict[str, float]:
    """What is known to be drawn at each node [A]."""
    amps = dict.fromkeys(supply.filter, 0.0)
    for load in given.values():
        volts = supply.filter[load.node].was
        amps[load.node] += load.amps if load.ohms is None else (volts or 0.0) / load.ohms
    for output in outputs.values():
        amps[output.anodes] += output.anode_amps
        if output.screens:
            amps[output.screens] += output.screen_amps
    return amps


def _equations(
    supply: Supply,
    fed: Mapping[str, str],
    column: Mapping[tuple[str, str], int],
    known_amps: Mapping[str, float],
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Matrix and right side of the network's equations, one row a fed node, one column an unknown."""
    matrix = np.zeros((len(fed), len(column)))
    right = np.zeros(len(fed))

    def add_volts(row: int, node: str, factor: float) -> None:
        was = _held(supply, node)
        if was is None:
            matrix[row, column["V", node]] += factor
        else:
            right[row] -= factor * was

    for row, node in enumerate(fed):
        ohms = _feed_ohms(supply, node)
        add_volts(row, fed[node], 1.0)
        add_volts(row, node, -1.0)
        for member in [n for n in fed if n == node or node in _path(n, fed)]:
            right[row] += ohms * known_amps[member]
            if ("I", member) in column:
                matrix[row, column["I", member]] -= ohms
            bleeder = supply.filter[member].bleeder
            if bleeder is not None:
                add_volts(row, member, -ohms / bleeder.value)
    return matrix, right


def _feed_ohms(supply: Supply, node: str) -> float:
    entry = supply.filter[node]
    resistor = entry.resistor.value if entry.resistor else 0.0
    return resistor + (entry.choke.resistance if entry.choke else 0.0)


def _path(node: str, fed: Mapping[str, str]) -> list[str]:
    """The nodes between ``node`` and its root, the root left out."""
    path = []
    while fed.get(node) in fed:
        node = fed[node]
        path.append(node)
    return path


def _root(node: str, fed: Mapping[str, str]) -> str:
    while node in fed:
        node = fed[node]
    return node
