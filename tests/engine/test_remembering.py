"""A pool that remembers gives the same runs, and runs nothing twice."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from psucheck.engine.jobs import Job, Run
from psucheck.engine.remembering import Remembering
from psucheck.engine.simulator import SimulationError
from psucheck.studies.check import check
from psucheck.supply.changes import changed
from psucheck.supply.reader import parse_description
from tests.engine_runs import Here
from tests.studies.cures.supplies import supply


class Counting(Here):
    """A pool that counts the chains that it runs."""

    def __init__(self) -> None:
        super().__init__()
        self.chains = 0

    def run(self, chains: Sequence[Sequence[Job]]) -> list[list[Run]]:
        self.chains += len(chains)
        return super().run(chains)


class Failing(Here):
    """A pool on which nothing runs."""

    def run(self, chains: Sequence[Sequence[Job]]) -> list[list[Run]]:
        raise SimulationError("nothing runs here")


def test_a_second_check_runs_nothing_and_says_the_same() -> None:
    described = parse_description(supply(), "test")
    pool = Counting()
    remembering = Remembering(pool)
    first = check(described, remembering)
    run = pool.chains
    assert run > 0
    rated = changed(described, {"filter.reservoir.capacitor.voltage": "500 V"})
    assert check(rated, remembering).figures == first.figures
    assert pool.chains == run, "another rating is no other circuit"

    remembering.keeps = False
    other = changed(described, {"filter.reservoir.capacitor.value": "33 uF"})
    assert check(other, remembering).figures == check(other, Here()).figures
    again = pool.chains
    check(other, remembering)
    assert pool.chains - again == again - run, "what came after was not to be kept"


def test_workers_and_failures_are_the_other_pools() -> None:
    assert Remembering(Here()).workers == 1
    with pytest.raises(SimulationError, match="nothing runs here"):
        check(parse_description(supply(), "test"), Remembering(Failing()))
