"""Choke current: the direct current through each choke against its rating.

What it checks
--------------
Every choke of the filter, by its direct current.

Why it matters
--------------
Beyond its rating a choke saturates: its inductance falls and the hum rises, just when the amplifier draws
most. Its copper warms as well.

Limit
-----
The rated direct current. Over at idle or with full output for a third of the time; marginal where only
continuous full output exceeds it.

Source
------
The label or data sheet of the choke. The third: common practice, no source.

What to change
--------------
A choke of a higher rating, or one placed after the node that feeds the output transformer.

A passing example
-----------------
``screens = "choke 10 H 110 ohm 180 mA, ..."`` carrying 24 mA at idle and 52 mA at full output.

A failing example
-----------------
The same choke before the reservoir, carrying 205 mA at idle.
"""

from __future__ import annotations

from collections.abc import Iterator

from psucheck.checks import ratings
from psucheck.checks.case import Case
from psucheck.checks.finding import Finding
from psucheck.checks.judging import LEVELS, highest, not_checked, shown
from psucheck.checks.limits import Limits
from psucheck.checks.ratings import Rated
from psucheck.figures.model import Figures
from psucheck.supply.model import Choke

ID = "choke-current"
TITLE = "Choke current"


def judge(case: Case, limits: Limits) -> Iterator[Finding]:
    """One finding a choke, under the name of its node."""
    for name, node in case.supply.filter.items():
        if node.choke is not None:
            yield _judged(case, limits, name, node.choke)


def _judged(case: Case, limits: Limits, name: str, choke: Choke) -> Finding:
    def amps(figures: Figures) -> float | None:
        found = figures.chokes.get(name)
        return None if found is None else abs(found.dc)

    idle, full = highest(case, ("idle",), LEVELS, amps), highest(case, ("full output",), LEVELS, amps)
    if idle is None:
        return not_checked(
            ID, name, why="No run gave its current.", measure="DC volts over the choke at idle, over its ohms"
        )
    if choke.current is None:
        most = max((pair for pair in (idle, full) if pair), key=lambda pair: pair[1])
        return not_checked(
            ID,
            name,
            why=f"It carries up to {shown(most[1], 'A')} DC; its rated current is not given.",
            measure="the choke's rated current, on its label or data sheet",
            condition=most[0].name,
            figure=most[1],
            unit="A",
        )
    rated = Rated(choke.current, "rating of the choke, as given in the description")
    return ratings.hold_duty(
        ID,
        name,
        idle,
        full,
        rated,
        limits,
        why=lambda figure: f"The choke carries {shown(figure, 'A')} DC, rated {shown(rated.value, 'A')}",
        change="Take a choke of a higher rating, or place it after the node of the anodes.",
    )
