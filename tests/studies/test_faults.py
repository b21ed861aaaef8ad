from __future__ import annotations

import pytest

from psucheck.checks.limits import default_limits
from psucheck.circuit.condition import Condition
from psucheck.engine.here import Here
from psucheck.figures.faults import FaultCourse
from psucheck.studies.faults import faults
from psucheck.supply.filled import FilledSupply
from tests.conditions.supplies import RESERVOIR, SCREENS, SUPPLIES, describe
from tests.engine_runs import described, outcomes_of

FUSES = '[fuses]\nmains = "T1.6AL250V"\n'
SHORTS = ["shorted rectifier", "shorted reservoir", "short beyond the choke", "shorted output valve"]


def courses(filled: FilledSupply) -> list[FaultCourse]:
    idles = outcomes_of(filled, Condition("idle", "low", 207.0), Condition("idle", "high", 253.0))
    return list(faults(filled, idles, Here(), default_limits()))


def test_every_fault_at_low_and_high_mains() -> None:
    found = courses(described(SUPPLIES["centre-tapped"] + FUSES))
    kinds = [*SHORTS, "lost bias", "lost bias of one valve", "shorted heaters"]
    assert [(each.kind, each.level) for each in found] == [
        (kind, level) for kind in kinds for level in ("low", "high")
    ]
    by_kind = {(each.kind, each.level): each for each in found}
    for kind in ("shorted rectifier", "shorted reservoir"):
        low, high = by_kind[kind, "low"], by_kind[kind, "high"]
        assert low.cleared
        assert low.stages[0].currents.primary < high.stages[0].currents.primary
    plate = by_kind["lost bias of one valve", "high"].stages[0].currents.red_plate
    both = by_kind["lost bias", "high"].stages[0].currents.red_plate
    assert plate is not None
    assert both is not None
    # One valve alone pulls the rail down less than two.
    assert both.amps < plate.amps < 2 * both.amps
    assert plate.watts == pytest.approx(plate.amps * plate.volts, rel=0.05)


def test_a_shorted_output_valve_draws_through_half_of_the_output_transformer() -> None:
    filled = described(SUPPLIES["centre-tapped"] + FUSES)
    found = next(each for each in courses(filled) if each.kind == "shorted output valve")
    dead = next(each for each in courses(filled) if each.kind == "shorted reservoir")
    assert found.stages[0].currents.primary < dead.stages[0].currents.primary


@pytest.mark.parametrize(
    "name", ["bridge", "half-wave", "full-wave doubler", "cascade doubler", "choke input"]
)
def test_every_rectifier_circuit_runs(name: str) -> None:
    found = courses(described(SUPPLIES[name] + FUSES))
    shorted = next(each for each in found if each.kind == "shorted rectifier")
    assert shorted.stages[0].currents.primary > 2 * shorted.idle.primary


def test_choke_input_has_no_reservoir_to_short_but_what_is_beyond_the_choke() -> None:
    kinds = {each.kind for each in courses(described(SUPPLIES["choke input"] + FUSES))}
    assert "shorted reservoir" not in kinds
    assert "short beyond the choke" in kinds


def test_cathode_bias_cannot_be_lost() -> None:
    kinds = {each.kind for each in courses(described(SUPPLIES["cathode bias"] + FUSES))}
    assert not {"lost bias", "lost bias of one valve"} & kinds


def test_shorts_behind_a_rectifier_valve_are_not_run() -> None:
    text = describe(
        "valve", ladder=(RESERVOIR.replace("100", "47"), SCREENS, 'preamp = "10k 1 W, 22 uF 450 V"')
    )
    text = text.replace('device = "1N4007"', 'device = "GZ34"\nheater = "rectifier heater"').replace(
        "[rectifiers.ht]", '"rectifier heater" = "5.2 V off load at 236 V, 2 A"\n[rectifiers.ht]'
    )
    found = courses(described(text + FUSES))
    assert [each.kind for each in found if not each.stages] == SHORTS
    assert {each.kind for each in found if each.stages} == {
        "lost bias", "lost bias of one valve", "shorted heaters"
    }  # fmt: skip


def test_a_winding_that_is_not_rated_is_no_sign_that_a_fault_is_over() -> None:
    """A lost bias draws a third more than idle: nobody knows whether an unrated winding stands that."""
    more = '[loads.more]\nnode = "reservoir"\ncurrent = "400 mA"\n'
    text = SUPPLIES["centre-tapped"].replace(", 250 mA", "") + more + FUSES
    found = courses(described(text))
    lost = next(one for one in found if (one.kind, one.level) == ("lost bias of one valve", "high"))
    before = max(lost.idle.windings["ht"])
    assert 1.1 < max(lost.stages[0].currents.windings["ht"]) / before < 1.5
    assert not lost.cleared


def test_without_fuses_only_the_red_plates_are_run() -> None:
    found = courses(described(SUPPLIES["centre-tapped"]))
    assert {each.kind for each in found} == {"lost bias", "lost bias of one valve"}
    for each in found:
        assert each.stages[-1].opens is None
        assert not each.cleared
        assert each.stages[0].currents.red_plate is not None
    assert courses(described(SUPPLIES["cathode bias"])) == []
