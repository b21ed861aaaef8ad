"""Capacitor ripple current: the alternating current through each capacitor against its rating.

What it checks
--------------
The ripple current of every electrolytic at idle and at full output, at the mains where it is highest. Each
harmonic counts by how well the capacitor carries it: the currents are divided by the multiplier at their
frequency and added as squares, which gives the current at twice the mains frequency that heats the same.
The parts of a string each carry the whole current; sections of one can joined in parallel are one capacitor
here, and its rating is that of the can. Sections of one can (``can = "..."``) at several nodes warm each
other: beside each of them their heating together is held, each current as a share of its section's rating.

Why it matters
--------------
Ripple current heats a capacitor from inside, and each 10 K halve its life. The reservoir carries most of
it: more than the DC that the supply delivers. A first capacitor behind silicon carries more than behind a
valve.

Limit
-----
The rated ripple current at twice the mains frequency. Over: at idle, or as playing has it, a third of the
time at full output. Marginal: only in continuous full output. Without a rating it is not checked, except
where the loss in the capacitor, at the highest loss factor of an ordinary part, stays below 10 mW. Sections
that together make more heat than one of them at its rating are marginal: whether a rating is for one section
or for all at once, few sheets say.

Source
------
The rating: the can or its data sheet. Multipliers by frequency: Vishay 056/057, for parts above 100 V;
below that, no more than 1 is taken above twice the mains frequency. Added as squares of I/k: an application
note on the life of aluminium electrolytics. Highest loss factor: Lelon RGA. A third of the time: common
practice, no source.

What to change
--------------
A capacitor of a higher ripple rating: a larger can, a 105 degree type, snap-in in place of radial; or two
in parallel, as far as the rectifier allows.

A passing example
-----------------
A 50 uF reservoir rated 400 mA that carries 240 mA at 100 Hz at full output and 130 mA at idle: ok.

A failing example
-----------------
The same, rated 120 mA: 10 mA over at idle, and more when playing.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from functools import cache

from psucheck.checks.case import Case
from psucheck.checks.finding import Finding
from psucheck.checks.judging import LEVELS, against_duty, against_upper, highest, not_checked, share, shown
from psucheck.checks.limits import Limits
from psucheck.checks.rails import Placed, capacitors
from psucheck.checks.ratings import GIVEN
from psucheck.figures.model import Figures, State
from psucheck.parts import library
from psucheck.supply.model import Capacitor

ID = "capacitor-ripple-current"
TITLE = "Capacitor ripple current"

_TABLE_FROM_VOLTS = 100.0
"""The table of multipliers is for parts rated above this."""


def judge(case: Case, limits: Limits) -> Iterator[Finding]:
    """One finding an electrolytic, and one for each can with several sections."""
    cans: dict[str, list[Placed]] = {}
    for placed in capacitors(case.supply):
        if not placed.coupling:
            yield _judged(case, limits, placed)
        if placed.capacitor.can is not None:
            cans.setdefault(placed.capacitor.can, []).append(placed)
    for name, sections in cans.items():
        if len(sections) > 1:
            yield _of_can(case, limits, name, sections)


@cache
def _ratio(hertz: float, base_hertz: float) -> float:
    """The default family's multiplier at ``hertz`` over that at ``base_hertz`` [1]."""
    family = library().default_ripple_family
    at, base = family.ripple_multiplier(hertz), family.ripple_multiplier(base_hertz)
    if at is None or base is None:
        raise ValueError(f"{family.name} holds no multipliers of ripple current")
    return at.value / base.value


def multiplier(hertz: float, base_hertz: float, rated_volts: float | None) -> float:
    """By what the rated ripple current may be multiplied at ``hertz`` [1]; 1 at ``base_hertz``."""
    ratio = _ratio(hertz, base_hertz)
    return min(ratio, 1.0) if rated_volts is None or rated_volts <= _TABLE_FROM_VOLTS else ratio


def weighted(
    spectrum: tuple[tuple[float, float], ...], base_hertz: float, rated_volts: float | None
) -> float:
    """The current at ``base_hertz`` [A RMS] that heats a capacitor as ``spectrum`` (Hz, A RMS) does."""
    return math.sqrt(
        sum((amps / multiplier(hertz, base_hertz, rated_volts)) ** 2 for hertz, amps in spectrum if hertz > 0)
    )


