"""Fuse inrush: whether every fuse rides through switch-on, window by window.

What it checks
--------------
Every fuse at every switch-on that was simulated, from cold, with the limiter hot, at the standby switch:
for every window from 1 ms to a minute, the highest RMS current over that window against the longest time
for which a fuse of this kind is sure to carry it. Where the fuse's melting I²t is known, pulses up to 0.1 s
are held against that instead.

Why it matters
--------------
The charge of the reservoir, the magnetising of the core and cold heaters come at different times and last
differently, so one sum of their I²t says little. A fuse that opens now and then at switch-on gets replaced
by a larger one, which then does not open in a fault.

Limit
-----
The shortest times of the standard's gate, which no sound fuse undercuts: inside them, read as steps, is ok,
and so is a current below 70 % of the line between the gate's points. Nearer to the line is marginal; beyond
it is over, since not every make survives it. With a known melting I²t: more than 29 % of it (10 000
switch-ons) is marginal, more than 48 % (100 switch-ons) is over. With an ideal core the magnetising inrush
is left out: the mains fuse is then not checked, unless it fails already.

Source
------
IEC 60127-2 and UL 248-14, as makers' sheets quote them; the line between their points and the 70 % of it are
common practice, no source. Pulse life: Littelfuse, Fuseology. Pulses shorter
than the gate's last point: its I²t, halved below half that time, derived from Bel's 5ST and 5HT tables.

What to change
--------------
A time-lag fuse of the same rating in place of a fast one; an inrush limiter in the primary; the maker's
melting I²t, where a ceramic fuse is meant. A larger fuse only if it still opens in the fault it is there
for.

A passing example
-----------------
``"before reservoir" = "T500mAL250V"`` with 1.1 A RMS over the worst 20 ms: 5 A are sure to be carried.

A failing example
-----------------
``"before reservoir" = "F250mAL250V"`` with 1.9 A RMS over the worst 20 ms: 0.88 A is sure to be carried.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from psucheck.checks import ratings
from psucheck.checks.case import Case
from psucheck.checks.described import SURGES
from psucheck.checks.finding import Finding
from psucheck.checks.fuse_gates import gates, hold
from psucheck.checks.judging import LEVELS, not_checked, share, shown, worst
from psucheck.checks.limits import Limits
from psucheck.checks.ratings import Rated
from psucheck.figures.model import Figures
from psucheck.parts import NotTabulated, library
from psucheck.supply.model import Fuse

ID = "fuse-inrush"
TITLE = "Fuse inrush"

NO_CORE = "core inrush not simulated"
"""The remark of a switch-on run without the magnetising of the core."""

# Longest pulse that is held against the melting I2t [s]. The element cools meanwhile, so that a real
# fuse stands more than this allows.
_ADIABATIC = 0.1


def judge(case: Case, limits: Limits) -> Iterator[Finding]:
    """One finding a fuse, under its place."""
    for place, fuse in case.supply.fuses.items():
        yield _judged(case, limits, place, fuse)


def _judged(case: Case, limits: Limits, place: str, fuse: Fuse) -> Finding:
    runs = [
        figures
        for figures in case.select(SURGES, LEVELS)
        if place in figures.places and figures.places[place].window_rms
    ]
    if not runs:
        return not_checked(
            ID,
            place,
            why="Switch-on was not simulated there.",
            measure="whether the fuse holds ten switch-ons, five minutes apart",
        )
    finding = worst(_in_run(figures, limits, place, fuse) for figures in runs)
    left_out = [figures.name for figures in runs if any(NO_CORE in remark for remark in figures.remarks)]
    if place != "mains" or not left_out or finding.verdict in ("over", "not checked"):
        return finding
    return not_checked(
        ID,
        place,
        why=f"The core is taken as ideal, without its inrush; the rest alone is "
        f"{finding.verdict}: {finding.why[:1].lower()}{finding.why[1:]}",
        measure="whether the mains fuse holds ten switch-ons, five minutes apart",
        source=finding.source,
        condition=finding.condition,
        figure=finding.figure,
        unit=finding.unit,
    )


def _in_run(figures: Figures, limits: Limits, place: str, fuse: Fuse) -> Finding:
    windows = figures.places[place].window_rms
    melting = {short: known_melting(fuse, short=short) for short in (False, True)}
    findings = []
    for seconds, amps in windows:
        i2t = melting[seconds < 0.01]
        if i2t is not None and seconds <= _ADIABATIC:
            findings.append(_against_melting(figures, limits, place, fuse, seconds, amps, i2t))
        else:
            findings.append(_against_gate(figures, limits, place, fuse, seconds, amps))
    return worst(findings)


def _change(fuse: Fuse) -> str:
    limiter = "an inrush limiter in the primary"
    if fuse.speed in ("T", "TT"):
        return f"Fit {limiter}, or the next value that still opens in a fault."
    return f"Fit a time-lag fuse of the same rating, or {limiter}."


def known_melting(fuse: Fuse, *, short: bool) -> Rated | None:
    """Melting I²t [A^2 s] as given, else as the maker's table has it if the maker and series are named."""
    if fuse.melting_i2t is not None:
        return Rated.given(fuse.melting_i2t)
    if fuse.maker is None:
        return None
    try:
        return Rated.held(library().fuses.melting_i2t(fuse.maker, fuse.current, short_pulse=short))
    except NotTabulated:
        return None


