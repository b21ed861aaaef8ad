"""A cause: what has gone wrong where, how likely that is before any reading, and how it is put in."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from psucheck.bench.amplifier import Amplifier
from psucheck.circuit.condition import State
from psucheck.quantity import show

Put = Callable[..., Amplifier]
"""Puts a cause into an amplifier, which itself stays as it was: called with the amplifier and the size."""

EVERYWHERE: frozenset[State] = frozenset({"valves out", "idle", "full output"})
VALVES_IN: frozenset[State] = frozenset({"idle", "full output"})


@dataclass(frozen=True, slots=True)
class Size:
    """How large a cause can be.

    Attributes
    ----------
    says
        A text with the size in it, for ``str.format``: ``"{:.0%} of its value is left"``; with a ``unit`` the
        size is written as that quantity.
    low, high
        Ends of the range in which it is looked for, every size in it as likely as any other on the scale.
    tried
        Sizes at which it is simulated, rising; between them it is interpolated.
    logarithmic
        Whether that scale is logarithmic.
    """

    says: str
    tried: tuple[float, ...]
    logarithmic: bool = True
    mild: Literal["low", "high"] = "low"
    """At which end it does least; from there the search for its effect starts."""
    unit: str = ""

    @property
    def low(self) -> float:
        """Smallest size."""
        return self.tried[0]

    @property
    def high(self) -> float:
        """Largest size."""
        return self.tried[-1]

    def in_words(self, size: float) -> str:
        """The size for people."""
        said = self.says.format(show(size, self.unit, 2) if self.unit else size)
        return re.sub(r"(\d)%", r"\1 %", said)

    def scale(self, size: float) -> float:
        """Where a size stands on the scale on which all are alike."""
        return float(np.log(size)) if self.logarithmic else size

    def size(self, at: float) -> float:
        """The size at a place of the scale."""
        return float(np.exp(at)) if self.logarithmic else at


@dataclass(frozen=True)
class Cause:
    """One thing that may be wrong.

    Attributes
    ----------
    id
        What kind of thing: ``"dried capacitor"``.
    at
        Where: a node, a winding, a socket, in the description's words.
    says
        Both, in trade words.
    weight
        How likely it is before any reading, as a share of all faults [%]: common practice, a guess.
    size
        Its size; None for one that is there or not.
    put
        Puts it into an amplifier.
    states
        In which states of the amplifier it shows at all.
    blows
        The fuses that it opens where the mains are not far down, the one nearest to it last.
    blows_in
        In which states it does.
    dead
        Whether nothing at all reaches the transformer.
    scales
        Whether every rail goes with its size.
    """

    id: str
    at: str
    says: str
    weight: float
    put: Put = field(compare=False)
    size: Size | None = None
    states: frozenset[State] = EVERYWHERE
    blows: tuple[str, ...] = ()
    blows_in: frozenset[State] = EVERYWHERE
    dead: bool = False
    scales: bool = False
    blown: bool = False
    """Whether its fuse has opened by the time the ohms are read."""

    @property
    def key(self) -> str:
        """``"dried capacitor: reservoir"``."""
        return f"{self.id}: {self.at}"

    def in_words(self, size: float | None) -> str:
        """The cause with its size, if it has one."""
        if self.size is None or size is None:
            return self.says
        return f"{self.says} ({self.size.in_words(size)})"