def heat(capacitor: Capacitor, amps: float) -> float:
    """Loss in one part of a string [W] at ``amps`` RMS, with the highest resistance of a sound part."""
    if capacitor.esr is not None:
        return amps**2 * capacitor.esr
    family = library().default_tan_delta_family
    found = family.esr(capacitor.value, capacitor.voltage or 0.0)
    return math.inf if found is None else amps**2 * found.ohms


def _judged(case: Case, limits: Limits, placed: Placed) -> Finding:
    base = 2 * case.supply.mains.frequency
    part = placed.capacitor

    def carried(figures: Figures) -> float | None:
        found = figures.capacitors.get(placed.subject)
        return None if found is None else weighted(found.ripple_spectrum, base, part.voltage)

    def most(state: State) -> tuple[Figures, float] | None:
        return highest(case, (state,), LEVELS, carried)

    idle, full = most("idle"), most("full output")
    measure = f"read the ripple current rating at {base:.0f} Hz in the capacitor's data sheet"
    if idle is None:
        return not_checked(ID, placed.subject, why="No run gave its ripple current.", measure=measure)
    if part.ripple_current is None:
        return _unrated(limits, placed, max(idle, full or idle, key=lambda pair: pair[1]), measure)
    at_full = "" if full is None else f", {shown(full[1], 'A')} at full output"
    family = library().default_ripple_family
    cited = (
        "" if family.ripple_multipliers is None else f"; multipliers: {family.ripple_multipliers.citation}"
    )
    return against_duty(
        ID,
        placed.subject,
        idle,
        full,
        part.ripple_current,
        limits,
        why=f"It carries {shown(idle[1], 'A')} at idle{at_full}, as {base:.0f} Hz; rated "
        f"{shown(part.ripple_current, 'A')}.",
        source=f"rating {GIVEN}{cited}",
        change="Fit a part of a higher ripple rating, or two in parallel as far as the rectifier allows.",
    )


def _of_can(case: Case, limits: Limits, name: str, sections: list[Placed]) -> Finding:
    base, subject = 2 * case.supply.mains.frequency, f"can {name}"
    listed = ", ".join(placed.subject for placed in sections)

    def heating(figures: Figures) -> float | None:
        """Heat as a multiple of what one section makes at its rating [1]; None where something is missing."""
        total = 0.0
        for placed in sections:
            part, found = placed.capacitor, figures.capacitors.get(placed.subject)
            if found is None:
                return None
            amps = weighted(found.ripple_spectrum, base, part.voltage)
            if part.ripple_current is not None:
                total += (amps / part.ripple_current) ** 2
            elif heat(part, amps) > limits.value(f"{ID}.negligible"):
                return None
        return total

    idle, full = (highest(case, (state,), LEVELS, heating) for state in ("idle", "full output"))
    if idle is None:
        return not_checked(
            ID,
            subject,
            why=f"The heating of its sections together ({listed}) cannot be told.",
            measure=f"read the ripple current rating at {base:.0f} Hz in the capacitor's data sheet",
        )
    duty = limits.value("duty.full-output")
    playing = idle[1] if full is None else duty * full[1] + (1 - duty) * idle[1]
    figures, most = idle if full is None or playing <= idle[1] else (full[0], playing)
    held = against_upper(
        ID,
        subject,
        figures.name if most == idle[1] else f"{share(duty)} of the time at {figures.name}",
        100 * math.sqrt(most),
        100.0,
        "%",
        why=f"Its sections ({listed}) together heat it as one alone would at {share(math.sqrt(most))} of its "
        "rating.",
        source=f"ratings {GIVEN}; that sections of a can warm each other: common practice, no source",
        change="Fit a can of a higher ripple rating, or single capacitors.",
    )
    return replace(held, verdict="marginal") if held.verdict == "over" else held


def _unrated(limits: Limits, placed: Placed, found: tuple[Figures, float], measure: str) -> Finding:
    figures, amps = found
    entry = limits[f"{ID}.negligible"]
    watts = heat(placed.capacitor, amps)
    if watts > entry.value:
        return not_checked(
            ID,
            placed.subject,
            why=f"It carries {shown(amps, 'A')}; its ripple current rating is not given.",
            measure=measure,
            condition=figures.name,
            figure=amps,
            unit="A",
        )
    return Finding(
        rule=ID,
        subject=placed.subject,
        condition=figures.name,
        verdict="ok",
        why=f"{shown(amps, 'A')} makes at most {shown(watts, 'W')} in it: too little to need a rating.",
        source=entry.cited,
        figure=amps,
        unit="A",
    )
