"""What heater windings stand on: the winding and the node of each elevation."""

from __future__ import annotations

from dataclasses import replace

from psucheck.supply.referring import Referring


def look_at_elevation(refs: Referring) -> None:
    """Note every elevation of what is no heater winding, or from what is no node."""
    standing = {rectifier.winding for rectifier in refs.supply.rectifiers.values()}
    for winding, elevation in refs.supply.elevation.items():
        path = ("elevation", winding)
        found = len(refs.faults)
        sound = refs.named("windings", winding, path)
        if len(refs.faults) > found:
            refs.faults[-1] = replace(refs.faults[-1], at_key=True)
        if sound and winding in standing:
            said = f'a rectifier stands on "{winding}": only a winding that heats with AC is elevated'
            refs.fault(path, said, at_key=True, about="rectifiers")
        if elevation.node is not None:
            refs.named("filter", elevation.node, (*path, "node"))
