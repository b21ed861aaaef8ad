"""How the filter hangs together: what feeds each node, and which rectifier stands at the root."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from psucheck.supply.model import Resistor, Supply, Switch
from psucheck.supply.notation import NotationError, place

LOW_VOLTAGE = 30.0
"""AC volts below which a winding is for heaters, relays and the like [V RMS]."""
MAINS_SWITCH = "mains"
"""The place of a switch that is no standby switch."""

SourceKind = Literal["rectifier", "rectifier middle", "node", "node middle", "place"]


@dataclass(frozen=True, slots=True)
class Source:
    """What feeds a node: a rectifier's output, the joint of two capacitors, another node, or a place.

    At a place stands the resistor of a back bias; ``name`` is the description's own words for it.
    """

    kind: SourceKind
    name: str


class TopologyError(ValueError):
    """A node's feed cannot be made out; ``node`` names it."""

    def __init__(self, node: str, message: str) -> None:
        super().__init__(message)
        self.node = node


def _read_from(supply: Supply, node: str, text: str) -> Source:
    if text.startswith("rectifiers."):
        name = text.removeprefix("rectifiers.")
        if name.endswith(" middle") and name.removesuffix(" middle") in supply.rectifiers:
            return Source("rectifier middle", name.removesuffix(" middle"))
        if name in supply.rectifiers:
            return Source("rectifier", name)
    elif text in supply.filter:
        return Source("node", text)
    elif text.endswith(" middle") and text.removesuffix(" middle") in supply.filter:
        return Source("node middle", text.removesuffix(" middle"))
    standing = back_bias_place(supply, text)
    if standing is not None:
        return Source("place", standing)
    raise TopologyError(node, f'"{text}" is no node, and no rectifier')


def back_bias_place(supply: Supply, text: str) -> str | None:
    """The place of ``[series]`` that ``text`` means, if a back bias is made there.

    A resistor stands in the lead of a centre tap from which a positive centre-tapped rectifier returns: the
    winding's side of the resistor then lies below the chassis by its drop.
    """
    try:
        wanted = place(text)
    except NotationError:
        return None
    if wanted["kind"] != "centre tap" or _returns_through(supply, wanted["name"]) is None:
        return None
    for standing, part in supply.series.items():
        try:
            if place(standing) == wanted and isinstance(part, Resistor):
                return standing
        except NotationError:
            continue
    return None


def _returns_through(supply: Supply, winding: str) -> str | None:
    """The positive rectifier that returns through the centre tap of ``winding``."""
    wanted = (winding, "centre-tapped", "positive")
    for name, rectifier in supply.rectifiers.items():
        if (rectifier.winding, rectifier.circuit, rectifier.polarity) == wanted:
            return name
    return None


def parents(supply: Supply) -> dict[str, Source]:
    """What feeds each filter node, in the order of the description.

    A node without ``from`` is fed from the node above it; the first one from the only positive rectifier.

    Raises
    ------
    TopologyError
        For an unknown ``from``, a first node with several rectifiers to choose from, or nodes that feed each
        other in a ring.
    """
    fed: dict[str, Source] = {}
    above: str | None = None
    for name, node in supply.filter.items():
        if node.from_ is not None:
            fed[name] = _read_from(supply, name, node.from_)
        elif above is not None:
            fed[name] = Source("node", above)
        else:
            positive = [
                key for key, rectifier in supply.rectifiers.items() if rectifier.polarity == "positive"
            ]
            if len(positive) != 1:
                raise TopologyError(name, 'it must say which rectifier feeds it: from = "rectifiers.NAME"')
            fed[name] = Source("rectifier", positive[0])
        above = name
    for name in fed:
        seen = {name}
        source = fed[name]
        while source.kind in ("node", "node middle"):
            if source.name in seen:
                raise TopologyError(name, "it is fed from itself, in a ring")
            seen.add(source.name)
            source = fed[source.name]
    return fed


def root_of(supply: Supply, node: str) -> Source:
    """The rectifier output (or joint, or place) that ``node`` is fed from in the end."""
    fed = parents(supply)
    source = fed[node]
    while source.kind in ("node", "node middle"):
        source = fed[source.name]
    return source


def rectifier_of(supply: Supply, node: str) -> str:
    """Name of the rectifier behind ``node``; of a back bias, the one whose current makes it."""
    root = root_of(supply, node)
    if root.kind != "place":
        return root.name
    returning = _returns_through(supply, place(root.name)["name"])
    assert returning is not None  # else the place would have fed nothing
    return returning


def is_negative(supply: Supply, node: str) -> bool:
    """Whether ``node`` lies below the chassis: a bias rail."""
    if root_of(supply, node).kind == "place":
        return True
    return supply.rectifiers[rectifier_of(supply, node)].polarity == "negative"


def children(supply: Supply, node: str) -> list[str]:
    """The nodes fed from ``node`` itself."""
    return [name for name, source in parents(supply).items() if source == Source("node", node)]


def below(supply: Supply, node: str) -> Iterator[str]:
    """``node`` and every node fed through it."""
    yield node
    for child in children(supply, node):
        yield from below(supply, child)


def first_nodes(supply: Supply, rectifier: str) -> list[str]:
    """The nodes that ``rectifier`` feeds directly."""
    return [name for name, source in parents(supply).items() if source == Source("rectifier", rectifier)]


def choke_input(supply: Supply, rectifier: str) -> bool:
    """Whether every node that the rectifier feeds stands behind a choke."""
    first = first_nodes(supply, rectifier)
    return bool(first) and all(supply.filter[node].choke is not None for node in first)


def is_low_voltage(supply: Supply, node: str) -> bool:
    """Whether ``node`` stands behind a low-voltage winding: DC heaters, relays and the like."""
    return sum(supply.windings[supply.rectifiers[rectifier_of(supply, node)].winding].volts) < LOW_VOLTAGE


def standby_switches(supply: Supply) -> dict[str, Switch]:
    """The switches that are open in standby: all but one in the mains lead."""
    return {name: switch for name, switch in supply.switches.items() if switch.place != MAINS_SWITCH}
