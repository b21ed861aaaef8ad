"""What one table of a description says about another: every name referred to must be there and fit."""

from __future__ import annotations

import re

from psucheck import quantity
from psucheck.parts import UnknownPart, library
from psucheck.supply.draft import Draft
from psucheck.supply.errors import Fault
from psucheck.supply.fill_rectifiers import is_valve
from psucheck.supply.leads import PLACES, ways
from psucheck.supply.model import Device, Rectifier, Zener
from psucheck.supply.notation import NotationError, place
from psucheck.supply.reference_elevation import look_at_elevation
from psucheck.supply.reference_filter import look_at_filter
from psucheck.supply.reference_loads import look_at_loads
from psucheck.supply.referring import Referring
from psucheck.supply.toml_positions import Path

DOUBLERS = ("full-wave doubler", "cascade doubler")
_ACCEPTED = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)* \S.*")
_PLACES = '"mains", "winding NAME", "each winding NAME", "centre tap NAME", "before NODE", "after NODE"'


def references(draft: Draft) -> list[Fault]:
    """Everything in a draft that refers to nothing, or to what does not fit.

    Tables that could not be read are passed over: what is wrong with them has been said.
    """
    refs = Referring(draft)
    if draft.readable("mains"):
        _look_at_mains(refs)
    _look_at_windings(refs)
    for index, entry in enumerate(draft.supply.valves):
        if draft.readable("valves"):
            refs.part(library().load_valve, entry.type, ("valves", index, "type"), "the valve")
    for name, rectifier in draft.supply.rectifiers.items():
        if draft.readable("rectifiers", name):
            _look_at_rectifier(refs, name, rectifier)
    look_at_filter(refs)
    look_at_loads(refs)
    _look_at_places(refs)
    look_at_elevation(refs)
    for subject in draft.supply.accepted:
        if not _ACCEPTED.fullmatch(subject):
            said = "an accepted finding is named by its rule and its subject"
            refs.fault(("accepted", subject), said, allowed='"valve-voltage output"', at_key=True)
    return refs.faults


def _look_at_mains(refs: Referring) -> None:
    mains = refs.supply.mains
    if mains.system is not None:
        refs.part(
            library().mains_system,
            mains.system,
            ("mains", "system"),
            "the mains system",
            "or give low and high",
        )
    if mains.low is not None and mains.low >= mains.voltage:
        refs.fault(("mains", "low"), f"low is below the nominal {quantity.show(mains.voltage, 'V')}")
    if mains.high is not None and mains.high <= mains.voltage:
        refs.fault(("mains", "high"), f"high is above the nominal {quantity.show(mains.voltage, 'V')}")


def _look_at_windings(refs: Referring) -> None:
    if refs.draft.readable("transformer"):
        for tap in refs.supply.transformer.taps:
            if not quantity.is_quantity(tap, "V"):
                said = "a mains tap is named by its volts"
                refs.fault(("transformer", "taps", tap), said, allowed='"220 V"', at_key=True)
    for name, winding in refs.supply.windings.items():
        ohms = winding.resistance
        if ohms is not None and len(ohms) != len(winding.volts):
            sections = "1 section" if len(winding.volts) == 1 else f"{len(winding.volts)} sections"
            said = f"{len(ohms)} resistances for {sections}: give one for each"
            refs.fault(("windings", name, "resistance"), said)


# --- rectifiers -------------------------------------------------------------------------------------------


def _look_at_rectifier(refs: Referring, name: str, rectifier: Rectifier) -> None:
    path = ("rectifiers", name)
    on_winding = refs.named("windings", rectifier.winding, (*path, "winding"))
    if rectifier.heater is not None:
        refs.named("windings", rectifier.heater, (*path, "heater"))
    if on_winding:
        _look_at_ends(refs, path, rectifier)
    if rectifier.circuit in DOUBLERS and rectifier.capacitors is None:
        said = f'a {rectifier.circuit} needs its two capacitors = ["220 uF 350 V", "220 uF 350 V"]'
        refs.fault((*path, "circuit"), said)
    if rectifier.circuit not in DOUBLERS and rectifier.capacitors is not None:
        said = f"capacitors are a doubler's; those behind a {rectifier.circuit} rectifier stand in [filter]"
        refs.fault((*path, "capacitors"), said)
    _look_at_device(refs, (*path, "device"), rectifier.device)
    tired = rectifier.device.unequal is not None and not _is_silicon(rectifier.device)
    if tired and rectifier.circuit not in ("centre-tapped", "bridge"):
        said = f"unequal anodes are those of two halves; this rectifier is {rectifier.circuit}"
        refs.fault((*path, "device", "unequal"), said)
    _look_at_feed(refs, path, rectifier)
    if rectifier.centre_tap is not None:
        _look_at_centre_tap(refs, path, rectifier, rectifier.centre_tap)


