"""A fault's course in words: which fuse opens when, and what the winding carries."""

from __future__ import annotations

from psucheck.checks.copper import PRIMARY
from psucheck.checks.judging import shown
from psucheck.checks.winding_heat import Burning
from psucheck.figures.faults import FaultCourse, Stage
from psucheck.supply.model import Supply


def told(supply: Supply, course: FaultCourse, worst: Burning | None) -> str:
    """The course in words: which fuse opens when, and what the winding carries."""
    steps = []
    for stage in course.stages:
        if stage.opens is not None and stage.at_latest is not None:
            amps, time = shown(stage.currents.fuses[stage.opens], "A"), shown(stage.at_latest, "s")
            steps.append(f"{lead_words(supply, stage)} opens within {time} at {amps}")
    if not course.cleared:
        steps.append(_stays(course.stages[-1], bool(steps)))
    said = "; then ".join(steps)
    if worst is not None:
        seconds = shown(float(f"{worst.copper_seconds:.2g}"), "s")
        said += (
            f". The {worst.winding} {'winding ' if worst.winding != PRIMARY else ''}carries "
            f"{shown(worst.amps, 'A')} and would be at {shown(worst.end, 'degC')} in {seconds}"
        )
    return f"{said[:1].upper()}{said[1:]}."


def _stays(stage: Stage, then: bool) -> str:
    busiest = max(stage.currents.fuses.items(), key=lambda pair: pair[1], default=None)
    if busiest is None or busiest[1] < 1e-3:
        return "no fuse is left in its way"
    still = "no other fuse" if then else "no fuse"
    return f"{still} need open ({busiest[0].place} carries {shown(busiest[1], 'A')})"


def lead_words(supply: Supply, stage: Stage) -> str:
    """The fuse that opens at a stage: its place, with its marking's current."""
    assert stage.opens is not None
    fuse = supply.fuses[stage.opens.place]
    return f"{stage.opens.place} ({fuse.speed} {shown(fuse.current, 'A')})"
