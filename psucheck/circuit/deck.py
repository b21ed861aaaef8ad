"""A deck: the lines of a netlist without its analysis, the states it holds, and the guard before any run."""

from __future__ import annotations

import re
from dataclasses import dataclass

_OPTIONS = ".options reltol=1e-4 abstol=1e-9 vntol=1e-6 chgtol=1e-14 trtol=3 method=trap temp=27 tnom=27"
"""The same on every run, since the simulator keeps options from one run to the next in a process. How far a
figure still moves with the time step is kept with it."""

_LINE = re.compile(
    r"(\* [ -~]*|[rcdvbefRCDVBEF][a-z0-9]+ [ -~]*|\.model [a-z0-9]+ D ?\([ -~]*\)|\.options [ -~]*"
    r"|\.tran [ -~]*|\.meas tran [ -~]*|\.title [a-z0-9 ]*|\.end)"
)


class DeckError(ValueError):
    """A netlist line is none of those that psucheck writes; nothing is run."""


@dataclass(frozen=True)
class State:
    """A state of the deck: the SPICE capacitor that holds it, its nodes, and the scale of its size."""

    capacitor: str
    element: str
    plus: str
    minus: str
    scale: float
    accept: float
    """Accuracy that is asked of it, in units of scale."""


@dataclass(frozen=True)
class Deck:
    """A netlist without analysis, its states, and the vector that holds each element's current.

    A resistor has no vector of its own: its current follows from its nodes.
    """

    lines: tuple[str, ...]
    says: tuple[str, ...]
    states: tuple[State, ...]
    currents: dict[str, str]
    hertz: float


def check_deck(lines: tuple[str, ...] | list[str]) -> None:
    """Raise :class:`DeckError` unless every line is of a form that psucheck writes."""
    for line in lines:
        if not _LINE.fullmatch(line):
            raise DeckError(f"refused to run a netlist with this line: {line!r}")


def options_line() -> str:
    """The simulator options of every run."""
    return _OPTIONS
