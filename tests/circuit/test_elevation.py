"""A heater winding on a divider, or at volts that are given."""

from __future__ import annotations

import pytest

from psucheck.circuit.condition import Condition
from psucheck.conditions.run import run_conditions
from psucheck.engine.here import Here
from psucheck.figures.measure import measure
from psucheck.figures.model import Figures
from tests.conditions.supplies import SUPPLIES
from tests.engine_runs import described, readings_of


def _idle(elevation: str) -> Figures:
    filled = described(f"{SUPPLIES['cathode bias']}\n{elevation}")
    condition = Condition("idle", "wall", 236.0)
    (outcome,) = run_conditions(filled, [condition], readings_of(filled), Here())
    return measure(outcome)


DIVIDED = '[elevation]\nheaters = { node = "preamp", divider = ["220k 1 W", "47k 1 W"] }'


def test_a_divider_sets_what_the_heaters_stand_on_and_draws_from_its_node() -> None:
    plain, divided = _idle(""), _idle(DIVIDED)
    preamp = divided.nodes["preamp"].dc
    assert divided.windings["heaters"].elevation == pytest.approx(preamp * 47 / 267, rel=1e-3)
    assert divided.resistors["heaters divider upper"].rms_current == pytest.approx(preamp / 267e3, rel=1e-3)
    assert preamp < plain.nodes["preamp"].dc
    assert divided.windings["heaters"].volts == pytest.approx(plain.windings["heaters"].volts, rel=1e-3)
    assert plain.windings["heaters"].elevation is None


def test_volts_that_are_given_are_told_as_given() -> None:
    given = _idle('[elevation]\nheaters = "45 V"')
    assert given.windings["heaters"].elevation == 45.0
    assert given.windings["ht"].elevation is None


def test_a_divider_bleeds_its_rail() -> None:
    filled = described(f"{SUPPLIES['centre-tapped']}\n{DIVIDED}")
    (outcome,) = run_conditions(filled, [Condition("idle", "wall", 236.0)], readings_of(filled), Here())
    assert all(outcome.network.layout.bled.values())
