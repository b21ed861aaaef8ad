"""Heater to cathode: the voltage between a heater and the cathode it heats.

What it checks
--------------
Of every rectifier valve: the highest voltage at its cathode, which is the rail's, less what its heater
winding stands on (``[elevation]``). Whether a winding that is tied to a cathode, inside a 5 V type or
because the heater is the cathode, heats anything else. Of the listed valves whose limit is known: what an
elevated winding stands on, their cathodes taken to be near the chassis.

Why it matters
--------------
The insulation between heater and cathode is a thin coat of alumina at red heat. Where it fails, the whole B+
goes to the heater line, to every other valve on it, and to the chassis through the line's reference.

Limit
-----
The type's highest voltage between heater and cathode, at the worst mains; above 0.9 of it is marginal. A
winding tied to a cathode that heats something else besides is over.

Source
------
The part library: makers' sheets, from memory. The share of 0.9: common practice, no source.

What to change
--------------
A winding of its own for the rectifier's heater, tied to its cathode; an elevated heater line; a rectifier
valve with a higher limit.

A passing example
-----------------
An EZ81 on the common 6.3 V winding with 340 V at its cathode: its limit is 500 V.

A failing example
-----------------
A GZ34 heated from the winding of the output valves: that winding stands at B+.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from psucheck.checks import ratings
from psucheck.checks.case import Case
from psucheck.checks.described import LASTING, STARTS
from psucheck.checks.finding import Finding
from psucheck.checks.judging import LEVELS, highest, not_checked, shown, worst
from psucheck.checks.limits import Limits
from psucheck.checks.ratings import Rated, hold_upper
from psucheck.figures.model import Figures
from psucheck.parts.rectifiers import RectifierValve
from psucheck.supply.fill_loads import ac_line_up, heater_winding
from psucheck.supply.model import Rectifier
from psucheck.supply.topology import first_nodes

ID = "heater-cathode"
TITLE = "Heater to cathode"

_OWN_WINDING = "Heat the rectifier from a winding of its own."


def judge(case: Case, limits: Limits) -> Iterator[Finding]:
    """One finding a rectifier valve, and one a winding that is elevated over listed valves."""
    for name, rectifier in case.supply.rectifiers.items():
        part = ratings.device(rectifier.device).part
        if isinstance(part, RectifierValve) and rectifier.polarity == "positive":
            yield _of_rectifier(case, limits, name, rectifier, part)
    for winding in case.supply.elevation:
        if winding == heater_winding(case.supply):
            yield _of_valves(case, limits, winding)


# --- rectifier valves -------------------------------------------------------------------------------------


def _of_rectifier(
    case: Case, limits: Limits, name: str, rectifier: Rectifier, part: RectifierValve
) -> Finding:
    heater = rectifier.heater
    if heater is None:
        return not_checked(
            ID,
            name,
            why=f"Which winding heats the {part.name} is not given.",
            measure=f"find the winding that heats the {part.name}, and give it as heater",
        )
    tied = part.cathode.value == "direct" or (
        part.cathode_on_heater is not None and part.cathode_on_heater.value
    )
    others = _others(case, name, heater)
    if tied:
        return _of_tied(case, name, heater, part, others)
    if part.heater_cathode_voltage is None:
        return not_checked(
            ID,
            name,
            why=f"How much a {part.name} stands between heater and cathode is not known.",
            measure=f"the limit on the data sheet of the {part.name}",
        )
    if not others and heater not in case.supply.elevation:
        return not_checked(
            ID,
            name,
            why=f"{heater} heats nothing else, and what it is tied to is not given.",
            measure=f"DC between the heater and the cathode of the {part.name}, valves in",
        )
    return _held(case, limits, name, heater, part.name, Rated.held(part.heater_cathode_voltage))


def _others(case: Case, name: str, heater: str) -> list[str]:
    """What else the winding heats: listed valves, and rectifiers with another cathode."""
    found = [
        f"the rectifier {other}"
        for other, another in case.supply.rectifiers.items()
        if other != name and another.heater == heater and ratings.device(another.device).kind == "valve"
    ]
    shared = heater == heater_winding(case.supply) and ac_line_up(case.supply)
    return [*found, *(["the listed valves"] if shared else [])]


def _of_tied(case: Case, name: str, heater: str, part: RectifierValve, others: list[str]) -> Finding:
    if heater in case.supply.elevation:
        others = [*others, "what it is elevated with"]
    entry = part.cathode if part.cathode.value == "direct" else part.cathode_on_heater
    assert entry is not None  # one of the two ties it
    what = "is its heater" if part.cathode.value == "direct" else "is tied to its heater"
    at = highest(case, LASTING, LEVELS, lambda figures: _cathode(case, name, figures))
    return Finding(
        rule=ID,
        subject=name,
        condition=at[0].name if at is not None and others else None,
        verdict="over" if others else "ok",
        why=f"The cathode of a {part.name} {what}, so that {heater} stands at B+"
        + (f" together with {' and '.join(others)}." if others else "; it heats nothing else."),
        source=entry.citation,
        guessed=entry.status == "recalled",
        figure=at[1] if at is not None and others else None,
        unit="V" if at is not None and others else "",
        change=_OWN_WINDING if others else None,
    )


def _cathode(case: Case, name: str, figures: Figures) -> float | None:
    """Highest volts at a rectifier's cathode: those of its first node, or the crest before a choke."""
    nodes = [node for node in first_nodes(case.supply, name) if node in figures.nodes]
    if not nodes:
        return None
    volts = max(figures.nodes[node].max for node in nodes)
    rectifier = case.supply.rectifiers[name]
    behind_chokes = all(case.supply.filter[node].choke is not None for node in nodes)
    if behind_chokes and rectifier.winding in figures.windings:
        winding = figures.windings[rectifier.winding]
        half = rectifier.circuit in ("centre-tapped", "half-wave")
        volts = max(volts, math.sqrt(2) * (max(winding.section_volts) if half else winding.volts))
    return volts


