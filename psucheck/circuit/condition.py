"""A condition: what the amplifier is doing, and at which mains."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

State = Literal[
    "valves out",
    "cold",
    "warm-up",
    "idle",
    "full output",
    "standby open",
    "switch-on",
    "switch-on, valves cold",
    "hot restart",
    "standby closes",
    "sag",
    "switch-off",
    "switch-off, valves out",
]
"""``switch-on`` has all cathodes hot, those of the rectifier too, and starts from empty capacitors; in
``switch-on, valves cold`` only the rectifier conducts, and ``cold`` is where that settles. ``warm-up``: a
moment between ``cold`` and ``idle``, where the supply stands with the emission that the cathodes have by
then. ``hot restart``: mains back after a second without. ``sag``: idle, full output, idle."""

Level = Literal["low", "nominal", "high", "wall", "set"]
"""``set``: whatever a variac is set to; such a condition goes by its volts."""
Drawing = Literal["nothing", "as read", "idle", "full output"]

BURST = (0.1, 1.1)
"""The second of full output in ``sag`` [s]."""

TRANSIENT: tuple[State, ...] = (
    "switch-on",
    "switch-on, valves cold",
    "hot restart",
    "standby closes",
    "sag",
    "switch-off",
    "switch-off, valves out",
)


@dataclass(frozen=True, slots=True)
class Condition:
    """One operating condition.

    Attributes
    ----------
    state, level, volts
        What the amplifier is doing, at which mains level, and that level's volts [V RMS].
    """

    state: State
    level: Level
    volts: float
    as_read: bool = False
    """Everything draws just what was read, whatever its volts: the run in which the readings are placed."""
    seconds: float | None = None
    """How long after switch-on from cold [s]; only in ``warm-up``, elsewhere all that is heated is hot."""

    @property
    def name(self) -> str:
        """``"idle, nominal mains"``; ``"warm-up 11 s, high mains"``; ``"valves out, 24.3 V mains"``."""
        when = "" if self.seconds is None else f" {self.seconds:g} s"
        if self.level == "set":
            return f"{self.state}{when}, {self.volts:g} V mains"
        return f"{self.state}{when}, {self.level} mains"

    @property
    def drawing(self) -> Drawing:
        """What the valves draw."""
        if self.as_read:
            return "as read"
        if self.state in ("valves out", "cold", "switch-on, valves cold", "switch-off, valves out"):
            return "nothing"
        return "full output" if self.state == "full output" else "idle"

    @property
    def burst(self) -> tuple[float, float] | None:
        """From when to when the output stage is driven to full output [s]; None for not at all."""
        return BURST if self.state == "sag" else None

    @property
    def heaters(self) -> tuple[str, ...]:
        """The groups of heaters that are on their windings."""
        return ("rectifier",) if "valves out" in self.state else ("rectifier", "valves")

    @property
    def heaters_cold(self) -> bool:
        """Whether the heaters start cold."""
        return self.state == "switch-on, valves cold"

    @property
    def standby_open(self) -> bool:
        """Whether the standby switch is open."""
        return self.state == "standby open"

    @property
    def mains_on(self) -> bool:
        """Whether the supply is connected to the mains."""
        return not self.state.startswith("switch-off")

    @property
    def transient(self) -> bool:
        """Whether it is a course of events, not a steady state."""
        return self.state in TRANSIENT


@dataclass(frozen=True)
class Readings:
    """What the readings of the description amount to on the supply as found, at its wall voltage.

    Attributes
    ----------
    volts
        Node -> volts there when everything draws what was read; ``was`` where it was read.
    grid_shares
        Load -> grid volts over the volts of its bias node: where the pot stands.
    """

    volts: Mapping[str, float] = field(default_factory=dict)
    grid_shares: Mapping[str, float] = field(default_factory=dict)
    grid_volts: Mapping[str, float] = field(default_factory=dict)
    """Load -> grid volts at its idle point, where only the run of the readings tells them."""
    reset: bool = False
    """Whether the pot has been turned since the readings were taken."""
