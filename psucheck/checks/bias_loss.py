"""Bias loss: whether a fuse or a switch takes the bias away and leaves the B+.

What it checks
--------------
Every bias node that feeds the grids of output valves: each fuse and each switch of the description, by
where it stands, and the bias with standby open against that at idle. That the wiper of the bias pot lifts
from its track is the other way to lose it: what the grids get then (``wiper_open``) is held against the bias
at idle. It hangs on the pot's circuit, which is not described, so without that reading it is not checked.

Why it matters
--------------
Valves with B+ and without bias draw all that they can. The plates are red within seconds, and no fuse of
usual size opens in time. A fuse in the bias supply saves a small part and costs the output valves.

A standby switch in the centre tap of a winding that also feeds the bias empties both. When it closes, the
B+ is there within a few cycles, and the bias a good deal later, on hot valves.

Limit
-----
No fuse and no switch takes the bias alone: one that does is marginal, since it does so only when it opens.
With standby open at least 80 % of the bias is left; less is marginal. So is less than the bias at idle with
the wiper lifted.

A fuse in a lead of the winding that feeds both can stand before or behind the point where the bias branches
off; the description does not say which, so that is not checked.

Source
------
How the supply is joined up, as described. 80 %: common practice, no source.

What to change
--------------
Take the bias off before the fuse, move the fuse to where both go with it (centre tap or mains), or let
standby break the B+ behind the reservoir. A resistor from the wiper of the pot to the bias rail keeps the
valves cold if the wiper lifts.

A passing example
-----------------
A fuse in the centre tap of the winding that feeds B+ and bias: both go with it.

A failing example
-----------------
``"before bias" = "F100mAL250V"``.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from psucheck.checks.case import Case
from psucheck.checks.finding import Finding
from psucheck.checks.judging import against_lower, not_checked, shown
from psucheck.checks.limits import Limits
from psucheck.checks.rails import path
from psucheck.figures.model import Level
from psucheck.supply import topology
from psucheck.supply.model import Supply
from psucheck.supply.notation import place

ID = "bias-loss"
TITLE = "Bias loss"

_JOINED = "how the supply is joined up, as described"
_CHANGE = "Take the bias off before it, or move it to where B+ and bias both go with it."


def judge(case: Case, limits: Limits) -> Iterator[Finding]:
    """One finding a bias node, and one for the wiper of its pot."""
    nodes = dict.fromkeys(
        load.bias
        for load in case.supply.loads.values()
        if load.anodes and isinstance(load.bias, str) and load.bias in case.supply.filter
    )
    for node in nodes:
        yield _judged(case, limits, node)
        if case.supply.filter[node].range is not None or case.supply.filter[node].wiper_open is not None:
            yield _wiper(case, node)


def _wiper(case: Case, node: str) -> Finding:
    subject, left = f"{node} wiper", case.supply.filter[node].wiper_open
    idle = next(case.select(("idle",), ("wall",)), None) or next(case.select(("idle",), ("nominal",)), None)
    if left is None or idle is None:
        return not_checked(
            ID,
            subject,
            why="What the grids get with the wiper of the pot lifted hangs on its circuit.",
            measure="the bias at the sockets, wiper lifted, valves out (wiper_open = ...)",
        )
    loads = [load for name, load in idle.valves.items() if case.supply.loads[name].bias == node]
    usual = max((abs(load.bias) for load in loads), default=abs(idle.nodes[node].dc))
    held = against_lower(
        ID,
        subject,
        idle.name,
        abs(left),
        usual,
        "V",
        why=f"With the wiper lifted the grids get {shown(-abs(left), 'V')}, at idle {shown(-usual, 'V')}.",
        source="the reading, as given in the description",
        change="A resistor from the wiper to the bias rail keeps the valves cold if the wiper lifts.",
    )
    return replace(held, verdict="marginal") if held.verdict == "over" else held


def _judged(case: Case, limits: Limits, node: str) -> Finding:
    supply = case.supply
    if topology.root_of(supply, node).kind == "place":
        return _told(node, "The bias is made by the B+ current itself: neither is there without the other.")
    alone = [what for what, where in _breakers(supply) if _takes(supply, node, where) == "bias"]
    if alone:
        said = f"{_doing(alone, 'take')} the bias away and leave{'s' * (len(alone) == 1)} the B+ when opened."
        return _marginal(node, said, _JOINED, _CHANGE)
    drained = _with_standby_open(case, limits, node)
    if drained is not None:
        return drained
    unsure = [what for what, where in _breakers(supply) if _takes(supply, node, where) == "unsure"]
    if unsure:
        return not_checked(
            ID,
            node,
            why=f"{_doing(unsure, 'may stand')} before or behind the point where the bias branches off.",
            measure="whether the bias wire leaves the winding before its fuse or behind it",
            source=_JOINED,
        )
    both = [what for what, where in _breakers(supply) if _takes(supply, node, where) == "both"]
    with_it = f" {_doing(both, 'take')} both." if both else ""
    return _told(node, f"No fuse and no switch described takes the bias away and leaves the B+.{with_it}")


def _breakers(supply: Supply) -> Iterator[tuple[str, str]]:
    """What can open, in words, and its place."""
    for where in supply.fuses:
        yield f"the fuse at {where}", where
    for name, switch in supply.switches.items():
        yield f"the switch {name} at {switch.place}", switch.place


def _takes(supply: Supply, node: str, where: str) -> str:
    """What goes when a place opens: ``bias`` alone, ``both``, ``neither``, or ``unsure``.

    What takes B+ alone, or nothing of either, is ``neither``.
    """
    read = place(where)
    name = read.get("name", "")
    if read["kind"] == "mains":
        return "both"
    if read["kind"] in ("before", "after"):
        way = path(supply, node)
        above = way if read["kind"] == "before" else way[:-1]
        return "bias" if name in above else "neither"
    return _at_winding(supply, node, read["kind"], name)


def _at_winding(supply: Supply, node: str, kind: str, winding: str) -> str:
    bias = supply.rectifiers[topology.rectifier_of(supply, node)]
    if bias.winding != winding:
        return "neither"
    shared = [other for name, other in supply.rectifiers.items() if name in _ht(supply, node)]
    shared = [other for other in shared if other.winding == winding]
    if not shared:
        return "bias"
    if kind == "centre tap":
        # A bridge's lower arms are the return of what else stands on its winding.
        return "both" if any(other.circuit == "centre-tapped" for other in shared) else "neither"
    on_tap = bias.end is not None and bias.end not in ("a", "b")
    return "neither" if on_tap else "unsure"


def _ht(supply: Supply, node: str) -> set[str]:
    """The rectifiers that feed the anodes of the valves which the node biases."""
    return {
        topology.rectifier_of(supply, load.anodes)
        for load in supply.loads.values()
        if load.anodes and load.bias == node
    }


def _with_standby_open(case: Case, limits: Limits, node: str) -> Finding | None:
    """The bias with standby open, where less of it is left than should be."""
    entry = limits[f"{ID}.standby"]
    levels: tuple[Level, ...] = ("wall", "nominal", "high")
    for level in levels:
        opened = next(case.select(("standby open",), (level,)), None)
        idle = next(case.select(("idle",), (level,)), None)
        if opened is None or idle is None or node not in opened.nodes or node not in idle.nodes:
            continue
        left, usual = abs(opened.nodes[node].dc), abs(idle.nodes[node].dc)
        if left >= entry.value * usual:
            return None
        said = (
            f"With standby open the bias falls from {shown(-usual, 'V')} to {shown(-left, 'V')}; when it "
            "closes the B+ is back before the bias, on hot valves."
        )
        change = "Let standby break the B+ behind the reservoir, or feed the bias from a winding of its own."
        return _marginal(node, said, entry.cited, change, opened.name)
    return None


def _marginal(node: str, why: str, source: str, change: str, condition: str | None = None) -> Finding:
    return Finding(
        rule=ID,
        subject=node,
        condition=condition,
        verdict="marginal",
        why=why,
        source=source,
        change=change,
    )


def _told(node: str, why: str) -> Finding:
    return Finding(rule=ID, subject=node, condition=None, verdict="ok", why=why, source=_JOINED)


def _doing(names: list[str], verb: str) -> str:
    """The beginning of a sentence: ``The fuse at mains takes``, ``The fuse at A and the fuse at B take``."""
    text = names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
    ending = "s" if len(names) == 1 and " " not in verb else ""
    return f"{text[0].upper()}{text[1:]} {verb}{ending}"
