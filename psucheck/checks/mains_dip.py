"""Mains dip: how far switching on pulls down the mains of the house.

What it checks
--------------
The mains current of a switch-on from cold at high mains and at the worst phase, as RMS over half a cycle,
times the impedance of the supply, over the nominal voltage. Only for mains of 220 to 250 V and 50 Hz: the
standard is written for those.

Why it matters
--------------
A large toroid blinks the lights, and one that dips them far also trips the breaker of the room now and
then. It is a nuisance to others and hurts nothing.

Limit
-----
7 %: what is allowed to equipment that is switched by hand, attended, or twice a day at most; above is
marginal. Above 4 %, the limit for what switches by itself, is told.

The impedance is the one described, else the reference impedance of the standard. The product with the full
impedance is the most that the dip can be, since the two are not quite in phase; and the standard measures
at nominal mains, where the core takes less.

Source
------
IEC 61000-3-3 and the reference impedance of IEC 60725 (both from memory).

What to change
--------------
An inrush limiter in the mains lead, with the mains fuse checked again; or leave it, and know why.

A passing example
-----------------
11.7 A over half a cycle through 0.47 ohm on 230 V: 2.4 %.

A failing example
-----------------
A toroid that takes 45 A over half a cycle: 9.2 %.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from psucheck.checks.case import Case
from psucheck.checks.described import STARTS
from psucheck.checks.finding import Finding
from psucheck.checks.judging import LEVELS, against_upper, highest, not_checked, shown
from psucheck.checks.limits import Limits
from psucheck.figures.model import Figures
from psucheck.parts import library
from psucheck.supply.notation import place

ID = "mains-dip"
TITLE = "Mains dip"

_VOLTS, _HERTZ = (220.0, 250.0), 50.0
"""The mains that the standard is written for."""


def judge(case: Case, limits: Limits) -> Iterator[Finding]:
    """One finding, of the mains."""
    mains = case.supply.mains
    if not _VOLTS[0] <= mains.voltage <= _VOLTS[1] or mains.frequency != _HERTZ:
        return
    found = highest(case, STARTS, LEVELS, lambda figures: half_cycle(figures, mains.frequency))
    if found is None:
        yield not_checked(
            ID, "mains", why="No run gave the current at switch-on.", measure="whether the lights dip"
        )
        return
    figures, amps = found
    reference = library().reference_impedance
    ohms = reference.value.magnitude if mains.impedance is None else mains.impedance
    most, told = limits[f"{ID}.by-hand"], limits[f"{ID}.by-itself"]
    dip = amps * ohms / mains.voltage
    noted = f"; lights may blink (above {shown(100 * told.value, '%')})" if dip > told.value else ""
    held = against_upper(
        ID,
        "mains",
        figures.name,
        100 * dip,
        100 * most.value,
        "%",
        why=f"Up to {shown(amps, 'A')} RMS over half a cycle through {shown(ohms, 'ohm')} dips the mains by "
        f"{shown(100 * dip, '%')} at most{noted}.",
        source=most.cited if mains.impedance is not None else f"{most.cited}; {reference.citation}",
        guessed=case.guessed("transformer."),
        change="An inrush limiter in the mains lead would soften it; check the mains fuse again with it.",
    )
    yield replace(held, verdict="marginal") if held.verdict == "over" else held


def half_cycle(figures: Figures, hertz: float) -> float | None:
    """Highest mains current of a switch-on, RMS over half a cycle [A].

    Exact where something stands in the mains lead; else that of a half sine of the same peak, which no
    inrush pulse exceeds, since all are narrower.
    """
    wanted = 0.5 / hertz
    for text, found in figures.places.items():
        if place(text)["kind"] == "mains":
            for seconds, amps in found.window_rms:
                if math.isclose(seconds, wanted, rel_tol=0.01):
                    return amps
    supply = figures.mains_supply
    return None if supply is None else supply.peak_current / math.sqrt(2)
