"""Heater voltage: the volts at each heater winding under load against the heaters' nominal volts.

What it checks
--------------
Every winding that feeds heaters, rectifier heaters too, at idle at the wall voltage if it is known, else at
nominal mains, by the volts at the heaters: behind a resistor or a fuse in the winding's leads. And every DC
node that heats valves, its mean volts. The nominal volts of a winding are those of the rectifier on the
winding, else of the valves listed, else the standard heater voltage nearest to what the heaters get.

Why it matters
--------------
Too hot a cathode evaporates, and its heater burns out sooner; too cold a cathode is stripped by the current
drawn from it. An old transformer on today's mains runs its heaters high.

Limit
-----
More than 7 % off is marginal, more than 10 % off is over, either way.

Source
------
Radio Constructor, April 1962 (r-type.org/addtext/add130.htm): British practice within 7 %, outer limit 10
%. The ARRL gives 10 % for indirectly heated valves as well.

What to change
--------------
Too high: a resistor in the heater lead (one in each, for symmetry), or the next higher tap of the primary.
Too low: the next lower tap, heavier heater wiring, or a winding that carries the current.

A passing example
-----------------
6.49 V on heaters of 6.3 V at the wall voltage: 3 % high.

A failing example
-----------------
7.06 V on heaters of 6.3 V at the wall voltage: 12 % high.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from psucheck.checks import ratings
from psucheck.checks.case import Case
from psucheck.checks.finding import Finding
from psucheck.checks.judging import against_lower, against_upper, not_checked, share, shown
from psucheck.checks.limits import Limits
from psucheck.figures.model import Figures
from psucheck.supply.fill_fixed import heater_volts
from psucheck.supply.fill_loads import HEATER_VOLTS, ac_line_up, heater_winding
from psucheck.supply.model import Load, Supply
from psucheck.supply.topology import rectifier_of

ID = "heater-voltage"
TITLE = "Heater voltage"

# How far from a standard voltage a winding may read before it is unclear which was meant [share]; further
# where the line-up tells.
_UNCLEAR, _UNCLEAR_IF_KNOWN = 0.2, 0.25

_HIGHER_TAP = "Put a resistor in each heater lead, or use the next higher tap of the primary."
_LOWER_TAP = "Use the next lower tap of the primary, or a winding that carries the current."
_MORE_DROP = "Put more resistance before the node."
_LESS_DROP = "Take resistance out before the node, or give it a larger capacitor."


def judge(case: Case, limits: Limits) -> Iterator[Finding]:
    """One finding for each winding that feeds heaters."""
    figures = next(case.select(("idle",), ("wall",)), None) or next(
        case.select(("idle",), ("nominal",)), None
    )
    rectified = {rectifier.winding for rectifier in case.supply.rectifiers.values()}
    heated = {rectifier.heater for rectifier in case.supply.rectifiers.values()}
    for name in case.supply.windings:
        if name in heated or name not in rectified or name == heater_winding(case.supply):
            finding = _judged(case, limits, name, figures)
            if finding is not None:
                yield finding
    for name, load in case.supply.loads.items():
        if load.heaters is not None and load.node is not None:
            yield _on_dc(case, limits, name, load, load.node, figures)


def _judged(case: Case, limits: Limits, name: str, figures: Figures | None) -> Finding | None:
    """The finding, or None for a winding that feeds nothing."""
    if figures is None or name not in figures.windings:
        return not_checked(
            ID, name, why="No run gave its volts under load.", measure="AC volts at a heater, valves in"
        )
    winding = figures.windings[name]
    nominal = _of_rectifier(case, name) or _nearest(winding.at_heaters, _of_line_up(case.supply, name))
    if not any(winding.rms_current):
        return _unloaded(case, name)
    if nominal is None:
        return not_checked(
            ID,
            name,
            why=f"It reads {shown(winding.at_heaters, 'V')}, which is near no standard heater voltage.",
            measure="what this winding feeds",
            condition=figures.name,
            figure=winding.at_heaters,
            unit="V",
        )
    return _held(case, limits, name, figures, nominal)


def _on_dc(case: Case, limits: Limits, name: str, load: Load, node: str, figures: Figures | None) -> Finding:
    """Heaters on a DC node: the mean volts there. A heater takes DC and AC of one RMS value alike."""
    if figures is None or node not in figures.nodes:
        return not_checked(
            ID, name, why="No run gave the volts of its node.", measure="DC at the heaters, valves in"
        )
    volts, nominal = abs(figures.nodes[node].dc), heater_volts(load, case.supply)
    rectifier = case.supply.rectifiers[rectifier_of(case.supply, node)]
    return _off_nominal(
        limits,
        name,
        figures.name,
        volts,
        nominal,
        guessed=case.guessed(f"windings.{rectifier.winding}."),
        hopeful=None,
        changes=(_MORE_DROP, _LESS_DROP),
    )


def _unloaded(case: Case, name: str) -> Finding | None:
    if case.supply.valves:
        return None  # the line-up is known, so this winding is spare
    return not_checked(
        ID,
        name,
        why="What it heats is not given.",
        measure="the valves on it: add the line-up (valves = ...)",
    )


def _of_rectifier(case: Case, name: str) -> float | None:
    """Nominal heater volts of the rectifier valve on the winding."""
    for rectifier in case.supply.rectifiers.values():
        if rectifier.heater == name:
            rated = ratings.device(rectifier.device).heater_volts
            if rated is not None:
                return rated.value
    return None


def _of_line_up(supply: Supply, name: str) -> tuple[float, ...]:
    """Heater volts of the listed valves, in series halves too, if the winding is the one that heats them."""
    if name != heater_winding(supply):
        return ()
    valves = [ratings.load_valve(entry.type) for entry in ac_line_up(supply)]
    heaters = [(valve.heater, valve.heater_in_series) for valve in valves if valve is not None]
    return tuple({entry.value.volts for pair in heaters for entry in pair if entry is not None})


def _nearest(volts: float, known: tuple[float, ...]) -> float | None:
    """The heater voltage nearest to a reading of ``volts``: of those known, else of the standard ones."""
    nearest = min(known or HEATER_VOLTS, key=lambda standard: abs(volts - standard) / standard)
    unclear = _UNCLEAR_IF_KNOWN if known else _UNCLEAR
    return nearest if abs(volts - nearest) <= unclear * nearest else None


def _held(case: Case, limits: Limits, name: str, figures: Figures, nominal: float) -> Finding:
    volts = figures.windings[name].at_heaters
    return _off_nominal(
        limits,
        name,
        figures.name,
        volts,
        nominal,
        guessed=case.guessed(f"windings.{name}."),
        hopeful=_hopeful(case, name, figures, high=volts >= nominal),
        changes=(_HIGHER_TAP, _LOWER_TAP),
    )


def _off_nominal(
    limits: Limits,
    subject: str,
    condition: str,
    volts: float,
    nominal: float,
    *,
    guessed: bool,
    hopeful: float | None,
    changes: tuple[str, str],
) -> Finding:
    """Hold ``volts`` against the band about ``nominal``; ``changes``: what to do if too high, if too low."""
    outer, inner = limits[f"{ID}.outer"], limits.value(f"{ID}.inner")
    off = abs(volts - nominal) / nominal
    high = volts >= nominal
    hold = against_upper if high else against_lower
    change = changes[0] if high else changes[1]
    finding = hold(
        ID,
        subject,
        condition,
        volts,
        nominal * (1 + outer.value if high else 1 - outer.value),
        "V",
        why=f"{shown(volts, 'V')} on heaters of {shown(nominal, 'V')}: "
        f"{share(off)} {'high' if high else 'low'}.",
        source=outer.cited,
        guessed=guessed,
        hopeful=hopeful,
        change=change,
    )
    if finding.verdict == "ok" and off > inner:
        return replace(finding, verdict="marginal", change=change)
    return finding


def _hopeful(case: Case, name: str, figures: Figures, *, high: bool) -> float | None:
    """The volts nearest to nominal that a guessed copper resistance allows [V]; None where it cannot be told.

    The drop under load, against the same mains with the valves out, goes with the resistance; the heaters get
    their share of what that changes at the winding.
    """
    unloaded = next(case.select(("valves out",), (figures.level,)), None)
    copper = next((one for one in case.assumptions if one.key == f"windings.{name}.resistance"), None)
    if unloaded is None or copper is None or not copper.low or not copper.high:
        return None
    loaded = figures.windings[name]
    share_of_it = loaded.at_heaters / loaded.volts
    drop = max(unloaded.windings[name].volts - loaded.volts, 0.0) * share_of_it
    return loaded.at_heaters + drop * (1 - (copper.high if high else copper.low) / copper.value)
