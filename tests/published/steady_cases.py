"""The circuits of ``data/steady_state.csv`` as networks."""

from __future__ import annotations

import re
from dataclasses import dataclass

from psucheck.circuit.network import GROUND
from tests.engine_runs import Bench
from tests.published.reading import rows

_FACTORS = {"uF": 1e-6, "H": 1.0, "mA": 1e-3, "ohm": 1.0, "": 1.0}


@dataclass(frozen=True)
class Case:
    """A circuit, and the names of what its figures are read from."""

    bench: Bench
    nodes: tuple[str, ...]
    arms: tuple[str, ...]
    """All arms; the first is the one whose figures the table holds."""
    outputs: tuple[str, ...]
    sections: tuple[str, ...]
    first_capacitor: str
    choke: str | None


def named(case: str) -> dict[str, str]:
    """The table's row of that name."""
    return next(row for row in rows("steady_state") if row["case"] == case)


def build(row: dict[str, str], phase_degrees: float = 90.0) -> Case:
    """The network of a row."""
    volts = float(row["Vrms_per_half_or_winding"])
    bench = Bench(float(row["f_Hz"]), volts, phase_degrees)
    arms, outputs, sections, first = _rectifier(bench, row, volts)
    nodes, capacitor, choke = _filter(bench, row, first, volts)
    _loads(bench, row["loads"], nodes)
    return Case(bench, tuple(nodes), arms, outputs, sections, capacitor, choke)


def _rectifier(
    bench: Bench, row: dict[str, str], volts: float
) -> tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...], str]:
    """Arms, those to the output, sections, and the node behind them."""
    ohms, topology, output = float(row["Rs_ohm_per_conducting_half"]), row["topology"], bench.node()
    valve = re.search(r"K=([0-9.eE+-]+)", row["diode"])
    drop = float(row["diode"].partition("Vf=")[2].rstrip("V") or 0)

    def arm(anode: str, cathode: str) -> str:
        return bench.valve(anode, cathode, float(valve[1])) if valve else bench.diode(anode, cathode, drop)

    if topology == "bridge":
        bridge_arms, section = bench.bridge(output, volts, ohms, drop)
        return tuple(bridge_arms), tuple(bridge_arms[:2]), (section,), output
    if topology == "full-wave CT":
        halves, sections = bench.centre_tapped(output, volts, ohms, arm)
        return tuple(halves), tuple(halves), tuple(sections), output
    lead = bench.node()
    if topology == "half-wave":
        section = bench.winding(lead, GROUND, volts, ohms)
        only = arm(lead, output)
        return (only,), (only,), (section,), output
    assert topology == "full-wave doubler"
    joint = "joint"
    section = bench.winding(lead, joint, volts, ohms)
    pair = (arm(lead, output), arm(GROUND, lead))
    return pair, pair[:1], (section,), output


def _filter(bench: Bench, row: dict[str, str], at: str, volts: float) -> tuple[list[str], str, str | None]:
    """Nodes with a capacitor, the first capacitor, and the choke if there is one."""
    nodes: list[str] = []
    capacitors: list[str] = []
    choke = None
    scale = 1.3 * volts * (2 if "doubler" in row["topology"] else 1)
    for part in row["filter"].split(" - "):
        kind, _, value = part.partition(" ")
        if part.startswith("2 x C"):
            farads = float(part.split()[3].removesuffix("uF")) * 1e-6
            capacitors.append(bench.capacitor(at, "joint", farads, scale / 2))
            bench.capacitor("joint", GROUND, farads, scale / 2)
            nodes.append(bench.rail(at))
        elif kind == "C":
            capacitors.append(bench.capacitor(at, GROUND, float(value.removesuffix("uF")) * 1e-6, scale))
            nodes.append(bench.rail(at))
        else:
            behind = bench.node()
            if kind == "R":
                bench.resistor(at, behind, float(value))
            else:
                henries, ohms = value.split("/")
                choke = bench.choke(
                    at, behind, float(henries.removesuffix("H")), float(ohms.removesuffix("ohm")), 0.1
                )
            at = behind
    return nodes, capacitors[0], choke


def _loads(bench: Bench, text: str, nodes: list[str]) -> None:
    where, _, what = text.partition(": ")
    node = nodes[int(where.removeprefix("node")) - 1]
    for load in what.split(" + "):
        if load.endswith("mA"):
            amps = float(load.removesuffix("mA")) * 1e-3
            if amps:
                bench.draw(node, amps)
        else:
            bench.resistor(node, GROUND, float(load.removesuffix("ohm")))
