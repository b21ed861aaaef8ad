"""From readings as they stand in a file to the fault report."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from psucheck.bench.causes.cause import Cause
from psucheck.bench.faultfind import Hunt, Taken, hunt, prior
from psucheck.bench.likelihood import Fit
from psucheck.bench.meter_spread import Meter
from psucheck.checks.case import Case
from psucheck.checks.cautions import cautions
from psucheck.checks.own_limits import limits_of
from psucheck.circuit.condition import Condition, Readings, State
from psucheck.conditions.plan import level_volts, reading_level
from psucheck.conditions.run import place_readings, run_conditions
from psucheck.engine.pool import Runner
from psucheck.figures.measure import measure
from psucheck.parts import in_force
from psucheck.report.fault_view import CauseLine, FaultReport, GroupLine, ReadingLine, StepLine
from psucheck.supply.filled import FilledSupply

_OFF, _SHOWN = 3.0, 6
"""Readings at least so many standard deviations from the sound ones are shown, so many of them at most."""
_CAUTIONED: tuple[State, ...] = ("idle", "valves out", "switch-off", "switch-off, valves out")


def fault_report(
    filled: FilledSupply,
    taken: Sequence[Taken],
    pool: Runner,
    *,
    as_found: FilledSupply | None = None,
    left_out: Sequence[str] = (),
) -> FaultReport:
    """Find the fault and say it.

    Parameters
    ----------
    as_found
        The supply that the description's own readings were taken on, where ``filled`` is a proposed one.
    left_out
        Readings that were left out before, each with its reason.

    Raises
    ------
    NothingToGoOn
        If none of the readings can be used.
    SimulationError
        If the sound supply cannot be run.
    """
    with in_force(filled.supply.library):
        readings = place_readings(as_found or filled, pool)
        found = hunt(filled, readings, taken, pool, _meter(filled))
        report = _report(filled, found, taken, _cautions(filled, readings, pool))
        return replace(report, left_out=(*left_out, *report.left_out))


def _meter(filled: FilledSupply) -> Meter:
    """The description's meter; without one what is usual."""
    described = filled.supply.meter
    return Meter(described.share, described.counts) if described is not None else Meter()


def _cautions(filled: FilledSupply, readings: Readings, pool: Runner) -> tuple[str, ...]:
    """The supply's own, as :mod:`psucheck.checks.cautions` has them, at high mains and at the wall's."""
    volts = level_volts(filled.mains)
    conditions = [Condition(state, "high", volts["high"]) for state in _CAUTIONED]
    wall = reading_level(filled.mains)
    conditions.append(Condition("valves out", wall, volts[wall]))
    outcomes = run_conditions(filled, conditions, readings, pool)
    figures = {outcome.condition.name: measure(outcome) for outcome in outcomes}
    return tuple(cautions(Case(filled.supply, figures, filled.assumptions, None), limits_of(filled.supply)))


def _report(filled: FilledSupply, found: Hunt, taken: Sequence[Taken], said: tuple[str, ...]) -> FaultReport:
    causes = [cause for cause in found.responses.causes if not cause.blown]
    best = found.pair.fit if found.pair is not None else found.groups[0].leader
    lines = _reading_lines(found, taken, best)
    wrong = set(best.wrong)
    return FaultReport(
        title=filled.supply.title,
        groups=tuple(
            GroupLine(
                group.share,
                tuple(
                    _cause_line(causes, one.curve.cause, one.size) for one in group.fits if one.curve.cause
                ),
            )
            for group in found.groups
        ),
        two=_two(causes, found),
        unexplained=tuple(line for number, line in enumerate(lines) if number in wrong),
        off=tuple(sorted((each for each in lines if each.off >= _OFF), key=lambda each: -each.off)[:_SHOWN]),
        steps=tuple(
            StepLine(each.says, each.why, each.minutes, each.settles, each.safety, each.expect)
            for each in found.steps
        ),
        silent=found.silent,
        considered=len(causes),
        readings=len(found.read),
        left_out=found.left_out,
        cautions=said,
    )


def _cause_line(causes: Sequence[Cause], cause: Cause, size: float | None) -> CauseLine:
    said = cause.size.in_words(size) if cause.size is not None and size is not None else ""
    return CauseLine(cause.id, cause.at, cause.says, said, prior(causes, cause))


def _two(causes: Sequence[Cause], found: Hunt) -> tuple[CauseLine, CauseLine] | None:
    if found.pair is None:
        return None
    first, second = (
        _cause_line(causes, cause, size)
        for cause, size in zip(found.pair.causes, found.pair.sizes, strict=True)
    )
    return first, second


def _reading_lines(found: Hunt, taken: Sequence[Taken], best: Fit) -> list[ReadingLine]:
    """One for each reading that was used, beside sound and as the best cause makes it."""
    scale = found.scale
    steps = {(one.setting, one.point): one.step for one in taken}
    values = scale.scaled(list(found.read.values()))
    spread = np.sqrt(np.diag(scale.covariance(scale.sound)))
    lines = []
    for number, (slot, value) in enumerate(found.read.items()):
        name = slot[1]
        sound, made = (float(row[number]) for row in (scale.sound, best.curve.made[best.best]))
        if scale.ohms[number]:
            sound, made = math.exp(sound), math.exp(made)
        off = float(abs(values[number] - scale.sound[number]) / spread[number])
        unit = _unit(name)
        lines.append(
            ReadingLine(steps.get(slot, ""), name, unit, value, sound, made, off, number in best.wrong)
        )
    return lines


def _unit(name: str) -> str:
    if name.endswith(" ohms"):
        return "ohm"
    return "A" if name.endswith("amps") else "W" if name.endswith("watts") else "V"
