"""The bring-up sheet of a supply."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from psucheck.bench.lamp import lamp_view
from psucheck.bench.meter import meter_of
from psucheck.bench.plan import Plan, make_plan
from psucheck.bench.safety import sheet_cautions, stops
from psucheck.bench.steps_cold import steps_cold
from psucheck.bench.steps_in import steps_in
from psucheck.bench.steps_out import steps_out
from psucheck.conditions.run import place_readings
from psucheck.engine.pool import Runner
from psucheck.parts import in_force
from psucheck.report.sheet_view import Sheet, Step
from psucheck.supply.fill import fill
from psucheck.supply.filled import FilledSupply
from psucheck.supply.model import Description


def plan_of(description: Description, wall: float | None, pool: Runner) -> Plan:
    """The (proposed) supply of a description wound up, its readings as they were found.

    Parameters
    ----------
    wall
        What the wall has [V RMS]; the description's own reading if None, else nominal.

    Raises
    ------
    SimulationError
        If a run fails.
    """
    found = fill(description.found)
    filled = found if description.proposed is None else fill(description.proposed, loads_of=found)
    volts = wall or filled.mains.wall or filled.mains.nominal
    return make_plan(filled, place_readings(found, pool), volts, pool)


def bring_up(
    description: Description, pool: Runner, *, wall: float | None = None, lamp: float | None = None
) -> Sheet:
    """The sheet to take to the bench.

    Parameters
    ----------
    wall
        What the wall has [V RMS].
    lamp
        Watts of a filament lamp in series [W]; None for none.

    Raises
    ------
    SimulationError
        If a run fails.
    """
    with in_force(description.found.library):
        plan = plan_of(description, wall, pool)
        view = lamp_view(plan.filled, plan.readings, plan.wall, lamp, pool) if lamp is not None else None
        return replace(sheet_of(plan, pool), lamp=view)


def sheet_of(plan: Plan, pool: Runner) -> Sheet:
    """The sheet of a supply that is wound up; its part library must be in force.

    Raises
    ------
    SimulationError
        If a run for the cautions fails.
    """
    return Sheet(
        title=plan.filled.supply.title,
        wall=plan.wall,
        instruments=tuple(_instruments(plan.filled)),
        cautions=sheet_cautions(plan, pool),
        stops=tuple(stops(plan)),
        steps=tuple(replace(step, number=number) for number, step in enumerate(steps_of(plan))),
        remarks=tuple(_remarks(plan)),
    )


def steps_of(plan: Plan) -> Iterator[Step]:
    """Every step, in order."""
    yield from steps_cold(plan)
    yield from steps_out(plan)
    yield from steps_in(plan)


def _instruments(filled: FilledSupply) -> Iterator[str]:
    meter = meter_of(filled.supply)
    words = f"{100 * meter.share:g} % + {meter.counts} counts of {meter.display}"
    given = "" if filled.supply.meter is not None else ' (taken; say meter = "1 % + 3" in the description)'
    yield f"Meter: {words}{given}."
    if filled.supply.wattmeter == "after variac":
        yield "Wattmeter behind the variac: it may not run at all on the low steps."
    else:
        yield (
            "Wattmeter before the variac: it sees the wall's volts and the variac's own watts. Tare: "
            "variac at 0, "
            "amplifier connected: ____ W; take that off. Amperes read there are turned down by "
            "amplifier volts / wall "
            "volts; the sheet's are those at the amplifier's plug."
        )


def _remarks(plan: Plan) -> Iterator[str]:
    yield "Bands: what sound parts may do within their tolerances, and the meter."
    guesses = [each.key for each in plan.filled.assumptions if each.kind == "guess"]
    if guesses:
        yield (
            f"{len(guesses)} values were guessed (psucheck check --long lists them); "
            f"transformer.no_load_power and "
            "no_load_current, once read, narrow the watts and amperes with the valves out."
        )
    yield "Rails from which nothing draws stand at the crest of the mains; a flat crest reads lower."
