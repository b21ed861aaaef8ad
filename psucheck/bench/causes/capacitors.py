"""Capacitors: dried up, of high ESR, open, leaking, shorted, the wrong way round, without their ground."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from psucheck.bench.amplifier import Amplifier
from psucheck.bench.causes.cause import Cause, Size
from psucheck.bench.causes.fuses import fuses_before
from psucheck.bench.causes.surgery import (
    OPEN_SHARE,
    add_esr,
    add_leak,
    add_ohms,
    capacitors,
    esr_of,
    open_resistors,
    scale_farads,
)
from psucheck.circuit.network import GROUND, Resistor
from psucheck.supply.filled import FilledSupply
from psucheck.supply.topology import first_nodes, is_negative

LEAKAGE_POWER = 5.0
"""Leakage of a failing electrolytic over its volts, to this power: it leaks near its working volts and hardly
at all far below. A guess without a source; makers' curves rise steeply towards rated volts (from memory)."""

DRIED = Size("{:.0%} of its value left", (0.05, 0.12, 0.27, 0.6), mild="high")
ESR = Size("{} more", (6.0, 14.0, 32.0, 75.0), unit="ohm")
LEAK = Size("{} at its working volts", (2e-3, 5e-3, 12e-3, 30e-3), unit="A")
SMALL_LEAK = Size("{} at its working volts", (0.3e-3, 0.9e-3, 2.7e-3, 8e-3), unit="A")
SHORT = Size("{}", (0.3, 3.0, 30.0), mild="high", unit="ohm")
UNEQUAL = Size("leakage of the upper one over the other's {:.1f}", (0.1, 0.4, 2.5, 10.0))
LUG = Size("{}", (2.0, 6.0, 20.0), unit="ohm")


def capacitor_causes(filled: FilledSupply) -> Iterator[Cause]:
    """What can be wrong with the capacitors of a supply."""
    firsts = {
        name for rectifier in filled.supply.rectifiers for name in first_nodes(filled.supply, rectifier)
    }
    strings = {name: node.capacitor for name, node in filled.nodes.items() if node.capacitor is not None}
    for name, capacitor in strings.items():
        negative = is_negative(filled.supply, name)
        first = name in firsts and not negative
        title = f"the {name} capacitor"
        if negative:
            title = "the bias capacitor" if name == "bias" else f"the bias capacitor ({name})"
        # The first can works hardest; what is common practice, a guess, as all these shares.
        share = 1.0 if first else 0.5
        yield from _of_one(
            filled, name, title, share, bias=negative, behind_dropper=_fed_through_ohms(filled, name)
        )
        if capacitor.in_series > 1 and capacitor.balancing_ohms is not None:
            yield from _of_string(name, title)
    for rectifier in filled.pairs:
        for which in ("upper", "lower"):
            name = f"rectifiers.{rectifier} {which}"
            yield from _of_one(
                filled, name, f"the {which} capacitor of the doubler", 0.9, rectifier=rectifier
            )
    for rectifier in filled.feeds:
        name = f"{rectifier} feed"
        yield Cause(
            "feed capacitor down", name, f"the {rectifier} feed capacitor has lost value", 0.6,
            lambda amp, size, name=name: scale_farads(amp, name, size), DRIED,
        )  # fmt: skip
    positive = [name for name in strings if not is_negative(filled.supply, name)]
    if len(positive) > 1 and not filled.pairs:
        yield Cause(
            "loose can ground", "chassis", "the capacitors' common ground joint is poor", 1.5,
            lambda amp, size: _loose_ground(amp, positive, size), LUG,
        )  # fmt: skip


