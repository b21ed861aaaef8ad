"""The library of parts: rectifiers, valves, fuses, mains systems, passive parts, each value with its source.

``library()`` gives the parts; nothing is read or validated before it is asked for. The types are in the
modules of this package (``rectifiers``, ``valves``, ``fuses``, ``mains``, ``capacitors``, ``resistors``,
``wound``); a value with its source is a ``sourced.Sourced``.

A description may bring parts of its own. Whatever works on one supply puts that supply's library in force
first, ``with in_force(supply.library)``: reading it, filling it, judging it do.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache
from typing import TYPE_CHECKING

from psucheck.parts.errors import BadPartsData, NotTabulated, UnknownPart

if TYPE_CHECKING:
    from psucheck.parts.shelves import Library

__all__ = ["BadPartsData", "NotTabulated", "UnknownPart", "in_force", "library", "shipped"]

_in_force: ContextVar[Library | None] = ContextVar("library_in_force", default=None)


def library() -> Library:
    """The library in force: that of the supply at hand, else the one that ships with psucheck."""
    return _in_force.get() or shipped()


@cache
def shipped() -> Library:
    """The library that ships with psucheck; its files are read when first needed."""
    # Imported here because the models need pydantic, which a command's help does not.
    from psucheck.parts.shelves import Library

    return Library()


@contextmanager
def in_force(held: Library | None) -> Iterator[None]:
    """Let :func:`library` be ``held`` within; None: the library that ships with psucheck."""
    token = _in_force.set(held)
    try:
        yield
    finally:
        _in_force.reset(token)
