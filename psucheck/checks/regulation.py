"""Regulation: how far the B+ falls from idle to full output.

What it checks
--------------
The first node behind every rectifier that feeds output valves: its mean volts at idle and at full output,
from the run that goes from idle to a second of full output and back, else from the two steady states at one
mains voltage. The time constant of the fall, the recovery and the lowest screen volts are told with it.

Why it matters
--------------
The output stage draws two to three times its idle current when it is driven hard. What the B+ then loses is
lost output power; how fast it comes back is heard as feel. A fall beyond the usual points to too much
resistance in the windings, too small a first capacitor, or a tired rectifier valve.

Limit
-----
5 to 10 % is usual with silicon, 10 to 20 % with a rectifier valve. Inside is told, beyond is marginal: it
is a matter of taste, and breaks nothing.

Source
------
Common practice, no source.

What to change
--------------
A larger first capacitor as far as the rectifier allows, a transformer of less resistance.

A passing example
-----------------
393 V at idle and 370 V at full output with silicon: 6 %.

A failing example
-----------------
400 V at idle and 340 V at full output with silicon: 15 %.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from psucheck.checks import ratings
from psucheck.checks.case import Case
from psucheck.checks.described import winding_guessed
from psucheck.checks.finding import Finding
from psucheck.checks.judging import LEVELS, against_upper, not_checked, share, shown
from psucheck.checks.limits import Limits
from psucheck.checks.rails import is_bias
from psucheck.figures.model import Level, Sag
from psucheck.supply import topology

ID = "regulation"
TITLE = "Regulation"

_CHANGE = "Fit a larger first capacitor as far as the rectifier allows, or a transformer of less resistance."


@dataclass(frozen=True, slots=True)
class Fall:
    """A node's mean volts at idle and at the lowest, and what else the run tells.

    ``course`` is the run's own figures of the node, ``screens`` the lowest volts of each screen node.
    """

    condition: str
    idle: float
    lowest: float
    course: Sag | None
    screens: dict[str, float]


def judge(case: Case, limits: Limits) -> Iterator[Finding]:
    """One finding a rectifier's first node, where output valves draw from it."""
    supply = case.supply
    drawn = {topology.rectifier_of(supply, load.anodes) for load in supply.loads.values() if load.anodes}
    for name in (name for name in supply.rectifiers if name in drawn):
        for node in topology.first_nodes(supply, name):
            if not is_bias(supply, node):
                yield _judged(case, limits, name, node)


def _judged(case: Case, limits: Limits, name: str, node: str) -> Finding:
    fall = _from_sag(case, node) or _from_steady(case, node)
    if fall is None:
        return not_checked(
            ID, node, why="No run gave its fall.", measure="DC there at idle and at full output into a load"
        )
    rectifier = case.supply.rectifiers[name]
    kind = "valve" if ratings.device(rectifier.device).kind == "valve" else "silicon"
    most, least = limits[f"{ID}.{kind}"], limits[f"{ID}.{kind}-least"]
    lost = (fall.idle - fall.lowest) / fall.idle
    usual = f"{share(least.value)} to {share(most.value)} is usual with {_WORDS[kind]}"
    held = against_upper(
        ID,
        node,
        fall.condition,
        100 * lost,
        100 * most.value,
        "%",
        why=f"Full output takes it from {shown(fall.idle, 'V')} to {shown(fall.lowest, 'V')}, "
        f"{shown(100 * lost, '%')}{_course(fall.course)}{_screens(fall.screens)}; {usual}.",
        source=most.cited,
        guessed=case.guessed("loads.") or winding_guessed(case, rectifier),
        change=_CHANGE,
    )
    return replace(held, verdict="marginal") if held.verdict == "over" else held


_WORDS = {"silicon": "silicon", "valve": "a rectifier valve"}


def _screen_nodes(case: Case) -> list[str]:
    return list(dict.fromkeys(load.screens for load in case.supply.loads.values() if load.screens))


def _from_sag(case: Case, node: str) -> Fall | None:
    for figures in case.select(("sag",), LEVELS):
        course = figures.sag.get(node)
        if course is not None and course.idle > 0:
            screens = {name: figures.sag[name].lowest for name in _screen_nodes(case) if name in figures.sag}
            return Fall(figures.name, course.idle, course.lowest, course, screens)
    return None


def _from_steady(case: Case, node: str) -> Fall | None:
    levels: tuple[Level, ...] = ("wall", "nominal")
    for level in levels:
        idle = next(case.select(("idle",), (level,)), None)
        full = next(case.select(("full output",), (level,)), None)
        if idle is None or full is None or node not in idle.nodes or node not in full.nodes:
            continue
        if idle.nodes[node].dc > 0:
            screens = {name: full.nodes[name].dc for name in _screen_nodes(case) if name in full.nodes}
            return Fall(full.name, idle.nodes[node].dc, full.nodes[node].dc, None, screens)
    return None


def _course(course: Sag | None) -> str:
    if course is None or course.lowest >= course.idle:
        return ""
    down = "" if course.seconds_down is None else f", most of it within {shown(course.seconds_down, 's')}"
    if course.seconds_back is None:
        return f"{down}, not back by the end of the run"
    return f"{down}, back after {shown(course.seconds_back, 's')}"


def _screens(screens: dict[str, float]) -> str:
    if not screens:
        return ""
    node = min(screens, key=lambda name: screens[name])
    return f"; the screens fall to {shown(screens[node], 'V')}"
