"""What is tried rather than read: another part in place of one that is suspected."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

_DRAIN = "power off, drain, prove dead; clip it in; then up on the variac again"


@dataclass(frozen=True)
class Trial:
    """A substitution: what it shows for which causes, and for all others.

    ``of_place``: it tells only what is wrong at the place where it is tried.
    """

    id: str
    says: str
    why: str
    minutes: float
    safety: str
    otherwise: str
    shows: Mapping[str, str] = field(hash=False)
    of_place: bool = True


TRIALS: tuple[Trial, ...] = (
    Trial(
        "bridge capacitor", "bridge a good capacitor of the same value across {at}",
        "what has dried up, gone open or has a high ESR is cured by it; nothing else is", 6.0,
        f"{_DRAIN}; watch its volts and its poles", "no change",
        {"dried capacitor": "cured", "high ESR": "cured", "open capacitor": "cured"},
    ),
    Trial(
        "capacitance meter", "unsolder one end of the {at} capacitor and read its value and ESR",
        "it tells a dried capacitor from one of high ESR", 12.0, "plug out, drained, and drained again",
        "as marked", {"dried capacitor": "value low", "high ESR": "ESR high", "open capacitor": "no value"},
    ),
    Trial(
        "lift capacitor", "lift one end of the {at} capacitor and read the same again with the valves out",
        "a leak goes with the capacitor, a load stays", 12.0, "plug out, drained; no valves in without it",
        "no change",
        {"leaking capacitor": "cured", "shorted capacitor": "cured", "reversed capacitor": "cured"},
    ),
    Trial(
        "swap valves", "swap the output valves and read again",
        "what moves with the valve is the valve, what stays is its socket", 4.0,
        "power off, drained; let them cool", "stays with the socket",
        dict.fromkeys(("valve weak", "valve dead", "valve shorted"), "moves with the valve"), of_place=False,
    ),
    Trial(
        "another rectifier valve", "try another rectifier valve", "a valve is changed in a minute", 3.0,
        "power off, drained; let it cool", "no change",
        {"rectifier valve weak": "cured", "rectifier valve dead": "cured"}, of_place=False,
    ),
    Trial(
        "rectifier out", "read the watts with the valves and the rectifier out",
        "shorted turns draw as before; what the rails draw is gone", 5.0, "power off, drained",
        "watts fall to the core's",
        {"shorted turns": "watts stay"}, of_place=False,
    ),
    Trial(
        "across the switch", "read the volts across the closed {at} switch", "a good contact drops nothing",
        3.0,
        "both leads at HT: clip on with the power off, drained", "nothing across it",
        {"switch open": "all of B+ across it", "switch contact": "volts across it"},
    ),
    Trial(
        "ground joint", "read ohms from the capacitors' common negative to the chassis",
        "a good joint is under 0.1 ohm", 3.0, "plug out, drained", "under 0.1 ohm",
        {"loose can ground": "ohms there"}, of_place=False,
    ),
    Trial(
        "coupling capacitor",
        "lift the grid end of the coupling capacitor of {at} and read its valve's current again",
        "a leaking one pulls the grid up", 10.0, "plug out, drained", "no change",
        {"grid pulled up": "cured"},
    ),
)  # fmt: skip
