"""The standby switch in each usual position: what stays charged, what its contacts see, where bias goes."""

from __future__ import annotations

from functools import cache
from math import sqrt

import pytest

from psucheck.circuit.condition import Condition
from psucheck.conditions.plan import plan
from psucheck.conditions.run import run_conditions
from psucheck.engine.here import Here
from psucheck.figures.measure import measure
from psucheck.figures.model import Figures
from tests.conditions.supplies import SUPPLIES
from tests.engine_runs import described, readings_of

CREST = 300.0 * 253.0 / 236.0 * sqrt(2)
"""Of a half of the winding at high mains, off load [V]."""


@cache
def _figures(place: str, bias: str = "bias through a resistor") -> dict[str, Figures]:
    filled = described(f'{SUPPLIES[bias]}\n[switches]\nstandby = "{place}"\n')
    volts = filled.mains.high
    conditions = [
        Condition("standby open", "high", volts),
        Condition("standby closes", "high", volts),
        Condition("idle", "high", volts),
    ]
    assert set(conditions) <= set(plan(filled))
    outcomes = run_conditions(filled, conditions, readings_of(filled), Here())
    return {outcome.condition.state: measure(outcome) for outcome in outcomes}


@pytest.mark.parametrize("place", ["before screens", "after reservoir"])
def test_behind_the_reservoir_it_leaves_the_reservoir_at_the_crest(place: str) -> None:
    found = _figures(place)["standby open"]
    assert found.nodes["reservoir"].dc == pytest.approx(CREST, rel=0.02)
    assert found.nodes["screens"].dc == pytest.approx(0.0, abs=1.0)
    assert found.places[place].open_volts == pytest.approx(found.nodes["reservoir"].max, abs=1.0)


@pytest.mark.parametrize("place", ["before reservoir", "each winding ht"])
def test_before_the_reservoir_it_leaves_nothing_charged(place: str) -> None:
    found = _figures(place)["standby open"]
    assert found.nodes["reservoir"].dc == pytest.approx(0.0, abs=1.0)
    assert found.places[place].open_volts == pytest.approx(CREST, rel=0.02)
    assert found.nodes["bias"].dc == pytest.approx(_figures(place)["idle"].nodes["bias"].dc, rel=0.03)


def test_closing_onto_an_empty_reservoir_takes_more_than_onto_what_is_behind_a_choke() -> None:
    peaks = [
        _figures(p)["standby closes"].places[p].peak_current for p in ("before reservoir", "before screens")
    ]
    assert peaks[0] > 2.5 * peaks[1]


def test_closed_contacts_have_no_open_volts() -> None:
    found = _figures("before screens")
    assert found["idle"].places["before screens"].open_volts is None
    assert found["standby closes"].places["before screens"].open_volts is None


def test_a_bias_tap_on_a_winding_whose_centre_tap_is_opened_lies_in_series_with_the_ht() -> None:
    found = _figures("centre tap ht", "bias from a tap")
    open_, idle = found["standby open"], found["idle"]
    # Its diode now returns through the HT rectifier: the tap's and end b's crests add, and the bias grows.
    assert open_.nodes["bias"].dc < 1.5 * idle.nodes["bias"].dc
    assert abs(open_.nodes["bias"].dc) + open_.nodes["reservoir"].dc < CREST + 45.0 * 253.0 / 236.0 * sqrt(2)
    heads = open_.nodes["bias"].dc / found["idle"].nodes["bias"].dc
    assert heads == pytest.approx(1.96, rel=0.1)


def test_a_capacitor_fed_bias_is_lost_with_the_centre_tap_open() -> None:
    found = _figures("centre tap ht", "bias through a capacitor")["standby open"]
    assert abs(found.nodes["bias"].dc) < 2.0
    # End a is held at minus two crests by the feed capacitor, so that the tap swings down to minus three.
    assert found.places["centre tap ht"].open_volts == pytest.approx(3 * CREST, rel=0.02)


def test_a_mains_switch_is_no_standby_switch() -> None:
    filled = described(f'{SUPPLIES["centre-tapped"]}\n[switches]\npower = "mains"\n')
    assert not any(condition.state.startswith("standby") for condition in plan(filled))