def _look_at_ends(refs: Referring, path: Path, rectifier: Rectifier) -> None:
    winding = refs.supply.windings[rectifier.winding]
    if rectifier.circuit == "centre-tapped" and not winding.centre_tapped:
        said = f'a centre-tapped rectifier needs a centre tap, and the winding "{rectifier.winding}" has none'
        refs.fault((*path, "circuit"), said, about="windings")
    if rectifier.end is None:
        return
    if rectifier.circuit != "half-wave":
        refs.fault((*path, "end"), f"end belongs to a half-wave rectifier; this one is {rectifier.circuit}")
    elif rectifier.end not in ("a", "b", *winding.taps):
        ends = ", ".join(f'"{end}"' for end in ("a", "b", *winding.taps))
        said = f'"{rectifier.end}" is no end and no tap of the winding "{rectifier.winding}"'
        refs.fault((*path, "end"), said, allowed=ends, about="windings")


def _look_at_device(refs: Referring, path: Path, device: Device) -> None:
    described = device.kind is not None and device.drop is not None
    if device.type is not None and not described:
        hint = "give a table of its ratings, with kind and drop"
        refs.part(library().rectifier, device.type, (*path, "type"), "the rectifying device", hint)
    backup = device.backup
    if backup is not None and backup.type is not None and backup.drop is None:
        _look_at_backup(refs, (*path, "backup", "type"), backup.type)
    if device.unequal is not None and device.unequal >= 1:
        refs.fault((*path, "unequal"), "an anode that passes nothing is none: unequal is below 100 %")
    for key in ("backup", "unequal"):
        if getattr(device, key) is not None and _is_silicon(device):
            refs.fault((*path, key), f"{key} belongs to a rectifier valve; this device is silicon")


def _look_at_backup(refs: Referring, path: Path, named: str) -> None:
    try:
        library().rectifier_valve(named)
    except UnknownPart:
        refs.part(library().diode, named, path, "the backup diode", "give its drop")
    else:
        refs.fault(path, f"{named} is a valve; a backup is silicon")


def _is_silicon(device: Device) -> bool:
    """Whether a device is known to be silicon."""
    try:
        return not is_valve(device)
    except UnknownPart:
        return False


def _look_at_feed(refs: Referring, path: Path, rectifier: Rectifier) -> None:
    through_capacitor = rectifier.feed is not None and not hasattr(rectifier.feed, "power")
    if rectifier.clamp is not None:
        _look_at_device(refs, (*path, "clamp"), rectifier.clamp)
        if not through_capacitor:
            refs.fault((*path, "clamp"), "a clamp diode belongs behind a feed through a capacitor")
    elif through_capacitor:
        said = 'a feed through a capacitor needs its clamp diode to chassis: clamp = "1N4007"'
        refs.fault((*path, "feed"), said)
    for key in ("backup", "unequal"):
        if rectifier.clamp is not None and getattr(rectifier.clamp, key) is not None:
            said = f"{key} belongs to the rectifier's own device, not to its clamp"
            refs.fault((*path, "clamp", key), said)
    if through_capacitor and rectifier.circuit != "half-wave":
        refs.fault((*path, "feed"), "a feed through a capacitor belongs to a half-wave rectifier")


