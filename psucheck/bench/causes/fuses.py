"""Which fuses stand before a part, and may have opened for it."""

from __future__ import annotations

from psucheck.supply.filled import FilledSupply
from psucheck.supply.notation import place as read_place
from psucheck.supply.topology import rectifier_of


def fuses_before(filled: FilledSupply, node: str | None, rectifier: str | None = None) -> tuple[str, ...]:
    """The places of the fuses that a short at a node, or at a rectifier's output, draws through."""
    places = {("mains", "")}
    if node is not None:
        rectifier = rectifier_of(filled.supply, node)
        at: str | None = node
        while at is not None:
            places.add(("before", at))
            source = filled.nodes[at].source
            if source.kind == "node":
                places.add(("after", source.name))
            at = source.name if source.kind in ("node", "node middle") else None
    if rectifier is not None:
        winding = filled.supply.rectifiers[rectifier].winding
        places |= {(kind, winding) for kind in ("winding", "each winding", "centre tap")}
    found = []
    for text in filled.supply.fuses:
        read = read_place(text)
        if (read["kind"], read.get("name", "")) in places:
            found.append(text)
    return tuple(found)
