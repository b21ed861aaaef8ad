"""A share of the fault matrix, run: two of the five supplies on a seed of its own.

The whole of it is run by ``tests/benchmarks/fault_matrix.py``.
"""

from __future__ import annotations

from functools import cache

import pytest

from psucheck.bench.advice import advice
from psucheck.bench.faultfind import silent
from psucheck.bench.likelihood import Scale, curves, fit
from psucheck.bench.meter_spread import Meter
from psucheck.bench.pairs import pairs, unexplained
from psucheck.bench.ranking import ranked
from psucheck.bench.responses import Responses, Slot
from tests.bench.faulty import Specimen, read_all
from tests.bench.matrix import Case, Finder, Result, cases, placed, responses_of, settings_of
from tests.engine_runs import Here

SEED = 21
SUPPLIES = ("cathode-bias combo", "single-ended")
SOUND_ONES = 6


@cache
def _responses(name: str) -> Responses:
    filled, readings = placed(name, Here())
    return responses_of(filled, readings, Here())


@cache
def _finder(name: str) -> Finder:
    return Finder(_responses(name))


@cache
def _cases(name: str) -> list[Case]:
    filled, readings = placed(name, Here())
    return cases(filled, readings, SEED, Here(), sound_ones=SOUND_ONES)


@cache
def _results() -> list[Result]:
    return [_finder(name).result(name, case) for name in SUPPLIES for case in _cases(name)]


def test_every_supply_has_at_least_25_faults() -> None:
    for name in SUPPLIES:
        assert sum(case.cause is not None for case in _cases(name)) >= 25


def test_the_true_cause_or_its_group_comes_first() -> None:
    faults = [result for result in _results() if not result.sound]
    assert sum(result.rank == 1 for result in faults) / len(faults) >= 0.80
    assert sum(result.rank <= 3 for result in faults) / len(faults) >= 0.95


def test_sound_amplifiers_have_nothing_wrong() -> None:
    sound = [result for result in _results() if result.sound]
    assert sum(result.rank == 1 for result in sound) / len(sound) >= 0.95


def test_groups_are_small() -> None:
    faults = [result for result in _results() if not result.sound]
    assert sum(result.together for result in faults) / len(faults) < 3.0


# --- directions, as a bench knows them --------------------------------------------------------------------


def _moved(name: str, cause: str, at: str, point: str, size: float | None = None) -> float:
    """A reading at idle with a cause over the sound one."""
    responses = _responses(name)
    idle = settings_of(responses.filled)[-1]
    slot: Slot = (idle, point)
    found = next(r for c, r in responses.causes.items() if (c.id, c.at, c.blown) == (cause, at, False))
    one = next(each for each in found if size is None or each.size == size)
    return one.values[slot] / responses.sound.values[slot]


def test_a_dried_reservoir_is_ripple_and_little_else() -> None:
    assert 2.5 < _moved("cathode-bias combo", "dried capacitor", "reservoir", "reservoir AC", 0.27) < 4.5
    assert _moved(
        "cathode-bias combo", "dried capacitor", "reservoir", "reservoir DC", 0.27
    ) == pytest.approx(1, abs=0.02)


def test_one_anode_dead_is_a_tenth_less_and_the_mains_frequency() -> None:
    for name in SUPPLIES:
        assert 0.85 < _moved(name, "rectifier arm open", "ht arm a", "reservoir DC") < 0.97
    responses = _responses("single-ended")
    idle = settings_of(responses.filled)[-1]
    arm = next(r for c, r in responses.causes.items() if c.key == "rectifier arm open: ht arm a")
    # A sawtooth of the mains' frequency holds half as much of twice that.
    assert arm[0].values[idle, "reservoir hum"] > 0.6 > 0.1 > responses.sound.values[idle, "reservoir hum"]


def test_a_weak_rectifier_takes_watts_down_a_heavy_load_takes_them_up() -> None:
    weak = ("rectifier valve weak", "ht")
    assert _moved("single-ended", *weak, "reservoir DC", 0.2) < 0.97
    assert _moved("single-ended", *weak, "mains watts", 0.2) < 1.0
    assert _moved("single-ended", "cathode resistor low", "output", "mains watts", 0.3) > 1.05


def test_a_cathode_resistor_that_is_low_takes_the_cathode_down_and_the_current_up() -> None:
    low = ("cathode resistor low", "output")
    volts = _moved("single-ended", *low, "output cathode DC", 0.3)
    assert volts < 0.75
    assert volts / 0.3 > 1.2


def test_shorted_turns_are_watts_not_volts() -> None:
    turns = ("shorted turns", "transformer")
    assert _moved("cathode-bias combo", *turns, "mains watts", 0.006) > 1.1
    assert _moved("cathode-bias combo", *turns, "ht a", 0.006) > 0.98


def test_a_leaking_can_pulls_its_node_down_and_nothing_above_it() -> None:
    leaking = ("single-ended", "leaking capacitor", "preamp")
    assert 0.7 < _moved(*leaking, "preamp DC", 8e-3) < 0.9
    assert _moved(*leaking, "reservoir DC", 8e-3) > 0.98


# --- what can't be told apart -----------------------------------------------------------------------------


def test_a_dried_capacitor_and_a_high_esr_may_be_one() -> None:
    finder = _finder("cathode-bias combo")
    case = next(
        c for c in _cases("cathode-bias combo") if c.cause and c.cause.key == "dried capacitor: reservoir"
    )
    assert "dried capacitor: reservoir" in finder.groups(case)[0].keys


def test_some_causes_do_not_show() -> None:
    # Cans past a dropper are heard, not read.
    assert 1 <= silent(_finder("cathode-bias combo").curves) <= 12


# --- two faults, and what to do next ----------------------------------------------------------------------


def test_two_faults_that_no_single_one_explains_are_found_together() -> None:
    name = "single-ended"
    filled, readings = placed(name, Here())
    known = {cause.key: cause for cause in _responses(name).causes}
    both = (
        (known["dried capacitor: reservoir"], 0.2),
        (known["rectifier valve weak: ht"], 0.25),
    )
    read = read_all([Specimen(filled, readings, settings_of(filled), both, 5)], Here())[0]
    assert read is not None
    finder = _finder(name)
    values = finder.scale.scaled([read[slot] for slot in finder.scale.slots])
    fits = [fit(each, values) for each in finder.curves]
    assert unexplained(ranked(fits)[0].leader)
    found = pairs(fits, _responses(name), finder.scale, values, readings, Here())[0]
    assert {cause.id for cause in found.causes} == {"dried capacitor", "rectifier valve weak"}
    assert not unexplained(found.fit)


def test_the_next_step_tells_the_leading_causes_apart_and_is_cheap() -> None:
    name = "cathode-bias combo"
    responses = _responses(name)
    case = next(c for c in _cases(name) if c.cause and c.cause.key == "rectifier arm open: ht arm a")
    few = [
        slot for slot in _finder(name).scale.slots if slot[1] in ("reservoir DC", "screens DC", "mains watts")
    ]
    read = {slot: case.read[slot] for slot in few}
    scale = Scale(few, responses, Meter())
    groups = ranked([fit(each, scale.scaled([*read.values()])) for each in curves(responses, scale)])
    steps = advice(groups, responses, read, Meter())
    assert len(groups[0].fits) > 1
    assert steps
    assert all(step.settles > 0 and step.safety for step in steps)
    assert min(step.minutes for step in steps) <= 4.0
