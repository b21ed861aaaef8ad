"""The units of the data files' keys: a key ends with the name of its unit, ``anode_volts``, ``plus_amps``."""

from __future__ import annotations

_BY_ENDING = {
    "melting_i2t": "A^2 s",
    "below_10_ms": "A^2 s",
    "watts_per_kelvin": "W/K",
    "amps_per_volt_1_5": "A/V^1.5",
    "amps_per_square_mm": "A/mm^2",
    "per_farad_volt": "A/(F V)",
    "volt_amperes": "VA",
    "volts": "V",
    "amps": "A",
    "ohms": "ohm",
    "farads": "F",
    "henries": "H",
    "watts": "W",
    "joules": "J",
    "seconds": "s",
    "shortest": "s",
    "longest": "s",
    "hertz": "Hz",
    "celsius": "degC",
    "kelvin": "K",
    "hours": "h",
    "years": "years",
    "nominal": "V",
    "low": "V",
    "high": "V",
}
"""Endings of keys; of two that fit, the one that stands first."""

_TELLING = ("melting_i2t", "below_10_ms", "shortest", "longest", "nominal", "low", "high")
"""Endings that say more than the unit."""


def unit_of(key: str) -> str:
    """The unit of the quantity under ``key``; empty for a ratio, a word, or what has no unit."""
    return next((unit for ending, unit in _BY_ENDING.items() if _ends(key, ending)), "")


def unit_within(key: str) -> str:
    """The unit that a key names first, wherever in it: ohm of ``primary_ohms_230_volts``; empty if none."""
    return next((_BY_ENDING[word] for word in key.split("_") if word in _BY_ENDING), "")


def without_unit(key: str) -> str:
    """What of ``key`` is not the unit's name, in words: ``anode`` of ``anode_volts``; empty for ``volts``."""
    ending = next((ending for ending in _BY_ENDING if _ends(key, ending)), None)
    if ending is None or ending in _TELLING:
        return "" if key in ("value", "ratio") else key.replace("_", " ")
    return key.removesuffix(ending).rstrip("_").replace("_", " ")


def _ends(key: str, ending: str) -> bool:
    return key == ending or key.endswith(f"_{ending}")
