"""Resistor pulse: what switching on puts into droppers, anode resistors and series resistors.

What it checks
--------------
With empty capacitors a dropper sees the whole rail, and a resistor in an anode lead the whole charge of the
reservoir. Checked are droppers before a capacitor, resistors in anode leads, and resistors that stand at a
place, in every kind of switch-on and restart: the energy of the pulse, and, where the resistor's limiting
voltage is given, the highest volts.

Why it matters
--------------
A resistor that is well rated for what it carries all day can open after some hundreds of switch-ons: the
element heats faster than its body. A film also breaks down along its spiral above a certain voltage.

Limit
-----
The short-time overload of usual film resistors: 2.5 times the volts that their rated watts allow, for 5 s.
For a shorter pulse the watts that it stands rise as one over the root of its length, since the heat gets as
far into the body as the root of time. Above is marginal: makers' pulse curves differ, and wirewound
resistors stand more. Volts beyond twice the limiting voltage, where that is given, are over.

The energy of a dropper is that of charging the capacitor behind it, over half the time constant of the two;
those further down charge slowly and are left out. That of an anode resistor is its share of charging the
first capacitor over a plain resistance, which is more than it really is.

Source
------
Yageo MFR series data sheet: short-time overload of 2.5 times the rated voltage for 5 s, greatest overload
voltage twice the greatest working voltage (IEC 60115-1, 4.13). The root of time: derived, heat spreading
into a thick body.

What to change
--------------
A wirewound resistor, one of more watts, or two in series of half the value each.

A passing example
-----------------
A 10k 2 W dropper before 22 uF that sees 388 V: 1.7 J, 9.3 J allowed.

A failing example
-----------------
A 4k7 0.5 W dropper before 100 uF that sees 450 V: 10 J, 3.4 J allowed.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from psucheck.checks.case import Case
from psucheck.checks.described import SURGES, first_capacitance
from psucheck.checks.finding import Finding
from psucheck.checks.judging import LEVELS, against_upper, shown, worst
from psucheck.checks.limits import Limits
from psucheck.figures.model import Figures
from psucheck.supply import topology
from psucheck.supply.model import Resistor

ID = "resistor-pulse"
TITLE = "Resistor pulse at switch-on"

_CHANGE = "Fit a wirewound part or one of more watts, or two in series of half the value each."


@dataclass(frozen=True, slots=True)
class Pulse:
    """The energy [J] that a resistor takes, within how long [s] (as a pulse of even height), and when."""

    figures: Figures
    joules: float
    seconds: float


def judge(case: Case, limits: Limits) -> Iterator[Finding]:
    """One finding a resistor whose watts are known and whose pulse the runs tell."""
    for name, resistor, pulses in _resistors(case):
        if resistor.power is not None and pulses:
            yield _judged(case, limits, name, resistor, resistor.power, pulses)


def capability(limits: Limits, watts: float, seconds: float) -> float:
    """The energy [J] that a film resistor of ``watts`` stands within ``seconds``."""
    test = limits.value(f"{ID}.seconds")
    return limits.value(f"{ID}.overload") ** 2 * watts * math.sqrt(test * min(seconds, test))


def _resistors(case: Case) -> Iterator[tuple[str, Resistor, list[Pulse]]]:
    runs = list(case.select(SURGES, LEVELS))
    for node, part in case.supply.filter.items():
        if part.resistor is not None and part.capacitor is not None:
            name = f"{node} dropper"
            yield name, part.resistor, [p for run in runs if (p := _dropper(case, node, name, run))]
    for rectifier, described in case.supply.rectifiers.items():
        if described.anode_resistors is not None:
            name = f"{rectifier} anode resistor"
            found = [p for run in runs if (p := _anode(case, rectifier, run))]
            yield name, described.anode_resistors, found
    for place, standing in case.supply.series.items():
        if isinstance(standing, Resistor):
            yield place, standing, [p for run in runs for p in _at_place(place, standing, run)]


def _dropper(case: Case, node: str, name: str, run: Figures) -> Pulse | None:
    """A dropper that charges the capacitor behind it: CV^2/2, as a pulse of even height over RC/2."""
    found, part = run.resistors.get(name), case.supply.filter[node]
    if found is None or part.resistor is None or part.capacitor is None:
        return None
    farads = part.capacitor.string_value
    return Pulse(run, farads * found.max_volts**2 / 2, part.resistor.value * farads / 2)


def _anode(case: Case, rectifier: str, run: Figures) -> Pulse | None:
    """An anode resistor's share of what charging the first capacitor loses, as over a plain resistance."""
    described = case.supply.rectifiers[rectifier]
    farads, found = first_capacitance(case.supply, rectifier), run.rectifiers.get(rectifier)
    first = [run.nodes[name] for name in topology.first_nodes(case.supply, rectifier) if name in run.nodes]
    if farads is None or found is None or not first or described.anode_resistors is None:
        return None
    volts = max(max(abs(node.min), abs(node.max)) for node in first)
    anodes = 2 if described.circuit == "centre-tapped" else 1
    part = described.anode_resistors.value / found.source_resistance / anodes
    return Pulse(run, part * farads * volts**2 / 2, found.source_resistance * farads / 2)


def _at_place(place: str, resistor: Resistor, run: Figures) -> Iterator[Pulse]:
    found = run.places.get(place)
    for seconds, amps in () if found is None else found.window_rms:
        yield Pulse(run, resistor.value * amps**2 * seconds, seconds)


def _judged(
    case: Case, limits: Limits, name: str, resistor: Resistor, watts: float, pulses: list[Pulse]
) -> Finding:
    overload, test = limits[f"{ID}.overload"], limits.value(f"{ID}.seconds")
    pulses = [pulse for pulse in pulses if pulse.seconds <= test] or pulses
    hardest = max(pulses, key=lambda p: p.joules / capability(limits, watts, p.seconds))
    allowed = capability(limits, watts, hardest.seconds)
    energy = against_upper(
        ID,
        name,
        hardest.figures.name,
        hardest.joules,
        allowed,
        "J",
        why=f"Up to {shown(hardest.joules, 'J')} within about {shown(hardest.seconds, 's')} in "
        f"{shown(resistor.value, 'ohm')}; a film resistor of {shown(watts, 'W')} stands about "
        f"{shown(allowed, 'J')}.",
        source=f"{overload.cited}; {limits[f'{ID}.seconds'].cited}",
        change=_CHANGE,
    )
    if energy.verdict == "over":
        energy = replace(energy, verdict="marginal")
    volts = _volts(case, limits, name, resistor)
    return energy if volts is None else worst([energy, volts])


def _volts(case: Case, limits: Limits, name: str, resistor: Resistor) -> Finding | None:
    """The highest volts against twice the limiting voltage, where that is given and they exceed it."""
    runs = [run for run in case.select(SURGES, LEVELS) if name in run.resistors]
    if resistor.voltage is None or not runs:
        return None
    highest = max(runs, key=lambda run: run.resistors[name].max_volts)
    most, entry = highest.resistors[name].max_volts, limits[f"{ID}.volts"]
    if most <= entry.value * resistor.voltage:
        return None
    return against_upper(
        ID,
        name,
        highest.name,
        most,
        entry.value * resistor.voltage,
        "V",
        why=f"{shown(most, 'V')} over it for a moment; its limiting voltage is "
        f"{shown(resistor.voltage, 'V')}.",
        source=entry.cited,
        change=_CHANGE,
    )
