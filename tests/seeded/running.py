"""Running the corpus in this process, with no more conditions than are asked for, and nothing run twice."""

from __future__ import annotations

import pickle
from collections.abc import Sequence

from psucheck.checks.case import Case
from psucheck.checks.finding import Finding
from psucheck.checks.limits import default_limits
from psucheck.checks.registry import judge_all
from psucheck.circuit.condition import Condition
from psucheck.conditions.plan import plan
from psucheck.conditions.run import place_readings, run_conditions
from psucheck.engine import jobs
from psucheck.figures.measure import measure
from psucheck.figures.warm_up import with_peak
from psucheck.studies.faults import faults
from psucheck.supply.fill import fill
from psucheck.supply.filled import FilledSupply
from psucheck.supply.model import Description
from tests.engine_runs import Here

_STEADY = ("idle", "full output", "cold", "valves out", "standby open")


class Remembering(Here):
    """A pool in this process that runs a chain of jobs once: a part's rating changes no circuit."""

    def __init__(self) -> None:
        super().__init__()
        self.known: dict[bytes, list[jobs.Run]] = {}

    def run(self, chains: Sequence[Sequence[jobs.Job]]) -> list[list[jobs.Run]]:
        """Run each chain of jobs that was not run before."""
        keys = [pickle.dumps(tuple(chain)) for chain in chains]
        for key, chain in zip(keys, chains, strict=True):
            if key not in self.known:
                self.known[key] = jobs.run_chain(chain)
        return [self.known[key] for key in keys]


def conditions(filled: FilledSupply, runs: str) -> list[Condition]:
    """Of the planned conditions those that ``runs`` names; steady ones without low mains."""
    planned = plan(filled)
    if runs != "steady":
        return planned
    return [each for each in planned if each.state in _STEADY and each.level != "low"]


def judged(description: Description, runs: str, pool: Remembering) -> list[Finding]:
    """What the rules say of a description after ``runs``."""
    filled = fill(description.found)
    outcomes = run_conditions(filled, conditions(filled, runs), place_readings(filled, pool), pool)
    figures = with_peak({outcome.condition.name: measure(outcome) for outcome in outcomes})
    courses = faults(filled, outcomes, pool, default_limits()) if runs == "faults" else None
    return judge_all(Case(filled.supply, figures, filled.assumptions, courses), default_limits())
