"""The filter ladder: what leads to each node, the capacitor on it, what drains it."""

from __future__ import annotations

from psucheck.circuit.network import GROUND, Capacitor, Choke, StringLayout
from psucheck.circuit.wiring import Wiring
from psucheck.supply.filled import FilledCapacitor, FilledChoke, FilledNode


def add_string(
    wiring: Wiring,
    name: str,
    filled: FilledCapacitor,
    plus: str,
    minus: str,
    volts: float,
    start: float | None = None,
    *,
    negative: bool = False,
) -> list[str]:
    """A capacitor or a series string of equal ones, each with ESR, leakage and balancing resistor.

    ``volts`` is the size of the voltage on the whole string, ``start`` a first guess of it. On a
    ``negative`` rail the parts are turned round. Returns the joints between the parts.
    """
    units, joints, at = [], [], plus
    count = filled.in_series
    guess = (volts if start is None else start) / count
    for number in range(count):
        says = f"{name} capacitor" + (f" {number + 1} of {count}" if count > 1 else "")
        end = minus if number == count - 1 else wiring.node()
        inner = wiring.node()
        units.append(
            wiring.add(
                Capacitor,
                "c",
                at,
                inner,
                says,
                farads=filled.farads,
                scale_volts=max(abs(volts) / count, 1.0),
                start_volts=guess,
            )
        )
        wiring.resistor(inner, end, filled.esr, f"ESR of {says}")
        wiring.resistor(at, end, filled.leakage_ohms, f"leakage of {says}")
        if filled.balancing_ohms is not None:
            balancing = wiring.resistor(at, end, filled.balancing_ohms, f"balancing of {says}")
            wiring.note_resistor(f"{name} balancing", balancing)
        if end != minus:
            joints.append(end)
        at = end
    wiring.layout.capacitors[name] = StringLayout(tuple(units), plus, minus, -1 if negative else 1)
    return joints


def add_choke(wiring: Wiring, name: str, choke: FilledChoke, plus: str, minus: str, amps: float) -> None:
    """A choke with its copper; ``amps`` is a first guess of its current."""
    inner = wiring.node()
    element = wiring.add(
        Choke,
        "l",
        plus,
        inner,
        f"{name} choke",
        henries=choke.henries,
        knee_amps=choke.knee_amps,
        start_amps=amps,
    )
    copper = wiring.resistor(inner, minus, choke.ohms, f"{name} choke's copper")
    wiring.layout.chokes[name] = (element, copper)


def add_feed(wiring: Wiring, name: str, node: FilledNode, source: str, amps: float, *, negative: bool) -> str:
    """What leads from ``source`` to the node, and the node itself, which is returned."""
    at = wiring.through("before", name, source, f"before {name}", dc=True, outwards=not negative)
    if node.choke is not None:
        behind = wiring.node()
        add_choke(wiring, name, node.choke, at, behind, amps)
        at = behind
    if node.resistor_ohms is not None:
        behind = wiring.node()
        dropper = wiring.resistor(at, behind, node.resistor_ohms, f"{name} dropper")
        wiring.note_resistor(f"{name} dropper", dropper)
        at = behind
    wiring.layout.nodes[name] = at
    return at


def add_drains(wiring: Wiring, name: str, node: FilledNode, at: str, *, negative: bool) -> None:
    """The bleeder, a zener across the node and, on a bias node, the pot with its padding."""
    if node.zener is not None:
        ends = (GROUND, at) if negative else (at, GROUND)
        wiring.note_resistor(f"{name} zener", wiring.add_zener(f"{name} zener", node.zener, *ends))
    if node.bleeder_ohms is not None:
        bleeder = wiring.resistor(at, GROUND, node.bleeder_ohms, f"{name} bleeder")
        wiring.note_resistor(f"{name} bleeder", bleeder)
    if node.bias_load_ohms is not None:
        wiring.resistor(at, GROUND, node.bias_load_ohms, f"{name}: pot, padding and grid leaks")