def _against_melting(
    figures: Figures, limits: Limits, place: str, fuse: Fuse, seconds: float, amps: float, melting: Rated
) -> Finding:
    few, many = limits[f"{ID}.pulses-100"], limits[f"{ID}.pulses-10000"]
    pulse = amps**2 * seconds
    part = pulse / melting.value
    return ratings.hold_upper(
        ID,
        place,
        figures.name,
        pulse,
        Rated(
            few.value * melting.value, f"{melting.source}; {few.cited}", melting.recalled, melting.doubtful
        ),
        "A^2 s",
        why=f"{shown(amps, 'A')} RMS over {shown(seconds, 's')} is {share(part)} of the fuse's melting I²t.",
        practice=many.value / few.value,
        change=_change(fuse),
    )


def _against_gate(
    figures: Figures, limits: Limits, place: str, fuse: Fuse, seconds: float, amps: float
) -> Finding:
    known = gates(fuse)
    if not known:
        return _no_gate(figures, place, fuse, seconds, amps)
    gate, held = min(((gate, hold(gate, seconds)) for gate in known), key=lambda pair: pair[1].line)
    if not held.stated and amps > held.step:
        return _no_gate(figures, place, fuse, seconds, amps)
    finding = ratings.hold_upper(
        ID,
        place,
        figures.name,
        amps,
        Rated(held.line, f"{gate.source}, shortest times", recalled=gate.status == "recalled"),
        "A",
        why=f"{shown(amps, 'A')} RMS over the worst {shown(seconds, 's')}; this marking is sure to carry "
        f"{shown(held.step, 'A')} that long.",
        change=_change(fuse),
    )
    near = limits.value(f"{ID}.near-line") * held.line
    if finding.verdict == "ok" and amps > max(held.step, near):
        between = ratings.softened(finding, "between the gate's points it may")
        return replace(between, change=_change(fuse))
    return finding


def _no_gate(figures: Figures, place: str, fuse: Fuse, seconds: float, amps: float) -> Finding:
    return not_checked(
        ID,
        place,
        why=f"{shown(amps, 'A')} RMS over the worst {shown(seconds, 's')}; no standard says how long a "
        f"{fuse.standard} {fuse.speed} fuse of {shown(fuse.current, 'A')} carries that.",
        measure="maker and series of the fuse, or its melting I2t (melting_i2t = ...)",
        condition=figures.name,
        figure=amps,
        unit="A",
    )
