"""Capacitors in series: whether the part with the most voltage stays inside its own rating.

What it checks
--------------
Every string of capacitors in series, for its worst part. At switch-on the parts share the voltage by
capacitance: one part at the low end of its tolerance among others at the high end takes the most. Later
they share it by their leakage, or, where balancing resistors are fitted, nearly by those. A joint that is
tied to the winding's centre tap is held by the winding; there the voltage on each part is the simulated
one.

Why it matters
--------------
Two 350 V capacitors are a 700 V capacitor only while they share equally. Without balancing resistors the
part that leaks least takes the most voltage, for as long as the amplifier is on.

Limit
-----
Each part's rated voltage. The uneven share at switch-on fades with the time constant of a balancing
resistor and one capacitor; where it falls below the rating within 30 s it is held against the part's surge
voltage. No balancing resistors: marginal, even where the capacitances alone would share well.

Source
------
By capacitance, V1/V2 = C2/C1; of n parts the worst takes (1 + high)/((1 + high) + (n - 1)(1 + low)) of the
voltage (derived). By resistors of tolerance t, when the worst part leaks nothing and the others dI: (V + (n
- 1)(1 - t) R dI)/(1 + (n - 1)(1 - t)/(1 + t)) (derived; with t = 0 and n = 2 it is R = (n UR - V)/dI of
va1der.ca, balance resistors). dI is the leakage a data sheet allows, 0.002 C U + 3 uA (Vishay 038 RSU).
That resistors should be fitted: common practice, no source.

What to change
--------------
Parts of a higher rating, balancing resistors, or smaller ones. Equal parts of one make and age share better
than their tolerance says.

A passing example
-----------------
``2 x 100 uF 350 V in series with 220k 1 W each`` on 500 V: at worst 300 V on one part at switch-on, 271 V
later.

A failing example
-----------------
``2 x 100 uF 300 V in series with 470k 1 W each`` on 530 V: at worst 318 V on one part at switch-on, and
above its rating for about 60 s.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from psucheck.checks import capacitor_voltage
from psucheck.checks.case import Case
from psucheck.checks.described import SURGES, UNENDING
from psucheck.checks.finding import Finding
from psucheck.checks.judging import LEVELS, against_upper, difference, highest, not_checked, shown, worst
from psucheck.checks.limits import Limits
from psucheck.checks.rails import Placed, capacitors, least_off_load_share, off_load_guessed
from psucheck.checks.ratings import Rated
from psucheck.figures.model import Figures, State
from psucheck.parts import library
from psucheck.supply.model import Capacitor

ID = "capacitor-sharing"
TITLE = "Capacitors in series"

_ANY: tuple[State, ...] = (*UNENDING, "cold", *SURGES)


def judge(case: Case, limits: Limits) -> Iterator[Finding]:
    """One finding a string: its worst part at switch-on or later."""
    for placed in capacitors(case.supply):
        if placed.capacitor.in_series > 1:
            yield _judged(case, limits, placed)


def capacitive_share(capacitor: Capacitor) -> float:
    """Share of the voltage [1] on the worst part just after switch-on, by the parts' tolerance (derived)."""
    low, high = capacitor.tolerance
    return (1 + high) / ((1 + high) + (capacitor.in_series - 1) * (1 + low))


def balanced_volts(capacitor: Capacitor, volts: float, limits: Limits) -> float:
    """Lasting voltage [V] on the worst part of a string with balancing resistors (derived).

    Raises
    ------
    ValueError
        The string has no balancing resistors or no rated voltage.
    """
    if capacitor.balancing is None or capacitor.voltage is None:
        raise ValueError("needs balancing resistors and a rated voltage")
    spread = library().capacitor_rules.leakage_current(capacitor.value, capacitor.voltage)
    others, t = capacitor.in_series - 1, limits.value(f"{ID}.resistor-tolerance")
    extra = others * (1 - t) * capacitor.balancing.value * spread
    # Leakage can at most leave the whole voltage on one part.
    return min(volts, (volts + extra) / (1 + others * (1 - t) / (1 + t)))


