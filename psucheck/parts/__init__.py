"""The library of parts: rectifiers, valves, fuses, mains systems, passive parts, each value with its source.

``library()`` gives the parts; nothing is read or validated before it is asked for. The types are in the
modules of this package (``rectifiers``, ``valves``, ``fuses``, ``mains``, ``capacitors``, ``resistors``,
``wound``); a value with its source is a ``sourced.Sourced``.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from psucheck.parts.errors import BadPartsData, NotTabulated, UnknownPart

if TYPE_CHECKING:
    from psucheck.parts.shelves import Library

__all__ = ["BadPartsData", "NotTabulated", "UnknownPart", "library"]


@cache
def library() -> Library:
    """The one library of this process; its files are read when first needed."""
    # Imported here because the models need pydantic, which a command's help does not.
    from psucheck.parts.shelves import Library

    return Library()
