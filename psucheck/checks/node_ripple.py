"""Ripple: peak to peak on the reservoir, and whether a replaced capacitor leaves more hum than the original.

What it checks
--------------
The ripple on every node, peak to peak as a share of its DC, at idle and full output at nominal mains,
whichever is worse. Only the reservoir of an HT rail is held against a limit; the nodes behind it and rails
for heaters and relays are told, and so is a bias node, with what of its ripple stands on the grids. Where
``original`` names the capacitor that was there, the ripple on that node is also set against what the
original left.

Why it matters
--------------
Ripple on the reservoir takes away headroom at full output, and what is left of it behind the filter is
heard as hum. A push-pull output stage cancels most of it, a single-ended one nothing.

Limit
-----
A bias node: more than 20 % is marginal. Reservoir: 10 % in a push-pull amplifier, 5 % in a single-ended
one; more is marginal. A load with one output valve, or one resistance of its output transformer, is
single-ended. Against the original: more than 1.5 times its ripple is marginal. That figure is estimated:
ripple goes as one over the capacitance, on this node and on every one before it whose original is given.

Source
------
Reservoir: Valve Wizard, Smoothing. Against the original, the usual ripple on screens of up to 1 %, and that
of a bias node, which the grids' own feed smooths: common practice, no source.

What to change
--------------
More capacitance, as far as the rectifier allows; a choke in place of a resistor; more resistance before the
node that hums, where its voltage can spare it.

A passing example
-----------------
``reservoir = "50 uF 500 V"`` with 30 V peak to peak on 430 V at full output, push-pull: 7 %.

A failing example
-----------------
``reservoir = "16 uF 500 V"`` with 52 V peak to peak on 400 V at full output, push-pull: 13 %.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from psucheck.checks.case import Case
from psucheck.checks.finding import Finding
from psucheck.checks.judging import against_upper, highest, not_checked, shown, worst
from psucheck.checks.limits import Limits
from psucheck.checks.rails import is_bias, is_reservoir, path
from psucheck.figures.model import Figures
from psucheck.supply.model import Load, Supply
from psucheck.supply.topology import rectifier_of

ID = "ripple"
TITLE = "Ripple"

_SCREENS = "screens usually stand up to 1 %"


def judge(case: Case, limits: Limits) -> Iterator[Finding]:
    """One finding a node with a capacitor."""
    for node, part in case.supply.filter.items():
        pair = is_reservoir(case.supply, node)
        if part.capacitor is None and not pair:
            continue
        found = highest(case, ("idle", "full output"), ("nominal",), partial(_share, node))
        if found is None:
            yield not_checked(
                ID,
                node,
                why="No run gave its ripple.",
                measure="AC volts on it at idle, with a meter or scope",
            )
            continue
        if is_bias(case.supply, node):
            finding = _bias(case.supply, limits, node, found)
        else:
            finding = (
                _reservoir(case.supply, limits, node, found) if pair else _told(case.supply, node, found)
            )
        compared = _against_original(case.supply, limits, node, found)
        yield finding if compared is None else _both(finding, compared)


def single_ended(load: Load) -> bool:
    """Whether a load's output stage is single-ended, as far as its description tells."""
    if load.output_transformer is not None:
        return len(load.output_transformer) == 1
    return sum(valves.count for valves in load.valves or ()) == 1


def more_ripple(supply: Supply, node: str) -> float | None:
    """Ripple on a node as a multiple of what the original capacitors left; None without an ``original``.

    First order: ripple goes as one over the capacitance of each node on the way (closed form of an RC or LC
    section well above its corner).
    """
    if supply.filter[node].original is None:
        return None
    ratio = 1.0
    for name in path(supply, node):
        part = supply.filter[name]
        if part.original is not None and part.capacitor is not None:
            ratio *= part.original.string_value / part.capacitor.string_value
    return ratio


def _share(node: str, figures: Figures) -> float | None:
    found = figures.nodes.get(node)
    return None if found is None or found.dc == 0 else found.ripple_pp / abs(found.dc)


