"""What is said of valves that lose their bias while no fuse need open."""

from __future__ import annotations

from psucheck.checks.case import Case
from psucheck.checks.judging import shown
from psucheck.checks.ratings import load_valve
from psucheck.figures.faults import FaultCourse, RedPlate
from psucheck.parts import in_force


def red_plates(case: Case) -> list[str]:
    """A sentence for each load whose valves go on red for good once they have lost their bias.

    Told of the worst of mains, and of all valves or one, in which no fuse need open.
    """
    worst: dict[str, RedPlate] = {}
    with in_force(case.supply.library):
        for course in case.faults or ():
            found = lasting(course)
            if found is not None and (found.load not in worst or found.watts > worst[found.load].watts):
                worst[found.load] = found
        return [_said(found, fused=bool(case.supply.fuses)) for found in worst.values()]


def lasting(course: FaultCourse) -> RedPlate | None:
    """The red plate of a course at whose end no fuse need open; None for none."""
    if not course.stages or course.stages[-1].opens is not None:
        return None
    found = course.stages[-1].currents.red_plate
    part = None if found is None else load_valve(found.type)
    if found is None or part is None or found.watts <= part.anode_watts.value:
        return None
    return found


def _said(found: RedPlate, *, fused: bool) -> str:
    part = load_valve(found.type)
    assert part is not None  # else nothing was known to be too much
    who = f"If the bias is lost, each {found.type} passes"
    if found.valves == 1:
        who = f"If one {found.type} loses its bias, it passes"
    rated = shown(part.anode_watts.value, "W")
    open_for = "that no fuse need open for" if fused else "and no fuse described"
    return (
        f"{who} {shown(found.amps, 'A')} and burns {found.watts:.0f} W (rated {rated}) "
        f"until switched off: a red plate {open_for}."
    )
