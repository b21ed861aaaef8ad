"""Rectifier valves on the bench: which rails wait for one to warm up, and silicon plugged in for it."""

from __future__ import annotations

from dataclasses import replace

from psucheck.supply.fill_rectifiers import fill_device
from psucheck.supply.filled import FilledSupply
from psucheck.supply.model import Device
from psucheck.supply.topology import is_negative, rectifier_of

_PLUG_IN = Device(type="1N4007", in_series=2)
"""What is plugged in: two of the usual diodes in each anode lead (common practice, no source)."""


def valve_rectifiers(filled: FilledSupply) -> tuple[str, ...]:
    """The positive rectifiers that are valves heated by the transformer."""
    return tuple(
        name
        for name, device in filled.devices.items()
        if device.kind == "valve" and filled.supply.rectifiers[name].polarity == "positive"
    )


def behind_valves(filled: FilledSupply) -> frozenset[str]:
    """The nodes that have nothing until a rectifier valve is warm."""
    valves = valve_rectifiers(filled)
    return frozenset(
        node
        for node in filled.nodes
        if not is_negative(filled.supply, node) and rectifier_of(filled.supply, node) in valves
    )


def with_silicon(filled: FilledSupply) -> FilledSupply:
    """``filled`` with silicon plugged in for every rectifier valve, whose heaters draw no more."""
    valves = valve_rectifiers(filled)
    plugged = fill_device(_PLUG_IN)
    return replace(
        filled,
        devices={name: plugged if name in valves else device for name, device in filled.devices.items()},
        heaters=tuple(load for load in filled.heaters if load.group != "rectifier"),
    )
