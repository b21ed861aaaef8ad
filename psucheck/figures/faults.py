"""The currents of a fault: through every fuse, winding and the primary, and what valves without bias burn."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from psucheck.circuit.faults import FaultKind, Lead
from psucheck.figures.model import Level


@dataclass(frozen=True, slots=True)
class RedPlate:
    """What one valve that lost its bias passes and burns: anode A and W, and anode V."""

    load: str
    type: str
    valves: int
    """How many of the load's valves lost it."""
    amps: float
    volts: float
    watts: float


@dataclass(frozen=True)
class FaultCurrents:
    """The currents of one fault once they repeat from cycle to cycle [A RMS]; peaks [A] over the whole run.

    ``fuses`` and ``fuse_peaks``: every lead with a fuse. ``windings``: RMS of each section.
    """

    fuses: Mapping[Lead, float]
    fuse_peaks: Mapping[Lead, float]
    windings: Mapping[str, tuple[float, ...]]
    primary: float
    primary_peak: float
    red_plate: RedPlate | None = None


@dataclass(frozen=True)
class Stage:
    """One step of a fault's course: its currents, and the fuse that then opens.

    ``opens`` is None where no fuse is sure to. ``at_latest`` [s from the stage's beginning] is by the gate's
    longest time read as a step, ``on_line`` by that on the line between the gate's points; None for none.
    """

    currents: FaultCurrents
    opens: Lead | None = None
    at_latest: float | None = None
    on_line: float | None = None


@dataclass(frozen=True)
class FaultCourse:
    """A fault at one mains: what flows, which fuse opens, what flows then, until it is cleared or none opens.

    ``idle`` are the currents before it. ``cleared``: no winding carries more than it is rated for in the
    end.
    """

    kind: FaultKind
    at: str
    level: Level
    mains: float
    idle: FaultCurrents
    stages: tuple[Stage, ...]
    cleared: bool

    @property
    def subject(self) -> str:
        """``"shorted reservoir: reservoir"``; a lost bias is one, whether of all valves or of one."""
        return f"{self.kind.removesuffix(' of one valve')}: {self.at}"

    @property
    def condition(self) -> str:
        """``"low mains"``."""
        return f"{self.level} mains"
