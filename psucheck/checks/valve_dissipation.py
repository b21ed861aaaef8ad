"""Valve dissipation: watts on the anodes and screens of the output valves against their ratings.

What it checks
--------------
Every load of output valves: anode watts per valve at idle, screen watts per valve at idle and at full
output.

Why it matters
--------------
A valve idling above its anode rating glows, gasses and runs away. Screens melt at full output, when the
anode swings low and the screen takes the current instead.

Limit
-----
The watts of the data sheet, on the sheet's basis (design-centre at nominal mains, otherwise at high). Anode
at idle: over above the rating; with fixed bias, marginal above 90 %, since nothing then holds the current
if the mains rises. The habit of idling a push-pull stage at 70 % is told, and is no limit. Screen: over at
idle or with full output for a third of the time, marginal where only continuous full output exceeds it.
Where the sheet allows more at full signal, that holds for full output.

Source
------
The valve's data sheet. 90 %, 70 % and the third: common practice, no source.

What to change
--------------
More negative bias, or a larger cathode resistor; for screens, a larger resistor at each screen.

A passing example
-----------------
2 x EL34 idling at 432 V and 33 mA on each anode: 14 W, 25 W allowed, 57 %.

A failing example
-----------------
2 x 6V6GT idling at 405 V and 35 mA on each anode: 14.2 W, 12 W allowed.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from psucheck.checks import ratings
from psucheck.checks.case import Case
from psucheck.checks.finding import Finding
from psucheck.checks.judging import highest, not_checked, share, shown, worst
from psucheck.checks.limits import Limits
from psucheck.checks.output_valves import levels_for, outputs
from psucheck.checks.ratings import Rated
from psucheck.figures.model import Figures
from psucheck.parts.valves import LoadValve

ID = "valve-dissipation"
TITLE = "Valve dissipation"


def judge(case: Case, limits: Limits) -> Iterator[Finding]:
    """Two findings for each load of output valves: anode watts, and screen watts."""
    for name, type_ in outputs(case.supply):
        valve = ratings.load_valve(type_)
        if valve is None:
            yield not_checked(
                ID,
                name,
                why=f"{type_} is not in the part library.",
                measure=f"the greatest anode and screen watts on the data sheet of {type_}",
            )
            continue
        yield replace(_anode(case, limits, name, valve), part="anode")
        if case.supply.loads[name].screens is not None:
            yield replace(_screen(case, limits, name, valve), part="screen")


def _anode(case: Case, limits: Limits, name: str, valve: LoadValve) -> Finding:
    def watts(figures: Figures) -> float | None:
        found = figures.valves.get(name)
        return None if found is None else found.anode_watts

    found = highest(case, ("idle",), levels_for(valve), watts)
    if found is None:
        return _no_run(name, "anode")
    figures, most = found
    rated = Rated.held(valve.anode_watts)
    fixed = case.supply.loads[name].bias != "cathode"
    part = most / rated.value
    usual = limits.value(f"{ID}.usual-idle")
    finding = ratings.hold_upper(
        ID,
        name,
        figures.name,
        most,
        rated,
        "W",
        why=f"{shown(most, 'W')} on each anode at idle, {share(part)} of what the {valve.name} allows.",
        practice=limits.value(f"{ID}.fixed-bias-idle") if fixed else None,
        change="Set the bias more negative." if fixed else "Fit a larger cathode resistor.",
    )
    if fixed and part > usual:
        told = (
            f"{finding.why.rstrip('.')}; a push-pull stage with fixed bias is usually set to {share(usual)}."
        )
        return replace(finding, why=told)
    return finding


def _screen(case: Case, limits: Limits, name: str, valve: LoadValve) -> Finding:
    if valve.screen_watts is None:
        return not_checked(
            ID,
            name,
            why=f"The screen rating of the {valve.name} is not known.",
            measure=f"the greatest screen watts on the data sheet of {valve.name}",
        )

    def watts(figures: Figures) -> float | None:
        found = figures.valves.get(name)
        return None if found is None else found.screen_watts

    levels = levels_for(valve)
    idle, full = highest(case, ("idle",), levels, watts), highest(case, ("full output",), levels, watts)
    if idle is None:
        return _no_run(name, "screen")
    rated = Rated.held(valve.screen_watts)
    findings = [_screen_held(name, valve, idle[0].name, idle[1], rated, "at idle")]
    if full is not None:
        duty = limits.value("duty.full-output")
        playing = duty * full[1] + (1 - duty) * idle[1]
        when = f"{share(duty)} of the time at {full[0].name}"
        findings.append(_screen_held(name, valve, when, playing, rated, "in hard playing"))
        signal = valve.screen_watts_full_signal
        flat_out = _screen_held(
            name,
            valve,
            full[0].name,
            full[1],
            rated if signal is None else Rated.held(signal),
            "at continuous full output",
        )
        findings.append(
            ratings.softened(flat_out, "only continuous full output exceeds it")
            if flat_out.verdict == "over"
            else flat_out
        )
    return worst(findings)


def _screen_held(name: str, valve: LoadValve, when: str, watts: float, rated: Rated, state: str) -> Finding:
    return ratings.hold_upper(
        ID,
        name,
        when,
        watts,
        rated,
        "W",
        why=f"{shown(watts, 'W')} on each screen {state}; the {valve.name} allows {shown(rated.value, 'W')}.",
        change="Fit a larger resistor at each screen.",
    )


def _no_run(name: str, part: str) -> Finding:
    return not_checked(
        ID, name, why=f"No run gave its {part} watts.", measure="the idle current of the valves"
    )
