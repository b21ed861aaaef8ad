"""Standby switch: what its contacts have to break, and what stays charged while it is open.

What it checks
--------------
Every switch but the mains switch. With it open: the highest voltage over its contacts at any mains, direct
in a rail, alternating at a winding; and which nodes stay above 60 V. With it closed: the current through
it. Upon closing: the peak of the current into what it charges. Where a bias node goes while it is open, if
it moves by more than a fifth: a bias supply on a winding whose centre tap is opened is in series with the
HT.

Why it matters
--------------
Toggle switches are rated for AC, whose arc goes out a hundred times a second. DC of a few hundred volts keeps
it burning: contacts weld or wear away. Closing onto empty capacitors is a pulse of amperes. And an amplifier
on standby is not dead: whatever is on the rectifier's side stays charged, at more than the running volts.

Limit
-----
The switch's own ``voltage`` and ``current``, for DC in a rail, for AC at a winding (held against the peak
over the square root of two). Above them is marginal. A switch whose rating is not given is not checked, but
in a rail of no more than 60 V.

Source
------
Ratings as given. That AC-rated switches are used in rails of 300 to 500 V: common practice, no source, and no
rating.

What to change
--------------
A switch with a DC rating above the rail, or two contacts in series; the switch moved to the AC side; a
resistor across the contacts, which lessens both the voltage and the pulse.

A passing example
-----------------
``standby = { place = "before screens", voltage = "500 V", current = "1 A" }`` that sees 440 V DC open.

A failing example
-----------------
``standby = { place = "before screens", voltage = "250 V" }`` that sees 440 V DC open.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from psucheck.checks.case import Case
from psucheck.checks.finding import Finding
from psucheck.checks.judging import LEVELS, against_upper, highest, not_checked, shown, worst
from psucheck.checks.limits import Limits
from psucheck.figures.model import Figures, PlaceFigures
from psucheck.supply.model import Switch
from psucheck.supply.topology import standby_switches

ID = "standby-switch"
TITLE = "Standby switch"

_GIVEN = "rating of the switch, as given in the description"
_CHANGE = "Fit a switch with a DC rating above the rail, or a resistor across its contacts."
_SWITCH_IT_AC = "Fit a switch rated for it."


def judge(case: Case, limits: Limits) -> Iterator[Finding]:
    """One finding a switch."""
    for name, switch in standby_switches(case.supply).items():
        yield _judged(case, limits, name, switch)


def _judged(case: Case, limits: Limits, name: str, switch: Switch) -> Finding:
    def over_contacts(figures: Figures) -> float | None:
        found = figures.places.get(switch.place)
        return None if found is None else found.open_volts

    found = highest(case, ("standby open",), LEVELS, over_contacts)
    if found is None:
        return not_checked(
            ID, name, why="No run gave the volts over its contacts.", measure="volts over the open contacts"
        )
    figures, volts = found
    place = figures.places[switch.place]
    finding = _of_volts(limits, name, switch, figures, place, volts)
    loaded = highest(case, ("idle", "full output"), LEVELS, lambda f: _amps(f, switch.place))
    if switch.current is not None and loaded is not None:
        finding = worst([finding, _of_amps(name, switch.current, *loaded)])
    return replace(finding, why=" ".join((finding.why, *_said(case, limits, switch, figures))))


def _amps(figures: Figures, place: str) -> float | None:
    found = figures.places.get(place)
    return None if found is None else found.rms_current


def _of_volts(
    limits: Limits, name: str, switch: Switch, figures: Figures, place: PlaceFigures, volts: float
) -> Finding:
    kind = "DC" if place.dc else "AC"
    held = volts if place.dc else volts / math.sqrt(2)
    why = f"Open, its contacts see {shown(held, 'V')} {kind}."
    if switch.voltage is not None:
        finding = against_upper(
            ID,
            name,
            figures.name,
            held,
            switch.voltage,
            "V",
            why=why,
            source=_GIVEN,
            change=_CHANGE if place.dc else _SWITCH_IT_AC,
        )
        return replace(finding, verdict="marginal") if finding.verdict == "over" else finding
    if place.dc and held <= limits.value("cautions.rail"):
        return Finding(
            rule=ID,
            subject=name,
            condition=figures.name,
            verdict="ok",
            why=why,
            source="common practice, no source",
            figure=held,
            unit="V",
        )
    return not_checked(
        ID,
        name,
        why=f"{why} What it is rated for is not given.",
        measure=f"the {kind} volts that the switch is rated for (voltage = ...)",
        condition=figures.name,
        figure=held,
        unit="V",
    )


def _of_amps(name: str, rated: float, figures: Figures, amps: float) -> Finding:
    finding = against_upper(
        ID,
        name,
        figures.name,
        amps,
        rated,
        "A",
        why=f"{shown(amps, 'A')} RMS through it.",
        source=_GIVEN,
        change="Fit a switch for more current.",
    )
    return replace(finding, verdict="marginal") if finding.verdict == "over" else finding


def _said(case: Case, limits: Limits, switch: Switch, figures: Figures) -> Iterator[str]:
    """What stays charged while it is open, and the pulse upon closing."""
    rail = limits.value("cautions.rail")
    charged = [f"{n} {shown(abs(v.dc), 'V')}" for n, v in figures.nodes.items() if abs(v.dc) > rail]
    if charged:
        yield f"On standby these stay charged: {', '.join(charged)}."
    yield from _bias(case, limits, figures)
    closing = highest(case, ("standby closes",), LEVELS, lambda f: _peak(f, switch.place))
    if closing is not None:
        yield f"Closing, {shown(closing[1], 'A')} at the peak."


def _bias(case: Case, limits: Limits, figures: Figures) -> Iterator[str]:
    """Where a bias node goes while it is open, if not where it is when the amplifier plays."""
    playing = next(case.select(("idle",), (figures.level,)), None)
    for name in dict.fromkeys(load.bias for load in case.supply.loads.values()):
        if playing is None or not isinstance(name, str) or name not in figures.nodes:
            continue
        before, after = playing.nodes[name].dc, figures.nodes[name].dc
        if abs(after - before) > limits.value(f"{ID}.bias-moves") * abs(before):
            yield f"Meanwhile {name} goes from {shown(before, 'V')} to {shown(after, 'V')}."


def _peak(figures: Figures, place: str) -> float | None:
    found = figures.places.get(place)
    return None if found is None else found.peak_current