def _reservoir(supply: Supply, limits: Limits, node: str, found: tuple[Figures, float]) -> Finding:
    figures, share = found
    alone = any(single_ended(load) for load in supply.loads.values() if load.valves and load.anodes)
    entry = limits[f"{ID}.single-ended" if alone else f"{ID}.push-pull"]
    held = against_upper(
        ID,
        node,
        figures.name,
        100 * share,
        100 * entry.value,
        "%",
        why=f"{_peaks(figures, node)}; a {'single-ended' if alone else 'push-pull'} amplifier stands "
        f"{shown(100 * entry.value, '%')}.",
        source=entry.cited,
        change="Fit more capacitance, as far as the rectifier allows.",
    )
    return replace(held, verdict="marginal") if held.verdict == "over" else held


def _told(supply: Supply, node: str, found: tuple[Figures, float]) -> Finding:
    figures, share = found
    on_screens = any(load.screens == node for load in supply.loads.values())
    return Finding(
        rule=ID,
        subject=node,
        condition=figures.name,
        verdict="ok",
        why=f"{_peaks(figures, node)}{f'; {_SCREENS}' if on_screens else ''}.",
        source="common practice, no source" if on_screens else "",
        figure=100 * share,
        unit="%",
    )


def _bias(supply: Supply, limits: Limits, node: str, found: tuple[Figures, float]) -> Finding:
    """Ripple of a bias node, told as the grids see it; the pot divides volts and ripple alike."""
    figures, share = found
    entry = limits[f"{ID}.bias"]
    told = Finding(
        rule=ID,
        subject=node,
        condition=figures.name,
        verdict="ok",
        why=f"{_peaks(figures, node)}{_at_grids(supply, node, figures)}.",
        source=entry.cited,
        figure=100 * share,
        unit="%",
    )
    if share <= entry.value:
        return told
    held = against_upper(
        ID,
        node,
        figures.name,
        100 * share,
        100 * entry.value,
        "%",
        why=told.why,
        source=entry.cited,
        change="Fit more capacitance on the bias node, or a second section before the grids.",
    )
    return replace(held, verdict="marginal")


def _at_grids(supply: Supply, node: str, figures: Figures) -> str:
    """What of it reaches the grids [V peak to peak], before anything that smooths it there."""
    for name, load in supply.loads.items():
        valves, found = figures.valves.get(name), figures.nodes[node]
        if load.bias == node and valves is not None and found.dc:
            volts = found.ripple_pp * abs(valves.bias / found.dc)
            hertz, bias = f"{_hertz(supply, node):g} Hz", shown(valves.bias, "V")
            return f", {shown(volts, 'V')} of it at {hertz} on the {bias} at the grids"
    return ""


def _hertz(supply: Supply, node: str) -> float:
    """The frequency of a rail's ripple [Hz]: the mains' of a half-wave rectifier, else twice that."""
    half = supply.rectifiers[rectifier_of(supply, node)].circuit == "half-wave"
    return supply.mains.frequency * (1 if half else 2)


def _peaks(figures: Figures, node: str) -> str:
    found = figures.nodes[node]
    return f"{shown(found.ripple_pp, 'V')} peak to peak on {shown(found.dc, 'V')}"


def _against_original(
    supply: Supply, limits: Limits, node: str, found: tuple[Figures, float]
) -> Finding | None:
    ratio, part = more_ripple(supply, node), supply.filter[node]
    if ratio is None or part.original is None or part.capacitor is None:
        return None
    figures, share = found
    entry = limits[f"{ID}.against-original"]
    original = part.original.string_value
    held = against_upper(
        ID,
        node,
        figures.name,
        100 * share,
        100 * share / ratio * entry.value,
        "%",
        why=f"{_peaks(figures, node)}, about {ratio:.1f} times that of the original "
        f"{shown(original, 'F')} (estimated).",
        source=entry.cited,
        change=f"Fit {shown(original / entry.value, 'F')} or more.",
    )
    return replace(held, verdict="marginal") if held.verdict == "over" else held


def _both(finding: Finding, compared: Finding) -> Finding:
    """The one that matters more, saying what both say."""
    chosen = worst([finding, compared])
    other = compared if chosen is finding else finding
    if chosen.verdict == "ok":
        chosen, other = finding, compared
    return replace(chosen, why=f"{chosen.why} {other.why}")
