"""Readings of a file put at their settings, and those that are left out with their reason."""

from __future__ import annotations

import pytest

from psucheck.bench.reading import Reading
from psucheck.bench.runs import Setting
from psucheck.bench.taken import intake
from tests.bench.amplifiers import AMPLIFIERS
from tests.engine_runs import described

HEAD, COMBO = described(AMPLIFIERS["fixed-bias head"]), described(AMPLIFIERS["cathode-bias combo"])


def test_a_step_is_its_share_of_the_wall_and_what_the_plug_had_counts_more() -> None:
    plain = intake(HEAD, [Reading("a tenth", "reservoir DC", 49.0, 243.0)])
    assert plain.taken[0].setting == Setting("valves out", 24.3)
    read = [Reading("a tenth", "mains volts", 26.1, 243.0), Reading("a tenth", "reservoir DC", 52.0, 243.0)]
    with_plug = intake(HEAD, read)
    assert [one.setting for one in with_plug.taken] == [Setting("valves out", 26.1)]
    assert with_plug.left_out == ()


def test_each_reading_keeps_the_wall_of_its_moment() -> None:
    read = [
        Reading("full wall", "reservoir DC", 468.0, 243.0),
        Reading("full wall", "preamp DC", 361.0, 240.57),
    ]
    first, second = intake(HEAD, read).taken
    assert first.setting == second.setting == Setting("idle", 243.0)
    assert first.volts == pytest.approx(243.0)
    assert second.volts == pytest.approx(240.57)


def test_ohms_have_no_setting_and_a_frequency_is_a_share() -> None:
    read = [
        Reading("cold", "ht a ohms", 33.0, None, unit="ohm"),
        Reading("full wall", "reservoir hum", 50.0, 243.0, unit="Hz"),
        Reading("full wall", "screens hum", 100.0, 243.0, unit="Hz"),
    ]
    taken = intake(HEAD, read).taken
    assert (taken[0].setting, taken[0].value) == (None, 33.0)
    assert [one.value for one in taken[1:]] == [1.0, 0.0]


def test_what_cannot_be_used_is_left_out_with_its_reason() -> None:
    read = [
        Reading("full wall", "mains watts", 90.0, 243.0, unit="VA"),
        Reading("valves-out limit", "reservoir DC", 470.0, 243.0),
    ]
    given = intake(HEAD, read)
    assert given.taken == ()
    units, limit = given.left_out
    assert units == "mains watts at full wall: read in VA, where W is wanted"
    assert limit.startswith("reservoir DC at valves-out limit: the volts at the amplifier are not known")


def test_nothing_is_expected_of_a_rectifier_valve_at_low_mains() -> None:
    read = [
        Reading("a half", "reservoir DC", 3.0, 236.0),
        Reading("three quarters", "reservoir DC", 300.0, 236.0),
    ]
    given = intake(COMBO, read)
    assert [one.step for one in given.taken] == ["three quarters"]
    assert "rectifier valve" in given.left_out[0]


def test_three_steps_with_the_valves_out_are_used() -> None:
    steps = ("a tenth", "a quarter", "a half", "three quarters", "valves out")
    given = intake(HEAD, [Reading(step, "reservoir DC", 100.0, 243.0) for step in steps])
    assert [one.step for one in given.taken] == ["a tenth", "a half", "valves out"]
    assert len(given.left_out) == 2
