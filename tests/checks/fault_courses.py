"""Courses of faults for the rules' tests: one invented amplifier, its currents by hand."""

from __future__ import annotations

from psucheck.circuit.faults import FaultKind, Lead
from psucheck.figures.faults import FaultCourse, FaultCurrents, RedPlate, Stage
from psucheck.figures.model import Level

MAINS, CENTRE_TAP = Lead("mains", 0), Lead("centre tap ht", 0)
FUSES = {"mains": "T2AH250V", "centre tap ht": "T500mAL250V"}


def currents(
    mains: float,
    ht: float,
    centre_tap: float | None = None,
    heaters: float = 3.9,
    plate: RedPlate | None = None,
) -> FaultCurrents:
    """The currents of the amplifier [A RMS]."""
    fuses = {MAINS: mains} if centre_tap is None else {MAINS: mains, CENTRE_TAP: centre_tap}
    windings = {"ht": (ht, 0.9 * ht), "heaters": (heaters,), "rectifier heater": (1.9,)}
    peaks = {lead: 2 * amps for lead, amps in fuses.items()}
    return FaultCurrents(fuses, peaks, windings, mains, 2 * mains, plate)


def course(
    *stages: Stage,
    kind: FaultKind = "shorted rectifier",
    at: str = "ht",
    cleared: bool = True,
    level: Level = "high",
) -> FaultCourse:
    """A course from idle on, with a fuse in the centre tap where the stages have one."""
    with_tap = not stages or CENTRE_TAP in stages[0].currents.fuses
    idle = currents(0.55, 0.11, 0.16 if with_tap else None)
    return FaultCourse(kind, at, level, 253.0, idle, stages, cleared)
