"""The filter's references: what feeds each node, and on which side of the chassis it stands."""

from __future__ import annotations

from psucheck import quantity
from psucheck.supply import topology
from psucheck.supply.errors import listed, nearest, quoted
from psucheck.supply.model import Node
from psucheck.supply.notation import NotationError, place
from psucheck.supply.referring import Referring
from psucheck.supply.toml_positions import Path

_DOUBLERS = ("full-wave doubler", "cascade doubler")


def look_at_filter(refs: Referring) -> None:
    """Note every ``from`` that leads nowhere, every ring, and voltages on the wrong side of the chassis."""
    if not (refs.draft.readable("filter") and refs.draft.readable("rectifiers")):
        return
    found = len(refs.faults)
    for name, node in refs.supply.filter.items():
        if node.from_ is not None and refs.draft.readable("filter", name):
            _look_at_from(refs, name, node.from_)
    if not refs.supply.filter:
        refs.fault(("filter",), '[filter] holds no node: reservoir = "50 uF 500 V"')
        return
    if len(refs.faults) > found:
        return
    if not _hangs_together(refs):
        return
    for name, node in refs.supply.filter.items():
        if refs.draft.sound("filter", name):
            _look_at_side(refs, name, node)


def _hangs_together(refs: Referring) -> bool:
    """Whether every node is fed from a rectifier in the end, as far as that could be read."""
    if not refs.draft.feeds_known:
        return False
    try:
        topology.parents(refs.supply)
    except topology.TopologyError as error:
        if refs.draft.sound("filter", error.node):
            path: Path = ("filter", error.node)
            if refs.supply.filter[error.node].from_ is not None:
                path = (*path, "from")
            refs.fault(path, f"what feeds {quoted(error.node)}? {error}", about="rectifiers")
        return False
    return True


def _look_at_from(refs: Referring, name: str, text: str) -> None:
    path: Path = ("filter", name, "from")
    supply = refs.supply
    stem = text.removesuffix(" middle")
    middle = stem != text and text not in supply.filter
    if stem.startswith("rectifiers."):
        rectifier = stem.removeprefix("rectifiers.")
        if refs.named("rectifiers", rectifier, path) and middle:
            circuit = supply.rectifiers[rectifier].circuit
            if circuit not in _DOUBLERS:
                said = (
                    f'the rectifier "{rectifier}" has no middle: only a doubler has two capacitors of its own'
                )
                refs.fault(path, said)
        return
    node = stem if middle else text
    if node not in supply.filter and _is_place(text):
        if refs.draft.readable("series") and topology.back_bias_place(supply, text) is None:
            said = (
                f"no back bias is made at {quoted(text)}: it needs a resistor there in [series], in the lead "
                "of a centre tap from which a positive centre-tapped rectifier returns"
            )
            refs.fault(path, said, read=text, about="series")
        return
    if node not in supply.filter:
        names = [*supply.filter, *(f"rectifiers.{key}" for key in supply.rectifiers)]
        said = f"{quoted(text)} is no node of the filter and no rectifier"
        near = f"rectifiers.{node}" if node in supply.rectifiers else nearest(node, names)
        refs.fault(path, said, read=text, allowed=listed(names), nearest=near, about="filter")
        return
    capacitor = supply.filter[node].capacitor
    if middle and refs.draft.sound("filter", node) and (capacitor is None or capacitor.in_series != 2):
        refs.fault(path, f'"{node}" has no middle: its capacitor is not two in series')


def _is_place(text: str) -> bool:
    try:
        place(text)
    except NotationError:
        return False
    return True


def _look_at_side(refs: Referring, name: str, node: Node) -> None:
    path = ("filter", name)
    rectifier = topology.rectifier_of(refs.supply, name)
    if not refs.draft.sound("rectifiers", rectifier):
        return
    negative = topology.is_negative(refs.supply, name)
    for key, volts in (("was", node.was), ("set", node.set)):
        if volts is None or (volts < 0) == negative:
            continue
        shown = quantity.show(volts, "V")
        if negative and topology.root_of(refs.supply, name).kind == "place":
            said = f'"{name}" is fed from a back bias, below the chassis: -{shown}'
        elif negative:
            said = f'"{name}" is fed from the negative rectifier "{rectifier}", below the chassis: -{shown}'
        else:
            said = f'only bias voltages are negative; the rectifier "{rectifier}" of "{name}" is positive'
        refs.fault((*path, key), said, read=shown)
    for index, volts in enumerate(node.range or ()):
        if (volts < 0) != negative:
            refs.fault(
                (*path, "range", index), f"{quantity.show(volts, 'V')} is on the other side of the chassis"
            )
