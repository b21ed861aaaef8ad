"""The main job: a description checked in every condition, its figures judged, a proposal held beside it."""

from __future__ import annotations

from dataclasses import replace

from psucheck.checks import bias_range
from psucheck.checks.case import Case
from psucheck.checks.cautions import cautions
from psucheck.checks.fault_table import fault_lines
from psucheck.checks.fuse_values import fuse_values
from psucheck.checks.judging import severity
from psucheck.checks.limits import Limits
from psucheck.checks.own_limits import limits_of, used_limits
from psucheck.checks.registry import accept, judge_all, unknown_rule
from psucheck.circuit.condition import Condition, Readings, State
from psucheck.conditions.plan import level_volts, plan, reading_level
from psucheck.conditions.run import Outcome, place_readings, reset_bias, run_conditions
from psucheck.engine.pool import Runner
from psucheck.figures.measure import measure
from psucheck.figures.model import Figures
from psucheck.figures.warm_up import with_peak
from psucheck.quantity import read
from psucheck.report.view import CAUTIONS, FAULTS, FUSE_VALUES, Report, Tap
from psucheck.studies.faults import faults
from psucheck.studies.relays import relays
from psucheck.studies.sure import how_sure
from psucheck.supply.consistency import contradictions
from psucheck.supply.fill import fill
from psucheck.supply.fill_transformer import on_tap
from psucheck.supply.filled import FilledSupply
from psucheck.supply.model import Description
from psucheck.supply.own_parts import own_parts_used
from psucheck.supply.topology import is_negative

_COMPARED: tuple[State, ...] = ("idle", "full output", "cold", "valves out", "standby open")
"""States in which a supply as found is held beside the proposed one."""


def check(
    description: Description, pool: Runner, limits: Limits | None = None, *, ranges: bool = False
) -> Report:
    """Check a description.

    Where it holds a proposal, the report is of that, with the supply as found beside it, and with the bias
    both untouched and reset. ``ranges`` works out how far every steady figure moves over every guess's range.
    Without ``limits`` it is judged by the house's and those of the user's own that the supply carries.

    Raises
    ------
    DescriptionError
        If a limits file cannot be used.
    SimulationError
        If a run fails.
    UnmatchedAccepted
        If ``[accepted]`` names what no rule found.
    """
    limits = limits or limits_of(description.found)
    accepted = (description.proposed or description.found).accepted
    if unknown := unknown_rule(accepted):
        raise unknown
    report = _checked(description, pool, limits, ranges=ranges)
    return replace(report, findings=accept(report.findings, accepted))


def _checked(description: Description, pool: Runner, limits: Limits, *, ranges: bool) -> Report:
    """The report on a description before anything is accepted."""
    found = fill(description.found)
    readings = place_readings(found, pool)
    remarks = tuple(remark.message for remark in contradictions(description))
    if description.proposed is None:
        outcomes = run_conditions(found, plan(found), readings, pool)
        taps = _taps(found, readings, pool)
        report = _report(found, readings, outcomes, pool, limits, remarks, taps, with_faults=True)
        return how_sure(report, description, outcomes, pool, limits, thorough=ranges)
    proposed = fill(description.proposed, loads_of=found)
    before = [c for c in plan(found) if c.state in _COMPARED]
    outcomes = run_conditions(proposed, plan(proposed), readings, pool)
    taps = _taps(proposed, readings, pool)
    report = _report(proposed, readings, outcomes, pool, limits, remarks, taps, with_faults=True)
    report = how_sure(report, description, outcomes, pool, limits, thorough=ranges)
    outcomes_before = run_conditions(found, before, readings, pool)
    found_report = _report(found, readings, outcomes_before, pool, limits)
    return _with_reset(replace(report, found=found_report), _reset(proposed, readings, pool, limits))


def _with_reset(report: Report, reset: Report | None) -> Report:
    """Whether the pot reaches is judged where it has been turned, since the rails move with the current."""
    if reset is None:
        return report
    others = [finding for finding in report.findings if finding.rule != bias_range.ID]
    pots = [finding for finding in reset.findings if finding.rule == bias_range.ID]
    return replace(report, findings=sorted(others + pots, key=severity), reset=reset)


def _report(
    filled: FilledSupply,
    readings: Readings,
    outcomes: list[Outcome],
    pool: Runner,
    limits: Limits,
    remarks: tuple[str, ...] = (),
    taps: tuple[Tap, ...] = (),
    *,
    with_faults: bool = False,
) -> Report:
    figures = with_peak({outcome.condition.name: measure(outcome) for outcome in outcomes})
    noting = limits.noting()
    courses = faults(filled, outcomes, pool, noting) if with_faults else None
    case = Case(filled.supply, figures, filled.assumptions, courses)
    findings = judge_all(case, limits)
    lines = fault_lines(case, noting)
    read_for = {FAULTS: noting.taken()}
    values = fuse_values(case, noting)
    read_for[FUSE_VALUES] = noting.taken()
    said = cautions(case, noting)
    read_for[CAUTIONS] = noting.taken()
    return Report(
        supply=filled.supply,
        title=filled.supply.title,
        figures=figures,
        findings=findings,
        cautions=said,
        assumptions=filled.assumptions,
        remarks=remarks,
        taps=taps,
        relays=relays(filled, readings, figures, pool),
        own_parts=own_parts_used(filled.supply),
        own_limits=used_limits(limits, findings, read_for),
        faults=lines,
        fuse_values=values,
    )


def _reset(filled: FilledSupply, readings: Readings, pool: Runner, limits: Limits) -> Report | None:
    """The proposed supply with the bias set anew to the idle current that was read; None without a pot."""
    if not any(output.bias == "node" for output in filled.outputs.values()):
        return None
    conditions = [c for c in plan(filled) if c.state in ("idle", "full output")]
    reset = reset_bias(filled, readings, pool)
    return _report(filled, reset, run_conditions(filled, conditions, reset, pool), pool, limits)


def _taps(filled: FilledSupply, readings: Readings, pool: Runner) -> tuple[Tap, ...]:
    """B+ and heaters at the wall voltage on each primary tap, the one in use first; none without others."""
    transformer = filled.supply.transformer
    if not transformer.taps:
        return ()
    level = reading_level(filled.mains)
    volts = level_volts(filled.mains)[level]
    cold, idle = Condition("cold", level, volts), Condition("idle", level, volts)
    primaries = {
        f"{transformer.primary.voltage:g} V (in use)": (transformer.primary.voltage, filled.primary_ohms)
    }
    primaries |= {name: (read(name, "V"), ohms) for name, ohms in transformer.taps.items()}
    node = next(name for name in filled.nodes if not is_negative(filled.supply, name))
    lines = []
    for name, (tap_volts, ohms) in primaries.items():
        outcomes = run_conditions(on_tap(filled, tap_volts, ohms), [cold, idle], readings, pool)
        at_cold, at_idle = (measure(outcome) for outcome in outcomes)
        lines.append(
            Tap(name, node, at_cold.nodes[node].dc, at_idle.nodes[node].dc, _heaters(filled, at_idle))
        )
    return tuple(lines)


def _heaters(filled: FilledSupply, figures: Figures) -> dict[str, float]:
    return {load.winding: figures.windings[load.winding].at_heaters for load in filled.heaters}
