"""Loaded voltage: DC at idle against the voltage wanted, or against what was read before the work.

What it checks
--------------
The DC on each node at idle: against ``target`` at nominal mains, or, where no target is given, against
``was`` at the wall voltage it was read at. A node with neither is not judged; a supply with neither
anywhere is asked for one reading.

Why it matters
--------------
B+ sets the output power, the heat in the output valves and the bias they need. Where the figure does not
come out near a reading of the amplifier as it was, either the work changed it or the description is wrong,
and every other figure with it.

Limit
-----
``target``: its own tolerance; beyond it is over. ``was``: more than 10 % apart is marginal, more than 5 %
is remarked on.

Source
------
The tolerance is that of the description (5 % where it gives none). 5 % and 10 % from a reading: common
practice, no source.

What to change
--------------
Too high: another tap of the primary, a valve rectifier, a resistor in each anode lead or before the
reservoir. Too low: less resistance in the filter, silicon, another transformer. Far from ``was`` with
nothing changed: check the winding's volts and resistances, the idle current, and the wall voltage.

A passing example
-----------------
``target = "440 V +-5 %"`` on a reservoir that reads 451 V at idle: 2.5 % above the target.

A failing example
-----------------
``target = "440 V +-5 %"`` on a reservoir that reads 473 V at idle: 11 V beyond 462 V.
"""

from __future__ import annotations

from collections.abc import Iterator

from psucheck.checks.case import Case
from psucheck.checks.finding import Finding, Verdict
from psucheck.checks.judging import against_lower, against_upper, not_checked, share, shown
from psucheck.checks.limits import Limits
from psucheck.checks.rails import is_bias
from psucheck.figures.model import Figures, Level
from psucheck.supply.topology import parents

ID = "loaded-voltage"
TITLE = "Loaded voltage"

_READ = "read DC on it at idle, with the wall voltage, and give it as was"


def judge(case: Case, limits: Limits) -> Iterator[Finding]:
    """One finding a node that has a target or a reading."""
    nodes = case.supply.filter
    for name, node in nodes.items():
        if node.target is not None:
            yield _against_target(case, name, *node.target)
        elif node.was is not None:
            yield _against_reading(case, limits, name, node.was)
    if all(node.target is None and node.was is None for node in nodes.values()):
        first = next((name for name in nodes if not is_bias(case.supply, name)), None)
        if first is not None:
            yield not_checked(ID, first, why="Nothing is given to hold its voltage against.", measure=_READ)


def _idle(case: Case, node: str, *levels: Level) -> Figures | None:
    """The idle condition at the first of ``levels`` that was run."""
    for level in levels:
        for figures in case.select(("idle",), (level,)):
            if node in figures.nodes:
                return figures
    return None


def _no_run(node: str) -> Finding:
    return not_checked(ID, node, why="No run gave its voltage at idle.", measure=_READ)


def _against_target(case: Case, node: str, target: float, tolerance: float) -> Finding:
    figures = _idle(case, node, "nominal")
    if figures is None:
        return _no_run(node)
    dc = abs(figures.nodes[node].dc)
    high = dc >= target
    hold = against_upper if high else against_lower
    return hold(
        ID,
        node,
        figures.name,
        dc,
        target * (1 + tolerance if high else 1 - tolerance),
        "V",
        why=f"{shown(dc, 'V')} at idle, {_apart(dc, target)} its target of {shown(target, 'V')} "
        f"within {share(tolerance)}.",
        source="target as given in the description",
        change=(
            "Take a higher primary tap, or drop the difference before the reservoir."
            if high
            else "Take a lower primary tap, or less resistance in the filter."
        ),
    )


def _against_reading(case: Case, limits: Limits, node: str, was: float) -> Finding:
    figures = _idle(case, node, "wall", "nominal")
    if figures is None:
        return _no_run(node)
    dc, read = abs(figures.nodes[node].dc), abs(was)
    apart = abs(dc - read) / read
    verdict: Verdict = "marginal" if apart > limits.value(f"{ID}.was-marginal") else "ok"
    above = _moved_above(case, figures, node)
    if apart <= limits.value(f"{ID}.was-note"):
        remark = "."
    elif above is not None and abs(dc / read - above[1]) <= limits.value(f"{ID}.was-note"):
        # It only follows the node that feeds it, which is told of already.
        verdict, remark = "ok", f", as {above[0]} has moved."
    else:
        remark = ": the work changed it, or a value in the description is off."
    return Finding(
        rule=ID,
        subject=node,
        condition=figures.name,
        verdict=verdict,
        why=f"{shown(dc, 'V')} at idle, {_apart(dc, read)} the {shown(read, 'V')} that was read{remark}",
        source=limits[f"{ID}.was-marginal"].cited,
        figure=dc,
        unit="V",
        change=None if verdict == "ok" else "Check the winding's volts and resistances and the idle current.",
    )


def _moved_above(case: Case, figures: Figures, node: str) -> tuple[str, float] | None:
    """The nearest node above that was read, and its volts now as a share of that reading."""
    sources = parents(case.supply)
    source = sources[node]
    while source.kind == "node":
        was = case.supply.filter[source.name].was
        if was is not None:
            return source.name, abs(figures.nodes[source.name].dc / was)
        source = sources[source.name]
    return None


def _apart(dc: float, wanted: float) -> str:
    apart = abs(dc - wanted)
    return f"{shown(apart, 'V')} ({100 * apart / wanted:.1f} %) {'above' if dc >= wanted else 'below'}"
