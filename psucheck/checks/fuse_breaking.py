"""Fuse breaking capacity: the current of each fault against what the fuse in its way can interrupt.

What it checks
--------------
Every fuse on the AC side: the largest current that any of the simulated faults drives through it, at low and
at high mains, against the breaking capacity that its marking states. Of the mains fuse it is told, and not
judged, what a short in the wiring behind it could draw.

Why it matters
--------------
Beyond its breaking capacity a fuse may not put out its arc: it goes on conducting, or bursts. What flows
through the transformer is limited by its windings; a short before it is limited by the house wiring alone.

Limit
-----
At 250 V AC, by the letter of the marking: L 35 A or ten times the rating, whichever is more; E 150 A; H 1500
A. UL fuses by rating and voltage. Without a letter it is taken for L, a guess. Fuses in a DC rail have no
such figure; of their voltage another rule speaks.

Source
------
IEC 60127-2 and UL 248-14, as makers' sheets quote them.

What to change
--------------
A fuse of high breaking capacity (H, ceramic, filled with sand) of the same rating and speed.

A passing example
-----------------
``mains = "T2AL250V"`` at 9.7 A with a shorted arm: 35 A allowed.

A failing example
-----------------
``mains = "T2AL250V"`` at 47 A with a shorted arm behind a toroid of little resistance.
"""

from __future__ import annotations

from collections.abc import Iterator

from psucheck.checks.case import Case
from psucheck.checks.finding import Finding
from psucheck.checks.judging import against_upper, not_checked, shown
from psucheck.checks.limits import Limits
from psucheck.figures.faults import FaultCourse
from psucheck.parts import NotTabulated, library
from psucheck.supply.model import Fuse

ID = "fuse-breaking"
TITLE = "Fuse breaking capacity"

_MAINS = "mains"


def judge(case: Case, limits: Limits) -> Iterator[Finding]:
    """One finding a fuse on the AC side; none where no fault was run."""
    for place, fuse in case.supply.fuses.items():
        worst = _worst(case, place)
        if worst is not None and not _in_a_rail(case, place):
            yield _judged(case, place, fuse, *worst)


def _worst(case: Case, place: str) -> tuple[FaultCourse, float] | None:
    """The course that drives most through a fuse, and that current [A RMS]."""
    found = [
        (course, amps)
        for course in case.faults or ()
        for stage in course.stages
        for lead, amps in stage.currents.fuses.items()
        if lead.place == place
    ]
    return max(found, key=lambda pair: pair[1], default=None)


def _in_a_rail(case: Case, place: str) -> bool:
    return any(figures.places[place].dc for figures in case.figures.values() if place in figures.places)


def _judged(case: Case, place: str, fuse: Fuse, course: FaultCourse, amps: float) -> Finding:
    held = _capacity(fuse)
    where = f"{course.subject}, {course.condition}"
    if held is None:
        return not_checked(
            ID,
            place,
            why=f"A fault drives up to {shown(amps, 'A')} through it; its breaking capacity is not known.",
            measure="the breaking capacity on the sheet of the fuse",
            condition=where,
            figure=amps,
            unit="A",
        )
    capacity, source = held
    unmarked = fuse.standard == "IEC" and fuse.breaking is None
    return against_upper(
        ID,
        place,
        where,
        amps,
        capacity,
        "A",
        why=f"A fault drives up to {shown(amps, 'A')} through it; it breaks {shown(capacity, 'A')}"
        + (", if it is the L kind" if unmarked else "")
        + f".{_of_the_wiring(case, capacity) if place == _MAINS else ''}",
        source=source,
        guessed=unmarked,
        change="Fit one of high breaking capacity (H) of the same rating and speed.",
    )


def _capacity(fuse: Fuse) -> tuple[float, str] | None:
    """What a fuse breaks [A], and the source; None where no figure is held for its rating and voltage."""
    held = library().fuses
    if fuse.standard == "IEC":
        letter = fuse.breaking or "L"
        entry = {"L": held.iec_breaking.L, "E": held.iec_breaking.E, "H": held.iec_breaking.H}[letter]
        return held.breaking_capacity(letter, fuse.current), entry.citation
    volts = fuse.voltage or 250.0
    try:
        amps = held.ul_breaking_capacity(fuse.current, volts)
    except NotTabulated:
        return None
    low = volts <= 125.0
    return amps, (held.ul_breaking.at_125_volts if low else held.ul_breaking.at_250_volts).citation


def _of_the_wiring(case: Case, capacity: float) -> str:
    """What a short before the transformer could draw, where that is more than the fuse breaks."""
    mains = case.supply.mains
    taken = next((one.value for one in case.assumptions if one.key == "mains.impedance"), None)
    ohms = mains.impedance or taken
    if not ohms or mains.voltage / ohms <= capacity:
        return ""
    return (
        f" A short of its wires before the transformer could draw {shown(mains.voltage / ohms, 'A')}, which "
        "is for the fuse of the house, or for one marked H."
    )
