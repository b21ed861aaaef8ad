"""The leads of a winding: which of them the current of a rectifier passes, and which way it flows there."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from psucheck.supply.fill_loads import heater_winding
from psucheck.supply.model import Capacitor, Rectifier, Supply
from psucheck.supply.topology import LOW_VOLTAGE

Lead = Literal["a", "b", "centre tap"]
"""A lead of a winding, by what it comes from: an end, or the centre tap."""

PLACES: Mapping[Lead, tuple[str, ...]] = {
    "a": ("each winding", "winding"),
    "b": ("each winding",),
    "centre tap": ("centre tap",),
}
"""The kinds of place in each lead, from the winding outwards."""

_FLOATING = ("bridge", "full-wave doubler")
"""Circuits that leave no end of their winding on the chassis: their lower arms are its return."""


def halves(supply: Supply, name: str) -> tuple[tuple[Lead, ...], ...]:
    """The leads in series with each conducting half of a rectifier, the one that feeds its anode first.

    A half-wave rectifier returns through the centre tap, if its winding has one that stands on the chassis,
    else through the other end. A tap's own lead is no place. A bias supply that branches off
    (:func:`branches_off`) passes the lead of its return only.
    """
    rectifier = supply.rectifiers[name]
    if rectifier.circuit == "centre-tapped":
        return (("a", "centre tap"), ("b", "centre tap"))
    if rectifier.circuit != "half-wave":
        return (("a", "b"),)
    end = rectifier.end or "a"
    returned = _return_of(supply, rectifier)
    if end not in ("a", "b") or branches_off(supply, name):
        return ((returned,),)
    return (("b" if end == "b" else "a", returned),)


def _return_of(supply: Supply, rectifier: Rectifier) -> Lead:
    """The lead through which the current of a half-wave rectifier comes back to its winding."""
    circuits = {other.circuit for other in _on(supply, rectifier.winding).values()}
    whole = circuits & {*_FLOATING, "cascade doubler"} and "centre-tapped" not in circuits
    if supply.windings[rectifier.winding].centre_tapped and not whole:
        return "centre tap"
    return "a" if rectifier.end == "b" else "b"


def branches_off(supply: Supply, name: str) -> bool:
    """Whether a rectifier is a bias supply that is taken to branch off before what stands in its end's lead.

    That is a half-wave one of negative polarity on a winding from which a positive rectifier draws HT: a fuse
    in that winding's lead is drawn as the HT's.
    """
    rectifier = supply.rectifiers[name]
    if rectifier.polarity != "negative" or rectifier.circuit != "half-wave":
        return False
    if sum(supply.windings[rectifier.winding].volts) < LOW_VOLTAGE:
        return False
    return any(other.polarity == "positive" for other in _on(supply, rectifier.winding).values())


def ways(supply: Supply, winding: str, lead: Lead) -> set[bool]:
    """The ways in which currents flow in a lead: out of the winding (True), into it (False), or both."""
    if lead != "centre tap" and heats(supply, winding):
        return {True, False}
    return {way for name in _on(supply, winding) for way in _ways_of(supply, name, lead)}


def outwards(supply: Supply, winding: str, lead: Lead) -> bool:
    """Which way a zener is turned in a lead: for current out of the winding (True), or into it.

    Where rectifiers of both polarities draw, the positive ones decide.
    """
    for polarity in ("positive", "negative"):
        drawing = [name for name, other in _on(supply, winding).items() if other.polarity == polarity]
        found = {way for name in drawing for way in _ways_of(supply, name, lead)}
        if found:
            return False not in found
    return True


def _ways_of(supply: Supply, name: str, lead: Lead) -> set[bool]:
    """The ways in which the current of one rectifier flows in a lead; none where it does not pass it."""
    rectifier = supply.rectifiers[name]
    passing = [leads for leads in halves(supply, name) if lead in leads]
    if not passing:
        return set()
    if rectifier.circuit not in ("centre-tapped", "half-wave") or isinstance(rectifier.feed, Capacitor):
        return {True, False}  # what a capacitor in the lead takes it gives back
    returning = {leads[-1] for leads in passing}
    return {(lead not in returning) == (rectifier.polarity == "positive")}


def heats(supply: Supply, winding: str) -> bool:
    """Whether heaters hang on a winding: those of the line-up, or a rectifier valve's."""
    heated = {rectifier.heater for rectifier in supply.rectifiers.values()}
    return winding in heated or winding == heater_winding(supply)


def centre_tap_used(supply: Supply, winding: str) -> bool:
    """Whether current returns through the centre tap of a winding, or goes to the joint of two capacitors."""
    joined = any(rectifier.centre_tap is not None for rectifier in _on(supply, winding).values())
    return joined or any(
        "centre tap" in leads for name in _on(supply, winding) for leads in halves(supply, name)
    )


def _on(supply: Supply, winding: str) -> dict[str, Rectifier]:
    return {name: r for name, r in supply.rectifiers.items() if r.winding == winding}
