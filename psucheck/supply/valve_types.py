"""Looking a valve's type up where one that is not held is no fault."""

from __future__ import annotations

from psucheck.parts import UnknownPart, library
from psucheck.parts.valves import LoadValve


def load_valve(name: str) -> LoadValve | None:
    """A valve of the library, or None for a type that it lacks."""
    try:
        return library().load_valve(name)
    except UnknownPart:
        return None