def _look_at_centre_tap(refs: Referring, path: Path, rectifier: Rectifier, joint: str) -> None:
    path = (*path, "centre_tap")
    if rectifier.circuit != "bridge":
        refs.fault(path, f"centre_tap belongs to a bridge; this rectifier is {rectifier.circuit}")
        return
    winding = refs.supply.windings.get(rectifier.winding)
    if winding is not None and refs.draft.sound("windings", rectifier.winding) and not winding.centre_tapped:
        said = f'the winding "{rectifier.winding}" has no centre tap to join there'
        refs.fault(path, said, about="windings")
    node = joint.removesuffix(" middle")
    if node == joint:
        refs.fault(
            path, "the joint of a node's two capacitors is wanted", allowed='"NODE middle"', read=joint
        )
    elif refs.named("filter", node, path):
        capacitor = refs.supply.filter[node].capacitor
        if capacitor is None or capacitor.in_series != 2:
            refs.fault(path, f'"{node}" has no joint: its capacitor is not two in series')


# --- places -----------------------------------------------------------------------------------------------


def _look_at_places(refs: Referring) -> None:
    supply = refs.supply
    for section in ("fuses", "limiters", "series"):
        for text in getattr(supply, section):
            _look_at_place(refs, (section, text), text, at_key=True)
    for text, standing in supply.series.items():
        if isinstance(standing, Zener):
            _look_at_zener(refs, text)
    for text, limiter in supply.limiters.items():
        if limiter.type is not None:
            refs.part(library().ntc, limiter.type, ("limiters", text, "type"), "the limiter")
    for name, switch in supply.switches.items():
        _look_at_place(refs, ("switches", name, "place"), switch.place, at_key=False)


def _look_at_place(refs: Referring, path: Path, text: str, *, at_key: bool) -> None:
    try:
        read = place(text)
    except NotationError as error:
        column = None if at_key else error.column
        refs.fault(
            path,
            f'"{text}" is no place: {error.reason}',
            read=text,
            allowed=_PLACES,
            at_key=at_key,
            column=column,
        )
        return
    if read["kind"] == "mains":
        return
    section = "filter" if read["kind"] in ("before", "after") else "windings"
    found = len(refs.faults)
    sound = refs.named(section, read["name"], path)
    if at_key and len(refs.faults) > found:
        refs.faults[-1] = _at_key(refs.faults[-1])
    if sound and read["kind"] == "centre tap" and not _centre_tapped(refs, read["name"]):
        refs.fault(path, f'the winding "{read["name"]}" has no centre tap', at_key=at_key, about="windings")


def _look_at_zener(refs: Referring, text: str) -> None:
    """A zener conducts one way: it stands where direct current flows, or a rectifier's half waves do."""
    try:
        read = place(text)
    except NotationError:
        return  # which has been said
    if read["kind"] in ("before", "after"):
        return
    name = read.get("name", "")
    circuits = {r.circuit for r in refs.supply.rectifiers.values() if r.winding == name}
    allowed = {"centre-tapped"} if read["kind"] == "centre tap" else {"centre-tapped", "half-wave"}
    if read["kind"] == "mains" or not circuits or circuits - {"centre-tapped", "half-wave"}:
        said = "alternating current flows here: a zener belongs in a centre tap or a rail"
        refs.fault(("series", text), said, at_key=True)
    elif read["kind"] != "centre tap" and _alternating(refs, name, read["kind"]):
        said = f'current flows both ways in that lead of "{name}": a zener belongs in a centre tap or a rail'
        refs.fault(("series", text), said, at_key=True)
    elif not circuits & allowed:
        said = f'no rectifier returns through the centre tap of "{name}": the zener would carry nothing'
        refs.fault(("series", text), said, at_key=True)


def _alternating(refs: Referring, winding: str, kind: str) -> bool:
    """Whether current flows both ways in a lead of a winding in which a place of that kind stands."""
    if winding not in refs.supply.windings or not refs.draft.sound("windings", winding):
        return False
    leads = [lead for lead, kinds in PLACES.items() if kind in kinds]
    return any(len(ways(refs.supply, winding, lead)) > 1 for lead in leads)


def _centre_tapped(refs: Referring, name: str) -> bool:
    """Whether a winding that is there has a centre tap."""
    return refs.supply.windings[name].centre_tapped


def _at_key(fault: Fault) -> Fault:
    return Fault(
        fault.path, fault.message, fault.read, fault.allowed, fault.nearest, at_key=True, about=fault.about
    )
