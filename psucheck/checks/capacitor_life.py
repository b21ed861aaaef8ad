"""Capacitor life: how long an electrolytic lasts at the temperature given.

What it checks
--------------
Every electrolytic on a node with a ``temperature``: its rated life at its category temperature, doubled for
every 10 degC that it stands cooler, and corrected for the warmth of its own ripple current where its rating
is given.

Why it matters
--------------
Electrolytics dry up. A can beside a rectifier valve ages several times as fast as one at the far end of the
chassis: it is worth knowing before the place is chosen. It is an estimate of hours in use; it says nothing
of a part that has been on a shelf for years.

Limit
-----
None: it is information, and never a fault. It is cut off at 15 years of use, and below 40 degC nothing more
is claimed than at 40 degC. Without ``temperature`` at the node nothing is said.

Source
------
The rule of ten degrees: Illinois Capacitor's life calculator page. The part that the ripple current has in
it: Rubycon's formula, whose print is damaged, so that its exponent is reconstructed (second-hand). The
bounds: Nichicon's notes on lifetime.

What to change
--------------
A cooler place, a part of 105 degC, or one of longer rated life.

A passing example
-----------------
A 105 degC part of 5000 h at 65 degC with a third of its rated ripple current: some 110 000 h.

A failing example
-----------------
None is over or marginal. A node with its ``temperature`` whose capacitor gives no ``life`` is not checked.
"""

from __future__ import annotations

from collections.abc import Iterator

from psucheck.checks import capacitor_ripple_current as ripple
from psucheck.checks.case import Case
from psucheck.checks.finding import Finding
from psucheck.checks.judging import LEVELS, duty_rms, highest, not_checked, shown
from psucheck.checks.limits import Limits
from psucheck.checks.rails import Placed, capacitors
from psucheck.figures.model import Figures
from psucheck.parts import library

ID = "capacitor-life"
TITLE = "Capacitor life"

_HOUR = 3600.0
_YEAR = 8766.0
"""Hours."""


def judge(case: Case, limits: Limits) -> Iterator[Finding]:
    """One finding a capacitor on a node whose temperature is given."""
    for placed in capacitors(case.supply):
        node = case.supply.filter.get(placed.subject)
        if node is not None and node.temperature is not None:
            yield _judged(case, limits, placed, node.temperature)


def by_temperature(celsius: float, category: float, coolest: float, doubles: float) -> float:
    """By what rated life is multiplied [1] at ``celsius``, for a ``category`` temperature."""
    return float(2 ** ((category - max(celsius, coolest)) / doubles))


def by_ripple(load: float, warmth: float) -> float | None:
    """By what it is multiplied [1] at ``load``, the ripple current over the rated one.

    2^(a(T0) - a(T)), a(T) = T/(10 - T/4), where T = T0 load^2 is the part's own warmth and T0 [K] that at
    its rated current (Rubycon; the print is damaged, the exponent reconstructed). None beyond the formula.
    """
    own = warmth * load**2
    if own >= 40:
        return None
    return float(2 ** (warmth / (10 - warmth / 4) - own / (10 - own / 4)))


def _judged(case: Case, limits: Limits, placed: Placed, celsius: float) -> Finding:
    part = placed.capacitor
    if part.life is None or part.temperature is None:
        return not_checked(
            ID,
            placed.subject,
            why=f"It stands at {shown(celsius, 'degC')}; its rated life and temperature are not both given.",
            measure="the capacitor's rated life and category temperature, in its data sheet",
        )
    rules = library().capacitor_rules
    warmth, coolest = limits[f"{ID}.own-warmth"], limits[f"{ID}.coolest"]
    factor = by_temperature(celsius, part.temperature, coolest.value, rules.life_doubles_kelvin.value)
    loaded = _load(case, limits, placed)
    rippled = 1.0 if loaded is None else by_ripple(loaded, warmth.value)
    if rippled is None:
        return not_checked(
            ID,
            placed.subject,
            why="Its ripple current is too far above the rating for any estimate of its life.",
            measure="the temperature of its can in use",
        )
    hours = part.life / _HOUR * factor * rippled
    most = rules.life_cap_years.value * _YEAR
    told = f"about {_rounded(min(hours, most))} hours" + (" or more" if hours >= most else "")
    with_ripple = "" if loaded is None else f" and {100 * loaded:.0f} % of its rated ripple current"
    sources = [rules.life_doubles_kelvin.citation] + ([] if loaded is None else [warmth.cited])
    return Finding(
        rule=ID,
        subject=placed.subject,
        condition=None,
        verdict="ok",
        why=f"At {shown(celsius, 'degC')}{with_ripple} it lasts {told} of use, by the rule of ten degrees.",
        source="; ".join(sources),
    )


def _load(case: Case, limits: Limits, placed: Placed) -> float | None:
    """Ripple current of hard playing over the rated [1]; None where either is not known."""
    part, base = placed.capacitor, 2 * case.supply.mains.frequency

    def carried(figures: Figures) -> float | None:
        found = figures.capacitors.get(placed.subject)
        return None if found is None else ripple.weighted(found.ripple_spectrum, base, part.voltage)

    idle = highest(case, ("idle",), LEVELS, carried)
    full = highest(case, ("full output",), LEVELS, carried)
    if part.ripple_current is None or idle is None:
        return None
    most = idle[1] if full is None else duty_rms(idle[1], full[1], limits.value("duty.full-output"))
    return most / part.ripple_current


def _rounded(hours: float) -> str:
    """Two digits, as many as such an estimate is worth: ``110 000``."""
    return f"{float(f'{hours:.1e}'):,.0f}".replace(",", " ")
