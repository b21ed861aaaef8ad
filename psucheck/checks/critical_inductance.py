"""Critical inductance: whether a choke input keeps its current flowing at the least load.

What it checks
--------------
Every full-wave rectifier whose first part is a choke: the current of that choke with the valves out, with
cold valves, with standby open and at idle. In the state that draws least it must not reach zero.

Why it matters
--------------
A choke input holds its rail at 0.9 of the winding's RMS volts only as long as its current never stops.
Below that current the rail climbs to the crest of the winding, more than half as much again, onto
capacitors that were chosen for the lower rail.

Limit
-----
The current must not reach zero. With L in henries and f in hertz that takes at least V/(19 f L), which is
the rule L = R/950 at 50 Hz and R/1140 at 60 Hz. Less is marginal: whether the rail's rise harms, the rules
on capacitors and valves say. A swinging choke has more inductance at small currents than its label says.

Source
------
Computed with all harmonics of the rectified sine (derived); the usual first-harmonic form is R/942 at 50
Hz.

What to change
--------------
A bleeder that draws the current missing at all times, or a choke of more inductance.

A passing example
-----------------
A 10 H choke on 300-0-300 V at 50 Hz (28 mA wanted), a bleeder and cold valves drawing 40 mA.

A failing example
-----------------
The same choke with a bleeder of 220k: 2 mA, and the rail at 400 V for 270 V.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from psucheck.checks.case import Case
from psucheck.checks.chokes import inductance, inductance_guessed
from psucheck.checks.finding import Finding
from psucheck.checks.judging import LEVELS, not_checked, shown
from psucheck.checks.limits import Limits
from psucheck.figures.model import Figures, State
from psucheck.supply import topology
from psucheck.supply.model import Rectifier
from psucheck.supply.topology import choke_input

ID = "critical-inductance"
TITLE = "Critical inductance of a choke input"

_FULL_WAVE = ("centre-tapped", "bridge")
_LEAST: tuple[State, ...] = ("valves out", "cold", "standby open", "idle")
_MEAN_OF_SINE = 2 * math.sqrt(2) / math.pi
"""Mean of a rectified sine over its RMS."""
_STOPPED = 0.01
"""Share of its mean below which the least current of a cycle is none."""


@dataclass(frozen=True, slots=True)
class Least:
    """One state of the choke: its mean current [A], whether it stops, the rail and the held rail [V]."""

    figures: Figures
    amps: float
    stops: bool
    rail: float
    held: float


def judge(case: Case, limits: Limits) -> Iterator[Finding]:
    """One finding a choke that stands first behind a full-wave rectifier."""
    for name, rectifier in case.supply.rectifiers.items():
        if rectifier.circuit in _FULL_WAVE and choke_input(case.supply, name):
            for node in topology.first_nodes(case.supply, name):
                yield _judged(case, limits, rectifier, node)


def _judged(case: Case, limits: Limits, rectifier: Rectifier, node: str) -> Finding:
    henries = inductance(case, node)
    states = [
        found
        for figures in case.select(_LEAST, LEVELS)
        if (found := _state(rectifier, node, figures)) is not None
    ]
    if not states or henries is None:
        lacking = "No run gave its current." if not states else "Its inductance is not known."
        return not_checked(
            ID, node, why=lacking, measure="the choke's inductance, and the DC there with the valves out"
        )
    stopped = [state for state in states if state.stops]
    least = max(stopped, key=lambda s: s.rail) if stopped else min(states, key=lambda s: s.amps)
    entry = limits[f"{ID}.ohms"]
    wanted = least.held / (entry.value * case.supply.mains.frequency * henries)
    # Where law and run disagree (resistance, saturation), the run decides and the law is not shown.
    agrees = (least.amps < wanted) == least.stops
    return Finding(
        rule=ID,
        subject=node,
        condition=least.figures.name,
        verdict="marginal" if least.stops else "ok",
        why=_why(least, wanted, henries),
        source=entry.cited,
        figure=least.amps,
        limit=wanted if agrees else None,
        unit="A",
        margin=least.amps / wanted - 1 if agrees else None,
        guessed=inductance_guessed(case, node),
        change=f"A bleeder of {shown(least.held / wanted, 'ohm')} or less keeps it flowing."
        if least.stops
        else None,
        lower_limit=True,
    )


def _state(rectifier: Rectifier, node: str, figures: Figures) -> Least | None:
    """The choke in a condition; None where it was not run, or where a switch cuts the rail off."""
    choke, rail = figures.chokes.get(node), figures.nodes.get(node)
    winding = figures.windings.get(rectifier.winding)
    if choke is None or rail is None or winding is None:
        return None
    volts = winding.volts if rectifier.circuit == "bridge" else max(winding.section_volts)
    held = _MEAN_OF_SINE * volts
    if abs(rail.dc) < held / 2:
        return None
    amps = abs(choke.dc)
    return Least(figures, amps, abs(choke.min_current) <= _STOPPED * amps, abs(rail.dc), held)


def _why(least: Least, wanted: float, henries: float) -> str:
    drawn = f"{shown(least.amps, 'A')} through {shown(henries, 'H')}"
    if not least.stops:
        return f"{drawn} never stops; the rail stands at {shown(least.rail, 'V')}."
    return (
        f"{drawn} stops in every half cycle; {shown(wanted, 'A')} would keep it flowing. The rail climbs to "
        f"{shown(least.rail, 'V')} instead of {shown(least.held, 'V')}."
    )
