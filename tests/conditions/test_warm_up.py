"""The moments of a warm-up: in which order B+ and the valves arrive, and that each is a steady state."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from psucheck.circuit.condition import Condition
from psucheck.circuit.network import Capacitor
from psucheck.circuit.spice import write_deck
from psucheck.conditions.chains import start_states
from psucheck.conditions.plan import plan
from psucheck.conditions.run import Outcome, run_conditions
from psucheck.conditions.warm_up import moments
from psucheck.engine import jobs
from psucheck.engine.here import Here
from psucheck.figures import warm_up
from psucheck.figures.measure import measure
from psucheck.figures.model import Figures
from psucheck.supply.filled import FilledSupply
from tests.conditions.supplies import SUPPLIES
from tests.engine_runs import described, readings_of
from tests.tolerances import within

SILICON, DIRECT, INDIRECT = "1N4007", "5U4G", "GZ34"


def _supply(device: str) -> FilledSupply:
    text = SUPPLIES["centre-tapped"].replace('device = "1N4007"', f'device = "{device}"', 1)
    return described(text)


@cache
def _run(device: str) -> tuple[Outcome, ...]:
    """The warm-up between cold and idle, at high mains."""
    filled = _supply(device)
    wanted = [c for c in plan(filled) if c.level == "high" and c.state in ("cold", "warm-up", "idle")]
    return tuple(run_conditions(filled, wanted, readings_of(filled), Here()))


@cache
def _figures(device: str) -> dict[str, Figures]:
    return {o.condition.name: measure(o) for o in _run(device)}


def _warming(device: str) -> list[Figures]:
    return warm_up.moments(_figures(device))


def _volts(device: str, state: str) -> float:
    return _figures(device)[f"{state}, high mains"].nodes["reservoir"].dc


def _peak(device: str) -> warm_up.Peak:
    found = warm_up.peak(_warming(device))
    assert found is not None
    return found


def test_silicon_stands_at_the_unloaded_peak_until_the_valves_draw() -> None:
    first, cold = _warming(SILICON)[0], _volts(SILICON, "cold")
    assert first.seconds == 1.0
    assert first.nodes["reservoir"].dc == within("same-solution", cold)
    found = _peak(SILICON)
    assert (found.node, found.since, found.drawing) == ("reservoir", 1.0, 0.0)
    assert found.volts == within("same-solution", cold)
    assert found.until == _supply(SILICON).warm_ups["valves"].starts


def test_a_directly_heated_rectifier_arrives_before_the_valves() -> None:
    found, cold = _peak(DIRECT), _volts(DIRECT, "cold")
    assert found.drawing == 0.0
    assert 2.0 < found.until < 7.0
    # Nearly all of its emission, and nothing to drop volts.
    assert 0.99 * cold < found.volts <= cold + 0.1


def test_an_indirectly_heated_rectifier_arrives_onto_valves_that_draw() -> None:
    found = _peak(INDIRECT)
    assert found.drawing == 1.0
    assert found.volts < 0.95 * _volts(INDIRECT, "cold")
    volts = [each.nodes["reservoir"].dc for each in _warming(INDIRECT)]
    assert volts == sorted(volts)


@pytest.mark.parametrize("device", [SILICON, DIRECT, INDIRECT])
def test_it_ends_at_idle(device: str) -> None:
    last, idle = _warming(device)[-1], _figures(device)["idle, high mains"]
    assert set(last.emission.values()) == {1.0}
    for name, node in idle.nodes.items():
        assert last.nodes[name].dc == within("same-solution", node.dc)
    assert last.valves["output"].anode_current == within("dc", idle.valves["output"].anode_current)


@pytest.mark.parametrize("device", [SILICON, DIRECT])
def test_each_is_found_from_its_neighbour_as_from_nothing(device: str) -> None:
    for outcome in _run(device):
        job = jobs.SteadyJob(write_deck(outcome.network), start_states(outcome.network))
        fresh = jobs.run_chain([job])[0]
        assert outcome.run is not None
        for index, state in enumerate(job.deck.states):
            if isinstance(outcome.network[state.element], Capacitor):
                expected = within("same-solution", fresh.states[index])
                assert outcome.run.states[index] == expected, outcome.condition.name


@pytest.mark.parametrize(("device", "seconds"), [(SILICON, 8.2), (DIRECT, 3.5), (INDIRECT, 14.3)])
def test_each_goes_on_as_it_is(device: str, seconds: float) -> None:
    outcome = next(o for o in _run(device) if o.condition.seconds == seconds)
    assert outcome.run is not None
    deck, start = outcome.run.deck, outcome.run.states
    held = [isinstance(outcome.network[state.element], Capacitor) for state in deck.states]
    length = 50 / deck.hertz
    run = jobs.run_chain([jobs.TransientJob((deck,), length, 1 / deck.hertz / 400, states=start)])[0]
    end = jobs.final_states(deck, run.waveforms)
    assert np.abs(end - start)[held].max() < 0.1


@pytest.mark.parametrize("device", [SILICON, DIRECT, INDIRECT])
def test_the_moments_are_few_and_tell_the_whole_rise(device: str) -> None:
    filled = _supply(device)
    found = moments(filled)
    assert 3 <= len(found) <= 8
    assert list(found) == sorted(set(found))
    assert found[-1] == max(rise.full for rise in filled.warm_ups.values())
    rectifier = filled.warm_ups.get("rectifiers.ht")
    assert rectifier is None or found[0] > rectifier.starts


def test_valves_are_not_run_on_a_rail_that_is_missing() -> None:
    # Silicon on the screens, a slow valve on the anodes.
    filled = described(SUPPLIES["two rails"].replace('device = "1N4007"', f'device = "{INDIRECT}"', 1))
    anodes, valves = filled.warm_ups["rectifiers.ht"], filled.warm_ups["valves"]
    found = moments(filled)
    assert found[0] == 1.0
    for seconds in found:
        assert valves.share(seconds) == 0.0 or anodes.share(seconds) >= 0.2
    wanted = [c for c in plan(filled) if c.state == "warm-up"]
    last = measure(run_conditions(filled, wanted, readings_of(filled), Here())[-1])
    assert last.nodes["reservoir"].dc > last.nodes["screens"].dc > 0


def test_nothing_warms_up_where_nothing_draws() -> None:
    head = SUPPLIES["centre-tapped"].split("[loads.output]")[0]
    filled = described(head + '[loads.dummy]\nnode = "preamp"\nresistance = "100k"\n')
    assert moments(filled) == ()
    assert "warm-up" not in {condition.state for condition in plan(filled)}


def test_the_name_tells_the_moment() -> None:
    assert Condition("warm-up", "high", 253.0, seconds=5.5).name == "warm-up 5.5 s, high mains"
    assert Condition("warm-up", "high", 253.0, seconds=11.0).name == "warm-up 11 s, high mains"