def _held(case: Case, limits: Limits, name: str, heater: str, kind: str, rated: Rated) -> Finding:
    def between(figures: Figures) -> float | None:
        cathode = _cathode(case, name, figures)
        return None if cathode is None else cathode - _elevation(figures, heater)

    found = highest(case, (*LASTING, *STARTS), LEVELS, between)
    if found is None:
        return not_checked(
            ID, name, why="No run gave its cathode's volts.", measure="DC at its cathode with the valves out"
        )
    figures, volts = found
    raised = _elevation(figures, heater)
    stands = f", {heater} standing on {shown(raised, 'V')}" if raised else f" and {heater} at the chassis"
    return hold_upper(
        ID,
        name,
        figures.name,
        volts,
        rated,
        "V",
        why=f"{shown(volts, 'V')} between heater and cathode of the {kind}{stands}.",
        practice=limits.value(f"{ID}.practice"),
        change=_OWN_WINDING,
    )


def _elevation(figures: Figures, winding: str) -> float:
    found = figures.windings.get(winding)
    return 0.0 if found is None or found.elevation is None else found.elevation


# --- listed valves ----------------------------------------------------------------------------------------


def _of_valves(case: Case, limits: Limits, winding: str) -> Finding:
    """What an elevated winding stands on, against the lowest limit of the valves on it."""
    found = highest(case, LASTING, LEVELS, lambda figures: abs(_elevation(figures, winding)))
    types = dict.fromkeys(entry.type for entry in ac_line_up(case.supply))
    held: list[Finding] = []
    unknown = []
    for kind in types:
        part = ratings.load_valve(kind)
        limit = part.heater_cathode_voltage if part is not None else None
        if limit is None:
            unknown.append(kind)
        elif found is not None:
            figures, volts = found
            why = f"{winding} stands on {shown(volts, 'V')}; the cathode of a {kind} is near the chassis."
            held.append(
                hold_upper(
                    ID,
                    winding,
                    figures.name,
                    volts,
                    Rated.held(limit),
                    "V",
                    why=why,
                    practice=limits.value(f"{ID}.practice"),
                    change="Elevate the heaters less.",
                )
            )
    if (held and worst(held).verdict != "ok") or (held and not unknown):
        return worst(held)
    return not_checked(
        ID,
        winding,
        why=f"How much {', '.join(unknown)} stands between heater and cathode is not known."
        if unknown
        else "No run gave what the winding stands on.",
        measure="the limit between heater and cathode on the valves' data sheets",
        condition=None if found is None else found[0].name,
        figure=None if found is None else found[1],
        unit="" if found is None else "V",
    )
