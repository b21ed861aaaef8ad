"""Fuse running current: the RMS current through every fuse against its rating.

What it checks
--------------
Every fuse, by the RMS current at its place: at idle, with full output for a third of the time, and at
continuous full output, at the worst mains.

Why it matters
--------------
A fuse on the edge of its rating ages, and opens on some warm evening for no fault at all. The rail behind a
rectifier is fused by RMS as well: on the AC side that is far more than the direct current.

Limit
-----
The rating, less 0.5 % for each degree that the inside of the amplifier is warmer than 25 degC; 40 degC is
taken. An IEC fuse may carry that for good; above 80 % is marginal. A UL fuse may carry 75 % for good, so
above 75 % is marginal. Both are over above the whole, and marginal where only continuous full output is
above it.

Source
------
UL: Littelfuse, Fuseology. IEC: ibex.tech on European and American fuses; the 80 %: common practice, no
source. The 0.5 %: a straight line through one Schurter figure, for want of a curve of glass time-lag fuses;
40 degC and the third: common practice, no source.

What to change
--------------
First find out why the current is high. A larger fuse only where the transformer's winding still survives
the fault that the fuse is there for.

A passing example
-----------------
``mains = "T2AL250V"`` carrying 0.55 A at idle and 0.92 A at full output.

A failing example
-----------------
``mains = "T630mAL250V"`` carrying 0.71 A at idle.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from psucheck.checks import ratings
from psucheck.checks.case import Case
from psucheck.checks.finding import Finding
from psucheck.checks.judging import LEVELS, duty_rms, highest, not_checked, share, shown
from psucheck.checks.limits import Limits
from psucheck.checks.ratings import Rated
from psucheck.figures.model import Figures
from psucheck.supply.model import Fuse

ID = "fuse-running"
TITLE = "Fuse running current"

_CHANGE = "Find what draws it; a larger fuse only if the winding still survives the fault it is there for."


def judge(case: Case, limits: Limits) -> Iterator[Finding]:
    """One finding a fuse, under its place."""
    for place, fuse in case.supply.fuses.items():
        yield _judged(case, limits, place, fuse)


def derated(fuse: Fuse, limits: Limits) -> float:
    """What the fuse carries at the temperature taken for the inside of an amplifier [A]."""
    warmer = limits.value(f"{ID}.ambient") - limits.value(f"{ID}.rated-at")
    return fuse.current * (1 - limits.value(f"{ID}.per-kelvin") * warmer)


def _judged(case: Case, limits: Limits, place: str, fuse: Fuse) -> Finding:
    def amps(figures: Figures) -> float | None:
        found = figures.places.get(place)
        return None if found is None else found.rms_current

    idle, full = highest(case, ("idle",), LEVELS, amps), highest(case, ("full output",), LEVELS, amps)
    if idle is None:
        return not_checked(
            ID,
            place,
            why="No run gave the current there.",
            measure="true-RMS current through the fuse at idle",
        )
    entry = limits[f"{ID}.{fuse.standard.lower()}-practice"]
    ambient = limits.value(f"{ID}.ambient")
    rated = Rated(derated(fuse, limits), f"{fuse.standard} rating at {shown(ambient, 'degC')}; {entry.cited}")

    def why(figure: float) -> str:
        return (
            f"{shown(figure, 'A')} RMS through a fuse of {shown(fuse.current, 'A')}, good for "
            f"{shown(rated.value, 'A')} at {shown(ambient, 'degC')}"
        )

    finding = ratings.hold_duty(ID, place, idle, full, rated, limits, why=why, change=_CHANGE)
    return (
        finding
        if finding.verdict != "ok"
        else _against_practice(limits, finding, idle, full, entry.value, why)
    )


def _against_practice(
    limits: Limits,
    finding: Finding,
    idle: tuple[Figures, float],
    full: tuple[Figures, float] | None,
    practice: float,
    why: Callable[[float], str],
) -> Finding:
    """Make ``ok`` marginal where hard playing takes more than the usual share of the fuse's rating."""
    assert finding.limit is not None  # it was held against one
    duty = limits.value("duty.full-output")
    playing = idle[1] if full is None else duty_rms(idle[1], full[1], duty)
    most = max(idle[1], playing)
    if most <= practice * finding.limit:
        return finding
    hard = most > idle[1] and full is not None
    return replace(
        finding,
        verdict="marginal",
        condition=f"{share(duty)} of the time at {full[0].name}" if hard and full else idle[0].name,
        figure=most,
        margin=(finding.limit - most) / finding.limit,
        why=f"{why(most)}, and more than {share(practice)} of that.",
        change=_CHANGE,
    )
