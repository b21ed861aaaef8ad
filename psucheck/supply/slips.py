"""Slips that read as facts: a part that does nothing where it stands, a value with a prefix too many.

What is asked is only what hardly any supply can mean; a poor choice of part is the rules' affair.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from psucheck.quantity import show
from psucheck.supply import topology
from psucheck.supply.model import Capacitor, Rectifier, Supply
from psucheck.supply.remark import Remark

_FEED_AMPS = (5e-5, 0.25)
"""What a feed capacitor may pass at most, between hardly any bias and far more than any [A]; no source."""
_SMALLEST = 100e-9
"""A filter capacitor below this [F] is taken for a slip; no source."""


def slips(supply: Supply) -> Iterator[Remark]:
    """Rectifiers that feed nothing, and capacitors whose unit is likely another one."""
    fed = {source.name for source in topology.parents(supply).values() if source.kind != "node"}
    for name, rectifier in supply.rectifiers.items():
        if name not in fed:
            yield Remark(
                (f"rectifiers.{name}", "filter"),
                f'the rectifier {name} feeds no node: say from = "rectifiers.{name}" in the node behind it, '
                "else nothing of it is judged under load",
            )
        if isinstance(rectifier.feed, Capacitor):
            yield from _feed(supply, name, rectifier, rectifier.feed)
    for name, node in supply.filter.items():
        if node.capacitor is not None and node.capacitor.string_value < _SMALLEST:
            farads = show(node.capacitor.string_value, "F")
            yield Remark(
                (f"filter.{name}.capacitor",),
                f"the capacitor of {name} is {farads}, which filters next to nothing: is uF meant?",
            )


def _feed(supply: Supply, name: str, rectifier: Rectifier, feed: Capacitor) -> Iterator[Remark]:
    """Each cycle a feed capacitor with its clamp brings 2 Vpk C at most, so that f 2 Vpk C flows at most."""
    volts = _volts(supply, rectifier)
    most = 2 * math.sqrt(2) * volts * supply.mains.frequency * feed.string_value
    if _FEED_AMPS[0] <= most <= _FEED_AMPS[1]:
        return
    yield Remark(
        (f"rectifiers.{name}.feed", f"windings.{rectifier.winding}"),
        f"the feed capacitor of {name} is {show(feed.string_value, 'F')}: from {show(volts, 'V')} it passes "
        f"up to {show(most, 'A')}, where a bias takes a few mA: is nF meant?",
    )


def _volts(supply: Supply, rectifier: Rectifier) -> float:
    """Volts of the part of the winding that a half-wave rectifier stands on [V RMS]."""
    winding = supply.windings[rectifier.winding]
    if rectifier.end in winding.taps:
        return winding.taps[rectifier.end or ""].volts
    return winding.volts[1 if rectifier.end == "b" and winding.centre_tapped else 0]
