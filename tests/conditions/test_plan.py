import pytest

from psucheck.circuit.condition import Condition
from psucheck.conditions.chains import COURSES, chains, needed_for
from psucheck.conditions.plan import level_volts, plan, reading_level
from tests.conditions.supplies import SUPPLIES
from tests.engine_runs import described

ORDINARY = SUPPLIES["centre-tapped"]
NO_WALL = ORDINARY.replace('wall = "236 V"\n', "")
STANDBY = SUPPLIES["standby"]
NO_VALVES = "\n".join(
    line for line in ORDINARY.split("[loads.output]")[0].splitlines() if not line.startswith("valves")
)


def _plan(text: str) -> list[Condition]:
    return plan(described(text))


def _levels(text: str, state: str) -> set[str]:
    return {condition.level for condition in _plan(text) if condition.state == state}


@pytest.mark.parametrize("text", [ORDINARY, NO_WALL, STANDBY, NO_VALVES])
def test_no_condition_is_run_twice(text: str) -> None:
    names = [condition.name for condition in _plan(text)]
    assert sorted(names) == sorted(set(names))


def test_each_state_at_the_mains_that_are_known() -> None:
    for state in ("idle", "full output"):
        assert _levels(ORDINARY, state) == {"low", "nominal", "wall", "high"}
        assert _levels(NO_WALL, state) == {"low", "nominal", "high"}
    for state in ("cold", "valves out"):
        assert _levels(ORDINARY, state) == {"nominal", "wall", "high"}
        assert _levels(NO_WALL, state) == {"nominal", "high"}
    for state in ("switch-on", "switch-on, valves cold", "switch-off", "switch-off, valves out"):
        assert _levels(ORDINARY, state) == {"high"}


def test_standby_only_where_there_is_a_switch() -> None:
    assert _levels(ORDINARY, "standby open") == set()
    assert _levels(ORDINARY, "standby closes") == set()
    assert _levels(STANDBY, "standby open") == {"wall", "high"}
    assert _levels(STANDBY, "standby closes") == {"high"}


def test_a_burst_only_where_there_is_an_output_stage() -> None:
    assert _levels(ORDINARY, "sag") == {"wall"}
    assert _levels(NO_WALL, "sag") == {"nominal"}
    assert _levels(NO_VALVES, "sag") == set()


def test_volts_are_those_of_the_level() -> None:
    filled = described(ORDINARY)
    assert level_volts(filled.mains) == {"nominal": 230.0, "low": 207.0, "wall": 236.0, "high": 253.0}
    assert {(c.level, c.volts) for c in plan(filled)} == {
        ("nominal", 230.0), ("low", 207.0), ("wall", 236.0), ("high", 253.0)
    }  # fmt: skip


def test_readings_were_taken_at_the_wall() -> None:
    assert reading_level(described(ORDINARY).mains) == "wall"
    assert reading_level(described(NO_WALL).mains) == "nominal"


@pytest.mark.parametrize("text", [ORDINARY, NO_WALL, STANDBY, NO_VALVES])
def test_every_condition_has_its_place_in_a_chain_behind_what_it_starts_from(text: str) -> None:
    conditions = _plan(text)
    links = chains(conditions)
    run = [condition for chain in links for condition in chain]
    assert len(run) == len(set(run))
    # A linear decay is no run of the simulator's.
    assert set(run) == {c for c in conditions if c.state != "switch-off, valves out"}
    for chain in links:
        for place, condition in enumerate(chain):
            course = COURSES.get(condition.state)
            if course is not None and course.after is not None:
                assert (course.after, condition.level) in [(c.state, c.level) for c in chain[:place]]


def test_what_one_condition_needs() -> None:
    conditions = _plan(STANDBY)
    by_name = {condition.name: condition for condition in conditions}

    def needed(name: str) -> list[str]:
        return [condition.name for condition in needed_for(by_name[name], conditions)]

    assert needed("idle, low mains") == ["idle, low mains"]
    assert needed("switch-off, high mains") == ["idle, high mains", "switch-off, high mains"]
    assert needed("standby closes, high mains") == ["standby open, high mains", "standby closes, high mains"]
    assert needed("hot restart, high mains") == [
        "idle, high mains", "switch-off, high mains", "hot restart, high mains"
    ]  # fmt: skip
