"""Looking a valve's type up where one that is not held is no fault."""

from __future__ import annotations

from psucheck.parts import UnknownPart, library
from psucheck.parts.valves import LoadValve

HEATERS_DIFFER = 0.05
"""Share by which a sound valve's heater current may differ from its sheet's (common practice, no source)."""


def load_valve(name: str) -> LoadValve | None:
    """A valve of the library, or None for a type that it lacks."""
    try:
        return library().load_valve(name)
    except UnknownPart:
        return None


def type_name(spelled: str) -> str:
    """A type by the library's own name, so that 12AX7 and ECC83 are one."""
    valve = load_valve(spelled)
    return valve.name if valve is not None else spelled
