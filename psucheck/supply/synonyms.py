"""The trade's two languages: words and keys that mean the same, and things that are refused by name."""

from __future__ import annotations

import re
from collections.abc import Collection

#: By the model's table name: other words for its keys.
KEYS: dict[str, dict[str, str]] = {
    "Supply": {
        "tubes": "valves",
        "line_up": "valves",
        "line": "mains",
        "wall": "mains",
        "power_transformer": "transformer",
        "mains_transformer": "transformer",
        "secondaries": "windings",
        "filters": "filter",
        "smoothing": "filter",
        "name": "title",
    },
    "Mains": {
        "line": "wall",
        "wall_voltage": "wall",
        "line_voltage": "wall",
        "today": "wall",
        "nominal": "voltage",
        "country": "system",
    },
    "Transformer": {"volt_amperes": "power", "magnetizing_current": "no_load_current"},
    "Device": {"tube": "type", "valve": "type", "filament": "heater", "piv": "reverse_voltage"},
    "Backup": {"diode": "type", "piv": "reverse_voltage"},
    "HeaterRating": {"voltage": "volts", "current": "amps"},
    "DropPoint": {"voltage": "volts", "current": "amps"},
    "ValveCount": {"tube": "type", "valve": "type"},
    "Rectifier": {
        "secondary": "winding",
        "diode": "device",
        "tube": "device",
        "valve": "device",
        "filament": "heater",
        "plate_resistors": "anode_resistors",
        "center_tap": "centre_tap",
    },
    "Node": {"cap": "capacitor", "condenser": "capacitor", "fed_from": "from"},
    "Capacitor": {"capacitance": "value", "ripple": "ripple_current", "rating": "voltage"},
    "Load": {
        "tubes": "valves",
        "tube": "valves",
        "plates": "anodes",
        "plate": "anodes",
        "anode": "anodes",
        "screen": "screens",
        "screen_resistor": "screen_resistors",
        "pulled": "missing",
    },
    "Idle": {"plate": "anode"},
    "Fuse": {"blow": "speed", "manufacturer": "maker"},
    "Switch": {"at": "place"},
}

#: Other words for the words that the model allows, in lower case with single spaces.
WORDS: dict[str, str] = {
    "center-tapped": "centre-tapped",
    "center tapped": "centre-tapped",
    "centre tapped": "centre-tapped",
    "center tap": "centre-tapped",
    "centre tap": "centre-tapped",
    "center-tap": "centre-tapped",
    "centre-tap": "centre-tapped",
    "full-wave ct": "centre-tapped",
    "full wave ct": "centre-tapped",
    "full-wave centre-tapped": "centre-tapped",
    "full-wave center-tapped": "centre-tapped",
    "full-wave bridge": "bridge",
    "full wave bridge": "bridge",
    "graetz": "bridge",
    "half wave": "half-wave",
    "halfwave": "half-wave",
    "full wave doubler": "full-wave doubler",
    "delon": "full-wave doubler",
    "delon doubler": "full-wave doubler",
    "half-wave doubler": "cascade doubler",
    "half wave doubler": "cascade doubler",
    "cascade": "cascade doubler",
    "greinacher": "cascade doubler",
    "villard": "cascade doubler",
    "minus": "negative",
    "neg": "negative",
    "plus": "positive",
    "pos": "positive",
    "toroid": "toroidal",
    "ring": "toroidal",
    "ei": "laminated",
    "e-i": "laminated",
    "tube": "valve",
    "vacuum": "valve",
    "solid state": "silicon",
    "solid-state": "silicon",
    "slow": "T",
    "slow-blow": "T",
    "time-lag": "T",
    "fast": "F",
    "quick": "F",
    "quick-acting": "F",
}

#: Words that could mean more than one of those allowed, and what to ask.
AMBIGUOUS: dict[str, str] = {
    **dict.fromkeys(
        ("full-wave", "full wave", "fullwave"),
        "full-wave with a centre tap, or a bridge? Write centre-tapped or bridge",
    ),
    **dict.fromkeys(
        ("doubler", "voltage doubler"),
        "which doubler? A full-wave doubler has both capacitors in series across the output, "
        "a cascade doubler has one side of the winding on the chassis",
    ),
}

_REGULATOR = (
    "a regulator is not modelled; describe the supply up to it and give its draw as a load with a current "
    "and constant = true"
)
_NEGATIVE_LEAD = (
    "a choke in the negative lead is not modelled, nor a resistor there but in the lead of a centre tap; "
    "nothing was checked, since every rail would be wrong by its drop"
)
_BACK_BIAS = (
    'back bias is described by its resistor, [series] "centre tap ht" = "220 ohm 10 W", and a node that is '
    'fed from there, from = "centre tap ht"'
)

#: Keys that name something psucheck does not model, and what to do about it.
NOT_MODELLED: dict[str, str] = {
    **dict.fromkeys(
        (
            "regulator",
            "voltage_regulator",
            "regulated",
            "stabilizer",
            "stabiliser",
            "vr_tube",
            "vr_valve",
            "voltage_reference",
        ),
        _REGULATOR,
    ),
    **dict.fromkeys(
        (
            "negative_choke",
            "negative_resistor",
            "ground_choke",
            "negative_lead",
        ),
        _NEGATIVE_LEAD,
    ),
    **dict.fromkeys(("back_bias", "back_bias_resistor"), _BACK_BIAS),
}

LIVE_CHASSIS = (
    "a supply without an isolating transformer (live chassis) is refused: its chassis and every part of it "
    "may stand at mains potential, and no reading taken on it from earth is safe"
)
LIVE_CHASSIS_WORDS = frozenset(
    {
        "none",
        "no",
        "transformerless",
        "live chassis",
        "live-chassis",
        "hot chassis",
        "ac/dc",
        "autotransformer",
        "auto-transformer",
    }
)

RESERVED_NAMES: dict[str, str] = {
    **dict.fromkeys(("ground", "chassis", "earth"), "the chassis, to which every supply returns"),
    "mains": "the mains",
    "none": "nothing",
    "cathode": "cathode bias",
    "middle": "the joint of two capacitors in series",
}

_HT = re.compile(r"(?<![\w+-])(ht|b\+)(?![\w+-])")


def key(table: str, spelled: str) -> str:
    """The model's word for a key of a table; ``spelled`` itself if it has no other."""
    return KEYS.get(table, {}).get(spelled, spelled)


def word(spelled: str, allowed: Collection[str]) -> str | None:
    """The allowed word that ``spelled`` means, or None."""
    plain = " ".join(spelled.split()).casefold()
    by_fold = {candidate.casefold(): candidate for candidate in allowed}
    meant = by_fold.get(plain) or WORDS.get(plain)
    return meant if meant in allowed else None


def reference(spelled: str, names: Collection[str]) -> str:
    """A reference to named things as the description names them.

    Upper and lower case are one, and so are HT and B+ where only one of the two is a name.
    """
    plain = " ".join(spelled.split()).lower()
    if plain in names:
        return plain

    def other(match: re.Match[str]) -> str:
        found, twin = match.group(1), "b+" if match.group(1) == "ht" else "ht"
        return twin if found not in names and twin in names else str(found)

    return _HT.sub(other, plain)
