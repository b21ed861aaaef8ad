"""Readings of a supply held against what they should be."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from psucheck.bench.asking import Asked, Asking
from psucheck.bench.bring_up import plan_of, steps_of
from psucheck.bench.comparing import compare
from psucheck.bench.plan import Plan
from psucheck.bench.points import Point, points
from psucheck.bench.reading import Reading
from psucheck.bench.safety import sheet_cautions
from psucheck.engine.pool import Runner
from psucheck.parts import in_force
from psucheck.report.readings_view import JudgedReading, ReadingsView
from psucheck.supply.fill import fill
from psucheck.supply.filled import FilledSupply
from psucheck.supply.model import Description


def on_the_bench(description: Description) -> FilledSupply:
    """The supply that stands on the bench: the proposed one, where there is one."""
    found = fill(description.found)
    return found if description.proposed is None else fill(description.proposed, loads_of=found)


def points_of(description: Description) -> tuple[Point, ...]:
    """The test points of the supply that stands on the bench."""
    return points(on_the_bench(description))


@dataclass(frozen=True)
class ReadBack:
    """The supply wound up, and its readings held against it."""

    plan: Plan
    view: ReadingsView


def read_back(description: Description, readings: Sequence[Reading], pool: Runner) -> ReadBack:
    """Each reading in its band, near, off and by how much, or asked about.

    Raises
    ------
    SimulationError
        If a run fails.
    """
    with in_force(description.found.library):
        plan = plan_of(description, None, pool)
        return ReadBack(plan, _view(plan, compare(plan, readings, pool), pool))


def ask_for(
    description: Description, pool: Runner, ask: Callable[[str], str], tell: Callable[[str], None]
) -> tuple[ReadBack, Asked]:
    """Ask for the readings step by step, each judged as it comes.

    Parameters
    ----------
    ask
        Shows a question and returns the answer; raises EOFError where there is none.
    tell
        Shows a line.

    Raises
    ------
    SimulationError
        If a run fails.
    """
    with in_force(description.found.library):
        plan = plan_of(description, None, pool)
        view = _view(plan, (), pool)
        for caution in view.cautions:
            tell(f"- {caution}")
        steps = tuple(replace(step, number=number) for number, step in enumerate(steps_of(plan)))
        asked = Asking(plan, pool, ask, tell).go(steps)
        return ReadBack(plan, replace(view, readings=tuple(asked.judged))), asked


def _view(plan: Plan, judged: tuple[JudgedReading, ...], pool: Runner) -> ReadingsView:
    return ReadingsView(plan.filled.supply.title, judged, sheet_cautions(plan, pool))
