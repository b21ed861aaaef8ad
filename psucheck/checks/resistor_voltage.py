"""Resistor voltage: the volts over every resistor against the highest that its element stands.

What it checks
--------------
Every resistor of the description, by the highest volts over it in any state that can last. The first
moments of a switch-on, when a dropper sees the whole rail, are not counted.

Why it matters
--------------
A high resistance reaches its limiting voltage long before its watts: a 470k 1 W could take 685 V by its
power, and its film stands 350 V. Beyond that, film resistors drift and burn open; balancing resistors and
bleeders go first.

Limit
-----
The limiting element voltage, as given. Else what film resistors of that size usually stand, by their watts;
makers differ by two to one, so above the usual figure is marginal, and above the highest known figure is
over. Larger than any film resistor of the table is ok up to what the largest stands, and not checked beyond.
A wirewound resistor is bound by its power alone, which the power rule checks.

Source
------
Xonelec MF1W621 data sheet for metal film (normal size) and the highest of that and Vishay's PR series and
two carbon and metal film tables for the size.

What to change
--------------
Two resistors in series of half the value each, or one of a larger size.

A passing example
-----------------
``with 220k 1 W each`` across the parts of a series string, 195 V over each.

A failing example
-----------------
``bleeder 470k 1 W`` with ``voltage = "350 V"`` stated, across a rail of 560 V with the valves out.
"""

from __future__ import annotations

from collections.abc import Iterator

from psucheck.checks.case import Case
from psucheck.checks.described import LASTING, resistor
from psucheck.checks.finding import Finding
from psucheck.checks.judging import LEVELS, against_upper, highest, not_checked, shown
from psucheck.checks.limits import Limits
from psucheck.figures.model import Figures
from psucheck.parts import library
from psucheck.parts.errors import NotTabulated
from psucheck.parts.sourced import Sourced
from psucheck.supply.model import Resistor

ID = "resistor-voltage"
TITLE = "Resistor voltage"

_USUAL = "metal film"
_FILMS = ("metal film, small", "metal film", "Vishay PR", "RJ metal film", "RT carbon film")
_CHANGE = "Put two in series of half the value each, or fit a larger size."


def judge(case: Case, limits: Limits) -> Iterator[Finding]:
    """One finding a resistor that the description names."""
    names = dict.fromkeys(key for figures in case.select(LASTING, LEVELS) for key in figures.resistors)
    for name in names:
        described = resistor(case.supply, name)
        if described is not None:
            yield _judged(case, name, described)


def _judged(case: Case, name: str, described: Resistor) -> Finding:
    def volts(figures: Figures) -> float | None:
        found = figures.resistors.get(name)
        return None if found is None else found.max_volts

    found = highest(case, LASTING, LEVELS, volts)
    assert found is not None  # its name was taken from the figures of these conditions
    figures, most = found
    if described.voltage is not None:
        return against_upper(
            ID,
            name,
            figures.name,
            most,
            described.voltage,
            "V",
            why=f"{shown(most, 'V')} over it, {shown(described.voltage, 'V')} allowed.",
            source="limiting element voltage, as given in the description",
            change=_CHANGE,
        )
    usual = _of_size(described.power, _USUAL)
    if described.power is not None and usual is None:
        usual = _of_largest(described.power)
        if usual is not None and most > usual.value:
            return _unknown(name, figures, most, described)
    if described.power is None or usual is None:
        return _unknown(name, figures, most, described)
    highest_known = max(
        (rating.value for family in _FILMS if (rating := _of_size(described.power, family)) is not None),
        default=usual.value,
    )
    size = shown(described.power, "W")
    return against_upper(
        ID,
        name,
        figures.name,
        most,
        usual.value,
        "V",
        why=f"{shown(most, 'V')} over it; a film resistor of {size} usually stands {shown(usual.value, 'V')}"
        + (f", the best of them {shown(highest_known, 'V')}." if most > usual.value else "."),
        source=usual.citation,
        guessed=True,
        # The favourable end of the guess: the make with the highest voltage for its size.
        hopeful=most * usual.value / highest_known,
        change=_CHANGE,
    )


def _of_size(watts: float | None, family: str) -> Sourced[float] | None:
    """Greatest working voltage of a film resistor by its watts; None outside the family's table."""
    if watts is None:
        return None
    try:
        return library().resistor_family(family).voltage_rating(watts)
    except NotTabulated:
        return None


def _of_largest(watts: float) -> Sourced[float] | None:
    """What the largest film resistor of the table stands, for a larger one still; None for others."""
    table = library().resistor_family(_USUAL).working_voltage
    most = 0.0 if table is None else table.value.watts[-1]
    return _of_size(most, _USUAL) if watts > most else None


def _unknown(name: str, figures: Figures, most: float, described: Resistor) -> Finding:
    if described.power is None:
        measure = "the resistor's watts, or its limiting voltage"
    else:
        measure = "whether it is wirewound, or its limiting voltage (voltage = ...)"
    return not_checked(
        ID,
        name,
        why=f"{shown(most, 'V')} are over it; what its element stands is not known.",
        measure=measure,
        condition=figures.name,
        figure=most,
        unit="V",
    )
