"""What the fuses do in a fault: run, see which opens, run again with that fuse out, until it is cleared."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from psucheck.checks.copper import Copper, copper_of
from psucheck.checks.fuse_opening import opening
from psucheck.checks.limits import Limits
from psucheck.checks.winding_heat import in_doubt, overloaded
from psucheck.circuit.faults import Fault, Lead
from psucheck.conditions.faults import faults_of, run_faults
from psucheck.conditions.run import Outcome
from psucheck.engine.pool import Runner
from psucheck.figures.faults import FaultCourse, FaultCurrents, Stage
from psucheck.figures.measure_faults import measure_before, measure_fault
from psucheck.figures.model import Level
from psucheck.parts import in_force
from psucheck.supply.filled import FilledSupply
from psucheck.supply.model import Supply
from psucheck.supply.topology import rectifier_of

LEVELS: tuple[Level, ...] = ("low", "high")
"""At low mains a fuse is slowest, at high mains copper heats fastest."""

_RED = ("lost bias", "lost bias of one valve")
"""What is told of a supply that describes no fuse: how red the plates get, and that nothing opens."""


def faults(
    filled: FilledSupply, outcomes: Sequence[Outcome], pool: Runner, limits: Limits
) -> tuple[FaultCourse, ...]:
    """The course of every fault at low and high mains; without fuses, of a lost bias alone.

    Parameters
    ----------
    outcomes
        Among them the idle states at low and high mains, where the faults start.

    Raises
    ------
    SimulationError
        If a run fails.
    """
    with in_force(filled.supply.library):
        return _courses(filled, outcomes, pool, limits)


def _courses(
    filled: FilledSupply, outcomes: Sequence[Outcome], pool: Runner, limits: Limits
) -> tuple[FaultCourse, ...]:
    fuses = filled.supply.fuses
    idles = [each for each in outcomes if each.condition.state == "idle" and each.condition.level in LEVELS]
    copper = copper_of(filled.supply, limits)
    wanted = [fault for fault in faults_of(filled) if fuses or fault.kind in _RED]
    unknown = [fault for fault in wanted if _into_a_valve(filled, fault)]
    pending = [(idle, fault) for fault in wanted if fault not in unknown for idle in idles]
    courses: dict[tuple[Level, Fault], FaultCourse] = {}
    while pending:
        again = []
        for (idle, fault), run in zip(pending, run_faults(pending, pool), strict=True):
            key = (idle.condition.level, replace(fault, opened=frozenset()))
            course = courses.get(key) or _begun(idle, fault, measure_before(run, fuses))
            courses[key], lead = _further(filled.supply, copper, course, fault, measure_fault(run, fuses))
            if lead is not None:
                again.append((idle, replace(fault, opened=fault.opened | {lead})))
        pending = again
    nothing = FaultCurrents({}, {}, {}, 0.0, 0.0)
    not_run = [_begun(idles[-1], fault, nothing) for fault in unknown if idles]
    order = {(fault.kind, fault.at): number for number, fault in enumerate(wanted)}
    return tuple(sorted([*courses.values(), *not_run], key=lambda each: order[each.kind, each.at]))


def _begun(idle: Outcome, fault: Fault, before: FaultCurrents) -> FaultCourse:
    condition = idle.condition
    return FaultCourse(fault.kind, fault.at, condition.level, condition.volts, before, (), cleared=False)


def _further(
    supply: Supply, copper: Copper, course: FaultCourse, fault: Fault, currents: FaultCurrents
) -> tuple[FaultCourse, Lead | None]:
    """The course by one stage further, and the fuse to take out for the next run, if one is needed."""
    # Of a winding that is not rated nobody knows what it stands: the fault is not over while it carries more.
    burns = bool(overloaded(copper, currents, course.idle) or in_doubt(copper, currents, course.idle))
    if not burns and (course.stages or currents.red_plate is None):
        stage = Stage(currents)
        return replace(course, stages=(*course.stages, stage), cleared=True), None
    stage = _first_to_open(supply, course.stages, currents, fault.opened)
    ended = stage.opens is not None and stage.opens.place == "mains"
    course = replace(course, stages=(*course.stages, stage), cleared=ended or not burns)
    return course, None if ended or stage.opens is None else stage.opens


def _first_to_open(
    supply: Supply, before: Sequence[Stage], currents: FaultCurrents, opened: frozenset[Lead]
) -> Stage:
    """The fuse whose latest opening comes first; on the line between gate points where steps tie.

    A fuse has carried current in the stages before, too: what must open within so long at the least of its
    currents has that time behind it.
    """
    gone = sum(stage.at_latest or 0.0 for stage in before)
    gone_on_line = sum(stage.on_line or 0.0 for stage in before)
    found = []
    for lead, amps in currents.fuses.items():
        if lead in opened:
            continue
        least = min([amps, *(stage.currents.fuses[lead] for stage in before)])
        now, since = opening(supply.fuses[lead.place], amps), opening(supply.fuses[lead.place], least)
        if now is None or now.step is None or now.line is None:
            continue
        step, line = now.step, now.line
        if since is not None and since.step is not None and since.line is not None:
            step = min(step, max(since.step - gone, 0.0))
            line = min(line, max(since.line - gone_on_line, 0.0))
        found.append((step, line, lead))
    if not found:
        return Stage(currents)
    step, line, lead = min(found, key=lambda each: each[:2])
    return Stage(currents, lead, step, line)


def _into_a_valve(filled: FilledSupply, fault: Fault) -> bool:
    """Whether a rectifier valve stands between the winding and a short: nobody knows what it passes."""
    if fault.kind == "shorted rectifier":
        rectifier = fault.at
    elif fault.kind in ("shorted reservoir", "short beyond the choke"):
        rectifier = rectifier_of(filled.supply, fault.at)
    elif fault.kind == "shorted output valve":
        rectifier = rectifier_of(filled.supply, filled.outputs[fault.at].anodes)
    else:
        return False
    return filled.devices[rectifier].kind == "valve"