def _of_one(
    filled: FilledSupply,
    name: str,
    title: str,
    share: float,
    *,
    bias: bool = False,
    behind_dropper: bool = False,
    rectifier: str | None = None,
) -> Iterator[Cause]:
    blows = (
        () if bias or behind_dropper else fuses_before(filled, name if rectifier is None else None, rectifier)
    )
    leak = SMALL_LEAK if bias or behind_dropper else LEAK

    yield Cause(
        "dried capacitor", name, f"{title} has dried up", 7.0 * share,
        lambda amp, size: scale_farads(amp, name, size), DRIED,
    )  # fmt: skip
    if not behind_dropper and not bias:
        yield Cause(
            "high ESR", name, f"{title} has a high ESR", 3.0 * share,
            lambda amp, size: add_esr(amp, name, size), ESR,
        )  # fmt: skip
    yield Cause(
        "open capacitor", name, f"{title} is open, or its lead or ground is off", 1.5 * share,
        lambda amp, size: scale_farads(amp, name, OPEN_SHARE),
    )  # fmt: skip
    yield Cause(
        "leaking capacitor", name, f"{title} leaks", 4.0 * share,
        lambda amp, size: _leaking(amp, name, size), leak,
    )  # fmt: skip
    yield Cause(
        "shorted capacitor", name, f"{title} has a short, or what it feeds has one to chassis", 2.0 * share,
        lambda amp, size: _shorted(amp, name, size), SHORT, blows=blows,
    )  # fmt: skip
    if rectifier is None:
        yield Cause(
            "reversed capacitor", name, f"{title} is in the wrong way round", 0.4 * share,
            lambda amp, size: _reversed(amp, name), blows=blows,
        )  # fmt: skip


def _fed_through_ohms(filled: FilledSupply, name: str) -> bool:
    """Whether a resistor stands between the rectifier and a node."""
    at: str | None = name
    while at is not None:
        node = filled.nodes[at]
        if node.resistor_ohms is not None:
            return True
        at = node.source.name if node.source.kind in ("node", "node middle") else None
    return False


def working_volts(amp: Amplifier, name: str) -> float:
    """Volts over a capacitor at idle, from its plus to its minus [V]."""
    known = amp.readings.volts.get(name)
    if known is not None:
        return known
    # A doubler's own: a little below what it is charged to.
    return 0.9 * sum(each.scale_volts for each in capacitors(amp, name))


def _leaking(amp: Amplifier, name: str, amps: float) -> Amplifier:
    string = amp.network.layout.capacitors[name]
    volts = working_volts(amp, name)
    return add_leak(amp, string.plus, string.minus, amps, volts, LEAKAGE_POWER, f"leakage of {name}")


def _shorted(amp: Amplifier, name: str, ohms: float) -> Amplifier:
    string = amp.network.layout.capacitors[name]
    return add_ohms(amp, string.plus, string.minus, ohms, f"short of {name}")


def _reversed(amp: Amplifier, name: str) -> Amplifier:
    """An electrolytic the wrong way round conducts from a volt or two on; the ohms of that are a guess."""
    string = amp.network.layout.capacitors[name]
    return add_ohms(amp, string.plus, string.minus, 150.0, f"{name} the wrong way round")


def _loose_ground(amp: Amplifier, names: list[str], ohms: float) -> Amplifier:
    """The negative ends of all cans lifted from the chassis together."""
    changed = {}
    for name in names:
        string = amp.network.layout.capacitors[name]
        if string.minus != GROUND:
            continue
        last = esr_of(amp, capacitors(amp, name)[-1])
        changed[last.name] = replace(last, minus="nlug")
    return amp.with_elements(changed, (Resistor("rlug", "nlug", GROUND, "joint of the cans' ground", ohms),))


def _of_string(name: str, title: str) -> Iterator[Cause]:
    says = f"a balancing resistor across {title} is open"
    yield Cause(
        "balancing resistor open", name, says, 1.0, lambda amp, size: _unbalanced(amp, name, size), UNEQUAL
    )


def _unbalanced(amp: Amplifier, name: str, ratio: float) -> Amplifier:
    """All balancing resistors open: the leakage of the parts, unequal as it is, divides the volts."""
    balancing = amp.network.layout.resistors[f"{name} balancing"].elements
    first = capacitors(amp, name)[0]
    leakage = next(
        each for each in amp.network.elements if isinstance(each, Resistor) and each.plus == first.plus
        and each.says == f"leakage of {first.says}"
    )  # fmt: skip
    opened = open_resistors(amp, balancing)
    return opened.with_elements({leakage.name: replace(leakage, ohms=leakage.ohms * ratio)})
