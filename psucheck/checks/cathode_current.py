"""Cathode current: the mean current of each output valve against what its cathode may give.

What it checks
--------------
Every load of output valves: anode and screen current of one valve together, at idle and at full output, the
mean over a mains cycle.

Why it matters
--------------
A cathode that gives more than it was made for loses its emission early, and its coating may part. A stage
that is driven hard into too low a load impedance gets there before its anodes glow.

Limit
-----
The greatest mean cathode current of the sheet, on the sheet's basis (design-centre at nominal mains,
otherwise at high). Over at idle or with full output for a third of the time; marginal where only continuous
full output exceeds it. Where the part library holds no such limit, since the sheet was not opened or states
none, it is not checked.

Source
------
The valve's data sheet as the part library holds it. The third: common practice, no source.

What to change
--------------
A higher load impedance, more negative bias, larger resistors at the screens.

A passing example
-----------------
EL34 (150 mA): 38 mA at idle, 99 mA at full output.

A failing example
-----------------
EL34 idling at 160 mA each, with the bias lost in part.
"""

from __future__ import annotations

from collections.abc import Iterator

from psucheck.checks import ratings
from psucheck.checks.case import Case
from psucheck.checks.finding import Finding
from psucheck.checks.judging import LEVELS, highest, not_checked, share, shown, worst
from psucheck.checks.limits import Limits
from psucheck.checks.output_valves import levels_for, outputs
from psucheck.checks.ratings import Rated
from psucheck.figures.model import Figures
from psucheck.parts.valves import LoadValve

ID = "cathode-current"
TITLE = "Cathode current"


def judge(case: Case, limits: Limits) -> Iterator[Finding]:
    """One finding for each load of output valves."""
    for name, type_ in outputs(case.supply):
        valve = ratings.load_valve(type_)
        if valve is not None and valve.cathode_current is not None:
            yield _judged(case, limits, name, valve, Rated.held(valve.cathode_current))
        else:
            yield _unknown(case, name, type_)


def _unknown(case: Case, name: str, type_: str) -> Finding:
    found = highest(case, ("idle", "full output"), LEVELS, lambda figures: _amps(figures, name))
    drawn = "" if found is None else f"Each cathode gives up to {shown(found[1], 'A')}; "
    return not_checked(
        ID,
        name,
        why=f"{drawn}{'what' if drawn else 'What'} the {type_} allows is not held.",
        measure=f"the greatest cathode current on the data sheet of the {type_}, if it states one",
        condition=None if found is None else found[0].name,
        figure=None if found is None else found[1],
        unit="A",
    )


def _amps(figures: Figures, name: str) -> float | None:
    """Anode and screen current of one valve [A]."""
    found = figures.valves.get(name)
    return None if found is None else found.anode_current + found.screen_current


def _judged(case: Case, limits: Limits, name: str, valve: LoadValve, rated: Rated) -> Finding:
    def amps(figures: Figures) -> float | None:
        return _amps(figures, name)

    levels = levels_for(valve)
    idle, full = highest(case, ("idle",), levels, amps), highest(case, ("full output",), levels, amps)
    if idle is None:
        return not_checked(
            ID, name, why="No run gave its cathode current.", measure="the idle current of the valves"
        )

    def held(when: str, drawn: float, state: str) -> Finding:
        return ratings.hold_upper(
            ID,
            name,
            when,
            drawn,
            rated,
            "A",
            why=f"{shown(drawn, 'A')} from each cathode {state}; the {valve.name} allows "
            f"{shown(rated.value, 'A')}.",
            change="Set the bias more negative; at full output, a higher load impedance.",
        )

    findings = [held(idle[0].name, idle[1], "at idle")]
    if full is not None:
        duty = limits.value("duty.full-output")
        playing = duty * full[1] + (1 - duty) * idle[1]
        findings.append(held(f"{share(duty)} of the time at {full[0].name}", playing, "in hard playing"))
        flat_out = held(full[0].name, full[1], "at continuous full output")
        if flat_out.verdict == "over":
            flat_out = ratings.softened(flat_out, "only continuous full output exceeds it")
        findings.append(flat_out)
    return worst(findings)