def seconds_above(start: float, end: float, level: float, tau: float) -> float:
    """How long [s] an exponential from ``start`` to ``end`` stays above ``level``, time constant ``tau``."""
    if start <= level:
        return 0.0
    return math.inf if end >= level else tau * math.log((start - end) / (level - end))


def _judged(case: Case, limits: Limits, placed: Placed) -> Finding:
    part = placed.capacitor
    lasting = highest(case, UNENDING, LEVELS, lambda figures: _equal_volts(placed, figures))
    at_most = highest(case, _ANY, LEVELS, lambda figures: _equal_volts(placed, figures))
    if lasting is None or at_most is None:
        return not_checked(
            ID, placed.subject, why="No run gave its voltage.", measure="DC volts over it with the valves out"
        )
    if part.voltage is None:
        return not_checked(
            ID,
            placed.subject,
            why="The rated voltage of its parts is not given.",
            measure="read the rated voltage on the can",
        )
    if placed.joint_held:
        each = (at_most[0], at_most[1] / part.in_series)
        return _held(case, placed, each, "with the joint held by the winding", _rating(part, limits))
    if part.balancing is None:
        return _unbalanced(case, limits, placed, at_most)
    return _balanced(case, limits, placed, lasting, at_most)


def _equal_volts(placed: Placed, figures: Figures) -> float | None:
    """Volts over the string [V], as if all its parts carried what the busiest one does."""
    found = figures.capacitors.get(placed.subject)
    if found is None:
        return None
    parts = placed.capacitor.in_series
    return max((found.max_volts, *(volts * parts for volts in found.unit_max_volts)))


def _unbalanced(case: Case, limits: Limits, placed: Placed, at_most: tuple[Figures, float]) -> Finding:
    part = placed.capacitor
    each = (at_most[0], at_most[1] * capacitive_share(part))
    finding = _held(case, placed, each, "by tolerance", _rating(part, limits))
    if finding.verdict != "ok":
        return finding
    return replace(
        finding,
        verdict="marginal",
        why=f"{finding.why} No balancing resistors: how leakage shares the voltage later cannot be told.",
        source="common practice, no source",
        change="Fit a resistor across each capacitor, 220k at most for HT, rated for its voltage.",
    )


def _balanced(
    case: Case,
    limits: Limits,
    placed: Placed,
    lasting: tuple[Figures, float],
    at_most: tuple[Figures, float],
) -> Finding:
    part = placed.capacitor
    rating = _rating(part, limits)
    start = at_most[1] * capacitive_share(part)
    settled = balanced_volts(part, at_most[1], limits)
    tau = part.value * (part.balancing.value if part.balancing else math.inf)
    stays = seconds_above(start, settled, rating.value, tau)
    surge = capacitor_voltage.surge_voltage(part)
    fades = 0 < stays <= library().capacitor_rules.surge_seconds.value
    bound = surge if surge is not None and fades else rating
    later = balanced_volts(part, lasting[1], limits)
    return worst(
        [
            _held(case, placed, (at_most[0], start), "at switch-on by tolerance", bound),
            _held(case, placed, (lasting[0], later), "by leakage and resistor tolerance", rating),
        ]
    )


def _rating(part: Capacitor, limits: Limits) -> Rated:
    entry = limits[f"{ID}.rating"]
    return Rated((part.voltage or math.nan) * entry.value, entry.cited)


def _held(case: Case, placed: Placed, each: tuple[Figures, float], how: str, bound: Rated) -> Finding:
    figures, volts = each
    return against_upper(
        ID,
        placed.subject,
        figures.name,
        volts,
        bound.value,
        "V",
        why=f"The worst of {placed.capacitor.in_series} parts sees {shown(volts, 'V')} {how}: "
        f"{difference(volts, bound.value, 'V')}.",
        source=bound.source,
        guessed=bound.recalled or off_load_guessed(case, placed.rectifier),
        hopeful=volts * least_off_load_share(case, placed.rectifier, figures),
        change=f"Fit parts rated {shown(volts, 'V')} or more each.",
    )
