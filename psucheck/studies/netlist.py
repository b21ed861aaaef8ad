"""The netlist of one condition, starting where psucheck's own run of it does."""

from __future__ import annotations

import difflib

from psucheck.circuit.condition import Condition
from psucheck.circuit.export import export
from psucheck.conditions.chains import needed_for
from psucheck.conditions.plan import plan
from psucheck.conditions.run import place_readings, run_conditions
from psucheck.engine.jobs import COARSE_STEPS
from psucheck.engine.pool import Runner
from psucheck.supply.fill import fill
from psucheck.supply.model import Description
from psucheck.supply.own_parts import own_parts_used


class UnknownCondition(ValueError):
    """No condition of that name is run for this supply."""

    def __init__(self, name: str, known: list[str]) -> None:
        states = dict.fromkeys(condition.split(", ")[0] for condition in known)
        near = difflib.get_close_matches(name, [*states, *known], n=1)
        hint = f'; the nearest is "{near[0]}"' if near else ""
        super().__init__(f'no condition "{name}"{hint}. There are: {"; ".join(known)}')


def netlist(description: Description, name: str, pool: Runner) -> str:
    """The netlist of the (proposed) supply in the condition ``name``; a bare state is taken at nominal mains.

    Raises
    ------
    UnknownCondition
        If it is none of those that are run.
    SimulationError
        If its starting state is not found.
    """
    found = fill(description.found)
    filled = found if description.proposed is None else fill(description.proposed, loads_of=found)
    # The decay with the valves out is no run of the simulator's.
    conditions = [c for c in plan(filled) if c.state != "switch-off, valves out"]
    condition = _pick(name, conditions)
    needed = needed_for(condition, conditions)
    readings = place_readings(found, pool)
    outcome = run_conditions(filled, needed, readings, pool)[-1]
    assert outcome.run is not None
    run = outcome.run
    seconds = float(run.waveforms.time[-1])
    step = seconds / (2 * COARSE_STEPS) if not condition.transient else outcome.max_step
    own = dict.fromkeys((*own_parts_used(filled.supply), *own_parts_used(found.supply)))
    notes = [f"own part: {said}" for said in own]
    return export(
        filled.supply.title, condition.name, outcome.network, run.deck, run.states, seconds, step, notes
    )


def _pick(name: str, conditions: list[Condition]) -> Condition:
    wanted = " ".join(name.lower().split())
    for condition in conditions:
        if wanted == condition.name:
            return condition
    for level in ("nominal", "wall", "high"):
        for condition in conditions:
            if condition.state == wanted and condition.level == level:
                return condition
    raise UnknownCondition(name, [condition.name for condition in conditions])
