"""Resistor power: the watts in every resistor and zener against its rating.

What it checks
--------------
Every resistor of the description: droppers, bleeders, balancing, screen, cathode, anode and feed resistors,
series resistors, the bypass of a standby switch; and zeners at a place. The figure is the highest mean power
of any state that can last.

Why it matters
--------------
A resistor at its full rating is hot enough to scorch its board, and its rating is that of free air at 70
degC, not of a closed chassis above valves. Droppers drift up, go open, and take the preamplifier with them.

Limit
-----
Over above the rating; marginal above 60 % of it.

Source
------
The marked watts, as given in the description. The 60 %: common practice, no source; one guide asks for 75
%.

What to change
--------------
A resistor of twice the watts that are in it, mounted clear of the board.

A passing example
-----------------
``splitter = "10k 1 W, ..."`` with 0.31 W in it.

A failing example
-----------------
``splitter = "10k 1 W, ..."`` with 1.4 W in it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from psucheck.checks.case import Case
from psucheck.checks.described import LASTING, resistor
from psucheck.checks.finding import Finding
from psucheck.checks.judging import LEVELS, against_upper, highest, not_checked, share, shown
from psucheck.checks.limits import Limits
from psucheck.figures.model import Figures
from psucheck.supply.model import Resistor, Zener

ID = "resistor-power"
TITLE = "Resistor power"


def judge(case: Case, limits: Limits) -> Iterator[Finding]:
    """One finding a resistor that the description names."""
    names = dict.fromkeys(key for figures in case.select(LASTING, LEVELS) for key in figures.resistors)
    for name in names:
        described = resistor(case.supply, name) or _zener(case, name)
        if described is not None:
            yield _judged(case, limits, name, described)


def _zener(case: Case, name: str) -> Zener | None:
    """The described zener behind a key of ``Figures.resistors``: at a place, or across a node."""
    node = case.supply.filter.get(name.removesuffix(" zener"))
    if node is not None and name.endswith(" zener"):
        return node.zener
    standing = case.supply.series.get(name)
    return standing if isinstance(standing, Zener) else None


def _judged(case: Case, limits: Limits, name: str, described: Resistor | Zener) -> Finding:
    what, value = (
        ("resistor", shown(described.value, "ohm"))
        if isinstance(described, Resistor)
        else ("zener", f"a zener of {shown(described.zener, 'V')}")
    )

    def watts(figures: Figures) -> float | None:
        found = figures.resistors.get(name)
        return None if found is None else found.watts

    found = highest(case, LASTING, LEVELS, watts)
    assert found is not None  # its name was taken from the figures of these conditions
    figures, most = found
    if described.power is None:
        return not_checked(
            ID,
            name,
            why=f"{shown(most, 'W')} are in it; its rating is not given.",
            measure=f"the {what}'s watts, by its marking or size",
            condition=figures.name,
            figure=most,
            unit="W",
        )
    return against_upper(
        ID,
        name,
        figures.name,
        most,
        described.power,
        "W",
        why=f"{shown(most, 'W')} in {value} rated {shown(described.power, 'W')}: "
        f"{share(most / described.power)} of the rating.",
        source=f"rating of the {what}, as given in the description",
        practice=limits.value(f"{ID}.practice"),
        change=f"Fit {_size(most / limits.value(f'{ID}.practice'))} W or more, clear of the board.",
    )


def _size(watts: float) -> str:
    """The next size that is sold."""
    sizes = (0.25, 0.5, 1.0, 2.0, 3.0, 5.0, 7.0, 10.0, 15.0, 20.0, 25.0, 50.0)
    return f"{next((size for size in sizes if size >= watts), math.ceil(watts)):g}"
