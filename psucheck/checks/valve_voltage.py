"""Valve voltage: anode and screen volts of the output valves against their ratings.

What it checks
--------------
Every load of output valves, at idle, volts counted from the cathode. Anode and screen are held against
their own limits, in one finding for each.

Why it matters
--------------
Beyond its anode rating a valve arcs over at its base and pinch; beyond its screen rating the screen grid
runs away first when the valve is driven hard. A transformer swap moves both.

Limit
-----
The limiting values of the data sheet, each set on its own basis: design-centre limits already allow for the
spread of the mains and are compared at nominal mains, design-maximum and absolute limits at high mains.
Many sound amplifiers run valves somewhat above their sheet, so up to 20 % over is marginal, and beyond is
over.

Source
------
The valve's data sheet. Its basis: Mullard's articles of 1960 on design-centre ratings (r-type.org). The 20
%: common practice, no source.

What to change
--------------
A lower B+, a dropper or a choke before the screens, or valves of a higher rating.

A passing example
-----------------
2 x EL34 with 432 V on the anodes and 428 V on the screens at nominal mains: 800 V and 500 V allowed.

A failing example
-----------------
2 x EL84 with 375 V on anodes and screens at nominal mains: 300 V allowed, 25 % over.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from psucheck.checks import ratings
from psucheck.checks.case import Case
from psucheck.checks.finding import Finding
from psucheck.checks.judging import difference, highest, not_checked, share, shown
from psucheck.checks.limits import Limits
from psucheck.checks.output_valves import levels_for, outputs
from psucheck.checks.ratings import Rated
from psucheck.figures.model import Figures
from psucheck.parts.sourced import Sourced
from psucheck.parts.valves import LoadValve

ID = "valve-voltage"
TITLE = "Valve voltage"


def judge(case: Case, limits: Limits) -> Iterator[Finding]:
    """Two findings for each load of output valves: anode volts, and screen volts."""
    for name, type_ in outputs(case.supply):
        valve = ratings.load_valve(type_)
        if valve is None:
            yield not_checked(
                ID,
                name,
                why=f"{type_} is not in the part library.",
                measure=f"the greatest anode and screen volts on the data sheet of {type_}",
            )
            continue
        for part, held in (("anode", valve.anode_voltage_limit), ("screen", valve.screen_voltage_limit)):
            yield replace(_judged(case, limits, name, valve, part, held), part=part)


def _judged(
    case: Case, limits: Limits, name: str, valve: LoadValve, part: str, held: Sourced[float] | None
) -> Finding:
    def volts(figures: Figures) -> float | None:
        found = figures.valves.get(name)
        if found is None:
            return None
        return found.anode_volts if part == "anode" else found.screen_volts

    found = highest(case, ("idle",), levels_for(valve), volts)
    if found is None:
        return not_checked(
            ID, name, why=f"No run gave its {part} volts.", measure=f"DC volts from {part} to cathode at idle"
        )
    figures, most = found
    if held is None:
        return not_checked(
            ID,
            name,
            why=f"{shown(most, 'V')} on the {part}s; what an {valve.name} allows there is not known.",
            measure=f"the greatest {part} volts on the data sheet of {valve.name}",
            condition=figures.name,
            figure=most,
            unit="V",
        )
    rated = Rated.held(held)
    finding = ratings.hold_upper(
        ID,
        name,
        figures.name,
        most,
        rated,
        "V",
        why=f"{shown(most, 'V')} on the {part}s of the {valve.name}, whose sheet allows "
        f"{shown(rated.value, 'V')}: {difference(most, rated.value, 'V')}.",
        change=_change(part),
    )
    usual = limits.value(f"{ID}.usual-excess")
    if finding.verdict == "over" and most <= (1 + usual) * rated.value:
        return ratings.softened(finding, f"up to {share(usual)} over is common practice")
    return finding


def _change(part: str) -> str:
    if part == "screen":
        return "Feed the screens through a dropper or choke of more drop, or fit valves of a higher rating."
    return "Bring the B+ down, or fit valves of a higher rating."
