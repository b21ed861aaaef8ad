"""Inrush limiter: the steady current of an NTC, what it still drops, and what it does when it is hot.

What it checks
--------------
Every limiter: the RMS current at its place at idle and at full output against the rating of its type; the
resistance that is left at idle; and the peak of a hot restart against that of a start from cold.

Why it matters
--------------
Above its rating a limiter cracks, or unsolders itself: it runs at 150 degC and more when all is well. One
that is too large for the amplifier never gets hot: it stays at several ohms, drops some volts that move
with the load, and the heaters are the first to miss them. And one that is hot limits nothing: a restart
within a minute meets the full inrush.

Limit
-----
The rated steady current of the type; over at idle or with full output for a third of the time, marginal
where only continuous full output exceeds it. More than 2 % of the volts at its place dropped at idle is
told. A limiter of no type is known at one point only: no more current than there is taken as inside, more
is not checked.

Source
------
The data sheet of the type as the part library holds it. 2 %: common practice, no source.

What to change
--------------
A type of more amps; where it stays too cold, one of fewer, or of less cold resistance.

A passing example
-----------------
A SL10 10003 (3 A) that carries 0.8 A at idle and 1.4 A at full output.

A failing example
-----------------
The same type in an amplifier that draws 3.4 A from 120 V at idle.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from psucheck.checks import ratings
from psucheck.checks.case import Case
from psucheck.checks.described import STARTS
from psucheck.checks.finding import Finding
from psucheck.checks.judging import LEVELS, highest, not_checked, shown
from psucheck.checks.limits import Limits
from psucheck.checks.ratings import Rated
from psucheck.figures.model import Figures, State
from psucheck.parts import library
from psucheck.supply.fill_limiter import ROOM_KELVIN, fill_limiter
from psucheck.supply.filled import FilledLimiter
from psucheck.supply.model import Limiter

ID = "inrush-limiter"
TITLE = "Inrush limiter"

_HOTTEST = 1000.0
"""Rise in temperature [K] beyond which none is looked for; a limiter is long gone there."""


def judge(case: Case, limits: Limits) -> Iterator[Finding]:
    """One finding a limiter, under its place."""
    for place, limiter in case.supply.limiters.items():
        yield _judged(case, limits, place, limiter)


def steady_ohms(limiter: FilledLimiter, amps: float) -> float:
    """Resistance [ohm] at which a limiter settles with ``amps`` RMS through it.

    Its heat I^2 R(T) equals what it loses, D (T - T25), with R(T) = R25 exp(B (1/T - 1/T25)); found by
    bisection, since the first falls with T and the second rises.
    """

    def ohms(rise: float) -> float:
        return limiter.cold * math.exp(limiter.beta * (1 / (ROOM_KELVIN + rise) - 1 / ROOM_KELVIN))

    low, high = 0.0, _HOTTEST
    for _ in range(60):
        rise = (low + high) / 2
        low, high = (rise, high) if amps**2 * ohms(rise) > limiter.dissipation * rise else (low, rise)
    return ohms((low + high) / 2)


def _judged(case: Case, limits: Limits, place: str, limiter: Limiter) -> Finding:
    def amps(figures: Figures) -> float | None:
        found = figures.places.get(place)
        return None if found is None else found.rms_current

    idle, full = highest(case, ("idle",), LEVELS, amps), highest(case, ("full output",), LEVELS, amps)
    if idle is None:
        return not_checked(
            ID, place, why="No run gave its current.", measure="true-RMS current through the limiter at idle"
        )
    finding = _running(limits, place, limiter, idle, full)
    told = f"{_cold(case, limits, place, limiter)}{_restart(case, place)}"
    return replace(finding, why=f"{finding.why}{told}")


def _running(
    limits: Limits,
    place: str,
    limiter: Limiter,
    idle: tuple[Figures, float],
    full: tuple[Figures, float] | None,
) -> Finding:
    most = max((pair for pair in (idle, full) if pair), key=lambda pair: pair[1])
    if limiter.type is not None:
        rated = Rated.held(library().ntc(limiter.type).rated_current)
    elif limiter.current is not None and most[1] <= limiter.current:
        rated = Rated(limiter.current, "current of its hot resistance, as given in the description")
    else:
        return not_checked(
            ID,
            place,
            why=f"It carries up to {shown(most[1], 'A')}; its greatest steady current is not known.",
            measure="the limiter's type, or its greatest steady current in its data sheet",
            condition=most[0].name,
            figure=most[1],
            unit="A",
        )
    return ratings.hold_duty(
        ID,
        place,
        idle,
        full,
        rated,
        limits,
        why=lambda figure: f"{shown(figure, 'A')} RMS through it, {shown(rated.value, 'A')} allowed",
        change="Fit a type of more amps.",
    )


def _cold(case: Case, limits: Limits, place: str, limiter: Limiter) -> str:
    """What it drops at idle at nominal mains, and whether that is much."""
    figures = next(case.select(("idle",), ("nominal",)), None)
    if figures is None or place not in figures.places:
        return ""
    found = figures.places[place]
    ohms = steady_ohms(fill_limiter(f"limiters.{place}", limiter, []), found.rms_current)
    drop = ohms * found.rms_current
    part = drop / found.volts if found.volts else 0.0
    much = "; too cold to be out of the way" if part > limits.value(f"{ID}.drop") else ""
    return (
        f" At idle {shown(ohms, 'ohm')} are left and drop {shown(drop, 'V')}, {shown(100 * part, '%')}{much}."
    )


def _restart(case: Case, place: str) -> str:
    """How much of the inrush it lets through while it is still hot."""

    def peak(*states: State) -> tuple[Figures, float] | None:
        return highest(
            case, states, LEVELS, lambda f: f.places[place].peak_current if place in f.places else None
        )

    cold, hot = peak(*STARTS), peak("hot restart")
    if cold is None or hot is None:
        return ""
    from_cold = shown(cold[1], "A")
    return f" A restart while it is hot takes {shown(hot[1], 'A')} peak, a start from cold {from_cold}."
