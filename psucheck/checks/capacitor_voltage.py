"""Capacitor voltage: the highest voltage over each capacitor against the rating on its can.

What it checks
--------------
Every capacitor: on the filter's nodes, in a doubler, in front of a bias rectifier. A series string is held
against the sum of its ratings; how the parts share the voltage is the rule ``capacitor-sharing``. The
figure is the peak: DC plus ripple.

Why it matters
--------------
Above its rating an electrolytic draws leakage current, warms, gasses and in the end vents or shorts. The
rail stands highest when nothing draws: valves out on the bench, or the standby switch open, at the highest
mains.

Limit
-----
Whatever can last as long as somebody leaves it (valves out, standby open, idle, full output) is held
against the rated voltage; more than 0.9 of it is marginal. The overshoot at switch-on, and the time until
the valves draw, end within 30 s, as does what a standby switch or a hot restart brings; they are held
against the surge voltage: as given, else 1.15 times the rating up to 315 V and 1.10 times above. A film
capacitor has no surge allowance here. An electrolytic that some condition leaves with its poles the wrong
way round is held against 1 V.

Source
------
Peak within the rating: Chemi-Con's guide to aluminium electrolytics. Surge: IEC 60384-4, from memory;
makers' sheets agree. Reverse voltage: Vishay 038 RSU. The share of 0.9: common practice, no source.

What to change
--------------
A higher rating, or two capacitors in series with balancing resistors. A bleeder pulls an unloaded rail down
a little, and rarely enough.

A passing example
-----------------
``reservoir = "50 uF 500 V"`` that reads 445 V with the valves out at high mains: 55 V below, 11 %.

A failing example
-----------------
``reservoir = "50 uF 500 V"`` that reads 551 V with the valves out at high mains: 51 V over, 10 %.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from psucheck.checks.case import Case
from psucheck.checks.described import SURGES, UNENDING
from psucheck.checks.finding import Finding
from psucheck.checks.judging import (
    LEVELS,
    against_upper,
    difference,
    highest,
    not_checked,
    shown,
    worst,
)
from psucheck.checks.limits import Limits
from psucheck.checks.rails import Placed, capacitors, least_off_load_share, off_load_guessed
from psucheck.checks.ratings import Rated
from psucheck.figures.model import Figures, State
from psucheck.parts import library
from psucheck.supply.model import Capacitor
from psucheck.supply.topology import standby_switches

ID = "capacitor-voltage"
TITLE = "Capacitor voltage"

_BRIEF: tuple[State, ...] = ("cold", "warm-up", *SURGES)
_BRIEF_SECONDS = 30.0
"""What is over by then, from cold, is held against the surge voltage [s]."""

# Ratings that are sold today; a string is built from those up to 450 V. Common practice, no source.
_SINGLE = (16, 25, 35, 50, 63, 100, 160, 200, 250, 350, 400, 450, 500)
_STRING = (200, 250, 350, 400, 450)


def judge(case: Case, limits: Limits) -> Iterator[Finding]:
    """One finding a capacitor: the worst of its conditions; a wrong polarity before all else."""
    for placed in capacitors(case.supply):
        yield _reversed(case, placed) or _judged(case, limits, placed)


def surge_voltage(capacitor: Capacitor) -> Rated | None:
    """Surge voltage of one part [V]; None without a rating."""
    if capacitor.surge_voltage is not None:
        return Rated.given(capacitor.surge_voltage)
    if capacitor.voltage is None:
        return None
    return Rated.held(library().capacitor_rules.surge_ratio(capacitor.voltage)).times(capacitor.voltage)


def _judged(case: Case, limits: Limits, placed: Placed) -> Finding:
    rating = placed.capacitor.string_voltage
    lasting = highest(case, _lasting_states(case), LEVELS, placed.volts)
    brief = highest(case, _brief_states(case), LEVELS, partial(_brief_volts, placed))
    if lasting is None:
        return not_checked(
            ID,
            placed.subject,
            why="No run gave the voltage on it.",
            measure="DC volts over it with the valves out",
        )
    if rating is None:
        figures, volts = max((pair for pair in (lasting, brief) if pair), key=lambda pair: pair[1])
        return not_checked(
            ID,
            placed.subject,
            why=f"It sees {shown(volts, 'V')}; its rated voltage is not given.",
            measure="read the rated voltage on the can",
            condition=figures.name,
            figure=volts,
            unit="V",
        )
    entry = limits[f"{ID}.rating"]
    rated = Rated(rating * entry.value, entry.cited)
    finding = _held(case, limits, placed, lasting, rated, lasting=True)
    if brief is None:
        return finding
    surge = None if placed.coupling else surge_voltage(placed.capacitor)
    bound = rated if surge is None else surge.times(placed.capacitor.in_series)
    start = _held(case, limits, placed, brief, bound, lasting=False)
    return finding if start.verdict == "ok" else worst([finding, start])


def _reversed(case: Case, placed: Placed) -> Finding | None:
    """The finding on an electrolytic that some condition leaves with its poles the wrong way round.

    In the course of a switching sound parts stand so for milliseconds, the two of a doubler as one charges
    through the other, one behind a choke that swings as the rails run down: that is not held against them.
    """
    allowed = Rated.held(library().capacitor_rules.reverse_voltage)

    def volts(figures: Figures) -> float | None:
        found = figures.capacitors.get(placed.subject)
        return None if found is None or placed.coupling else found.reverse_volts

    found = highest(case, (*UNENDING, "cold", "warm-up"), LEVELS, volts)
    if found is None or found[1] <= allowed.value:
        return None
    figures, most = found
    part = "a part of it" if placed.capacitor.in_series > 1 else "it"
    return against_upper(
        ID,
        placed.subject,
        figures.name,
        most,
        allowed.value,
        "V",
        why=f"{shown(most, 'V')} the wrong way round on {part}: an electrolytic stands "
        f"{shown(allowed.value, 'V')} and may vent.",
        source=allowed.source,
        change="Move the switch or fuse that leaves it so, or fit film capacitors.",
    )


def _lasting_states(case: Case) -> tuple[State, ...]:
    """A cold start ends when the valves draw; with a standby switch whose own run is missing it may last."""
    held = bool(standby_switches(case.supply)) and not any(case.select(("standby open",), LEVELS))
    return (*UNENDING, "cold") if held else UNENDING


def _brief_states(case: Case) -> tuple[State, ...]:
    return tuple(state for state in _BRIEF if state not in _lasting_states(case))


def _brief_volts(placed: Placed, figures: Figures) -> float | None:
    """The volts on it; None for a moment that comes too late to count as brief, when all is near idle."""
    late = figures.seconds is not None and figures.seconds >= _BRIEF_SECONDS
    return None if late else placed.volts(figures)


def _held(
    case: Case, limits: Limits, placed: Placed, found: tuple[Figures, float], bound: Rated, *, lasting: bool
) -> Finding:
    figures, volts = found
    share = limits.value(f"{ID}.practice")
    apart = difference(volts, bound.value, "V") + ("" if lasting else " (its surge voltage)")
    return against_upper(
        ID,
        placed.subject,
        figures.name,
        volts,
        bound.value,
        "V",
        why=f"{shown(volts, 'V')} on {_rated(placed.capacitor)}: {apart}.",
        source=bound.source,
        practice=share if lasting else None,
        guessed=bound.recalled or off_load_guessed(case, placed.rectifier),
        hopeful=volts * least_off_load_share(case, placed.rectifier, figures),
        change=_change(volts, placed, share),
    )


def _rated(capacitor: Capacitor) -> str:
    rating = "?" if capacitor.voltage is None else shown(capacitor.voltage, "V")
    return f"a {rating} part" if capacitor.in_series == 1 else f"{capacitor.in_series} x {rating} in series"


def _change(volts: float, placed: Placed, share: float) -> str:
    """What would stand it: one part used to ``share`` of its rating, or a string whose worst part holds."""
    needed = volts / share
    if placed.coupling:
        return f"Fit a film capacitor rated {shown(needed, 'V')} or more."
    single = next((rating for rating in _SINGLE if rating >= needed), None)
    if single is not None:
        return f"Fit {single} V or more."
    # With tolerances of 20 % one part of n takes 1.2/(1.2 + 0.8 (n - 1)) of the voltage until it is balanced.
    for count in (2, 3, 4):
        part = max(needed / count, volts * 1.2 / (1.2 + 0.8 * (count - 1)))
        rating = next((rating for rating in _STRING if rating >= part), None)
        if rating is not None:
            return (
                f"Fit {count} in series, {rating} V or more each, of {count} times the capacitance, "
                "with balancing resistors."
            )
    return f"Bring the voltage down: it needs {shown(needed, 'V')} of rating."
