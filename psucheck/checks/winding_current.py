"""Winding current: the RMS current of every winding against its rating.

What it checks
--------------
Every secondary, each half of a centre-tapped one by itself, heater windings too. Where the transformer's
power is given, the primary as well: its RMS current against that power over the tap's volts.

Why it matters
--------------
Copper warms with the square of the RMS current, and a capacitor-input rectifier draws far more RMS than DC:
about 1.8 to 2.1 times in a bridge, 1.3 to 1.5 times per half of a centre-tapped winding. A transformer that
is too small shows nothing until its insulation fails.

Limit
-----
The rated current, AC or DC as the label means it. A DC rating is held against the direct current that the
winding's rectifiers draw, and is taken to be for the kind of rectifier fitted. Over at idle or with full
output for a third of the time; marginal where only continuous full output exceeds it. A winding that feeds
heaters alone is marginal up to 5 % over: sound valves differ from their sheet's heater current by as much.

Source
------
The label or data sheet of the transformer. The third and the 5 %: common practice, no source. The ratio
shown beside it: Hammond, Design Guide for Rectifier Use; its ratios are low for a winding of little
resistance, so the simulated current is what counts.

What to change
--------------
A transformer of a higher rating, or less load; a choke-input filter draws least RMS for its DC.

A passing example
-----------------
``ht = "345-0-345 V 220 mA"`` carrying 112 mA RMS at idle and 205 mA at full output in each half.

A failing example
-----------------
``heaters = "6.3 V 3 A"`` carrying 3.9 A at idle.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from psucheck.checks import ratings
from psucheck.checks.case import Case
from psucheck.checks.finding import Finding
from psucheck.checks.judging import LEVELS, highest, not_checked, shown
from psucheck.checks.limits import Limits
from psucheck.checks.ratings import Rated
from psucheck.figures.model import Figures, Level
from psucheck.supply.model import Winding
from psucheck.supply.topology import choke_input

ID = "winding-current"
TITLE = "Winding current"

_PRIMARY = "primary"


def judge(case: Case, limits: Limits) -> Iterator[Finding]:
    """One finding a winding, and one for the primary where the transformer's power is given."""
    for name, winding in case.supply.windings.items():
        yield _judged(case, limits, name, winding)
    if case.supply.transformer.power is not None:
        yield _of_primary(case, limits, case.supply.transformer.power)


def _judged(case: Case, limits: Limits, name: str, winding: Winding) -> Finding:
    direct = winding.current_is == "DC" and winding.current is not None

    def amps(figures: Figures) -> float | None:
        if direct:
            return _direct_current(case, figures, name)
        found = figures.windings.get(name)
        return None if found is None else max(found.rms_current)

    # A winding that feeds heaters alone is rated, as they are, at nominal mains.
    fed = any(rectifier.winding == name for rectifier in case.supply.rectifiers.values())
    levels: tuple[Level, ...] = LEVELS if fed else ("nominal",)
    idle, full = highest(case, ("idle",), levels, amps), highest(case, ("full output",), levels, amps)
    if idle is None:
        return not_checked(ID, name, why="No run gave its current.", measure="the currents drawn at idle")
    if winding.current is None:
        most = max((pair for pair in (idle, full) if pair), key=lambda pair: pair[1])
        return not_checked(
            ID,
            name,
            why=f"It carries up to {shown(most[1], 'A')} RMS; its rated current is not given.",
            measure="the current on its label, or the transformer's VA or weight",
            condition=most[0].name,
            figure=most[1],
            unit="A",
        )
    rated = Rated(winding.current, "rating of the winding, as given in the description")
    each = "Each half carries" if winding.centre_tapped and not direct else "It carries"
    kind = "DC" if direct else "RMS"
    finding = ratings.hold_duty(
        ID,
        name,
        idle,
        full,
        rated,
        limits,
        why=lambda figure: f"{each} {shown(figure, 'A')} {kind}, rated {shown(rated.value, 'A')}",
        hopeful_share=_hopeful_share(case, limits, name),
        change="Take a transformer of a higher rating, or draw less.",
    )
    if not fed and finding.verdict == "over" and _within_the_spread(limits, finding):
        return ratings.softened(finding, "sound valves differ from their sheet's heater current by as much")
    return finding if direct else _beside_the_guide(case, limits, name, finding)


def _within_the_spread(limits: Limits, finding: Finding) -> bool:
    assert finding.figure is not None  # it was held against a limit
    assert finding.limit is not None
    return finding.figure <= limits.value(f"{ID}.heaters") * finding.limit


def _hopeful_share(case: Case, limits: Limits, name: str) -> float | None:
    """Share of the current that is left at the favourable end of a guess; None where nothing was guessed."""
    guessed = case.guessed(f"windings.{name}.", "transformer.primary.resistance")
    rectified = any(rectifier.winding == name for rectifier in case.supply.rectifiers.values())
    return limits.value(f"{ID}.guess-share") if guessed and rectified else None


def _direct_current(case: Case, figures: Figures, name: str) -> float | None:
    """Direct current that all rectifiers of a winding draw together [A]."""
    drawn = [
        abs(figures.rectifiers[key].mean_current)
        for key, rectifier in case.supply.rectifiers.items()
        if rectifier.winding == name and key in figures.rectifiers
    ]
    return sum(drawn) if drawn else None


def _beside_the_guide(case: Case, limits: Limits, name: str, finding: Finding) -> Finding:
    """Add what the winding guide's ratio gives to a finding that is over or marginal."""
    fed = [key for key, rectifier in case.supply.rectifiers.items() if rectifier.winding == name]
    condition = case.figures.get(finding.condition or "")
    if finding.verdict == "ok" or len(fed) != 1 or condition is None or fed[0] not in condition.rectifiers:
        return finding
    circuit = case.supply.rectifiers[fed[0]].circuit
    if circuit not in ("centre-tapped", "bridge", "half-wave"):
        return finding
    kind = "choke" if choke_input(case.supply, fed[0]) else "capacitor"
    entry = limits.entries.get(f"{ID}.guide-{circuit}-{kind}")
    if entry is None:
        return finding
    amps = abs(condition.rectifiers[fed[0]].mean_current) / entry.value
    return replace(finding, why=f"{finding.why.rstrip('.')} (Hammond's guide: {shown(amps, 'A')}).")


def _of_primary(case: Case, limits: Limits, power: float) -> Finding:
    def amps(figures: Figures) -> float | None:
        return None if figures.mains_supply is None else figures.mains_supply.rms_current

    idle = highest(case, ("idle",), LEVELS, amps)
    if idle is None:
        return not_checked(
            ID, _PRIMARY, why="No run gave its current.", measure="AC amps drawn from the wall at idle"
        )
    volts = case.supply.transformer.primary.voltage
    rated = Rated(
        power / volts, f"{shown(power, 'VA')} over {shown(volts, 'V')}, as given in the description"
    )
    return ratings.hold_duty(
        ID,
        _PRIMARY,
        idle,
        highest(case, ("full output",), LEVELS, amps),
        rated,
        limits,
        why=lambda figure: (
            f"It draws {shown(figure, 'A')} RMS; {shown(power, 'VA')} are "
            f"{shown(rated.value, 'A')} at {shown(volts, 'V')}"
        ),
        change="Take a transformer of more VA, or draw less.",
    )
