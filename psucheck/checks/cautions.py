"""The cautions of one supply, with its own numbers: what can hurt, how long, and what does not protect."""

from __future__ import annotations

from collections.abc import Iterator

from psucheck.checks.case import Case
from psucheck.checks.judging import LEVELS, shown
from psucheck.checks.limits import Limits
from psucheck.checks.red_plate import red_plates
from psucheck.figures.model import Figures, NodeFigures, State


def cautions(case: Case, limits: Limits) -> list[str]:
    """Sentences for the technician; none where no rail stands above 60 V DC.

    Stored energy is the sum of ½CV² over all capacitors, in the condition where it is largest.
    """
    peak = _highest(case)
    if peak is None or peak[2] <= limits.value("cautions.rail"):
        return []
    node, figures, volts = peak
    said = [f"Highest voltage: {shown(volts, 'V')} DC at {node}; {figures.name}."]
    said += _energy(case, limits)
    said += _discharge(case, limits, "switch-off, valves out", "With the valves out")
    said += _discharge(case, limits, "switch-off", "With the valves in and hot")
    said += red_plates(case)
    said.append("Before touching: mains plug out, discharge through a resistor, then meter every capacitor.")
    said.append("A variac does not isolate from the mains.")
    said += _lamp(case)
    said.append("Live work is for those trained and licensed for it, by the codes of the place.")
    return said


def _size(found: NodeFigures) -> float:
    return max(abs(found.min), abs(found.max))


def _highest(case: Case) -> tuple[str, Figures, float] | None:
    every = [
        (name, figures, _size(found))
        for figures in case.figures.values()
        for name, found in figures.nodes.items()
    ]
    return max(every, key=lambda each: each[2], default=None)


def _energy(case: Case, limits: Limits) -> Iterator[str]:
    totals = [
        (sum(part.energy for part in figures.capacitors.values()), figures)
        for figures in case.figures.values()
        if figures.capacitors
    ]
    if not totals:
        return
    joules, figures = max(totals, key=lambda total: total[0])
    volts = max(_size(found) for found in figures.nodes.values()) if figures.nodes else 0.0
    least, from_volts = limits.value("cautions.energy"), limits.value("cautions.energy-volts")
    dangerous = joules >= least and volts >= from_volts
    yield f"The capacitors store {shown(joules, 'J')}" + (
        f"; from {shown(least, 'J')} at {shown(from_volts, 'V')} a shock can kill." if dangerous else "."
    )


def _discharge(case: Case, limits: Limits, state: State, when: str) -> Iterator[str]:
    """One sentence: the node that stays dangerous longest after switch-off."""
    rail = limits.value("cautions.rail")
    runs = list(case.select((state,), LEVELS))
    falls = [
        (name, fall)
        for figures in runs
        for name, fall in figures.discharge.items()
        if abs(fall.start_volts) > rail
    ]
    if not runs:
        yield f"{when}: how long the capacitors stay charged was not calculated; treat them as charged."
    if not falls:
        return
    # Hot valves drain what nothing else does; without them only a resistor can be relied on.
    held = dict.fromkeys(name for name, fall in falls if not fall.bled and state != "switch-off")
    slow = dict.fromkeys(name for name, fall in falls if fall.seconds_to_60_v is None)
    if held:
        # A rail that only its capacitors' leakage drains has no time worth promising.
        yield f"{when} nothing bleeds {_listed([*held])}: not below {shown(rail, 'V')} by itself."
    elif slow:
        yield f"{when} {_listed([*slow])} bleeds too slowly to wait for."
    else:
        name, seconds = max(
            ((name, fall.seconds_to_60_v or 0.0) for name, fall in falls), key=lambda each: each[1]
        )
        yield f"{when} {name} takes {_duration(seconds)} to fall below {shown(rail, 'V')}."


def _listed(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _duration(seconds: float) -> str:
    return shown(seconds, "s") if seconds < 120 else f"{seconds / 60:.0f} minutes"


def _lamp(case: Case) -> Iterator[str]:
    volts = [
        _size(found)
        for level in ("wall", "nominal")
        for figures in case.select(("valves out",), (level,))
        for found in figures.nodes.values()
    ]
    height = f", about {shown(max(volts), 'V')}" if volts else ""
    yield f"A lamp in series is no gentle start with the valves out: it lets nearly all through{height}."
