"""Switch-on, switch-off, standby and the run-down with the valves out, against what is known of them."""

from __future__ import annotations

import math

import numpy as np
import pytest

from psucheck.circuit.build import build_network
from psucheck.circuit.condition import Condition, Level, Readings, State
from psucheck.circuit.network import Core, Mains
from psucheck.circuit.spice import write_deck
from psucheck.conditions.chains import PHASES
from psucheck.engine.jobs import simulator
from psucheck.engine.waveforms import rms
from psucheck.figures.model import Figures
from psucheck.supply.filled import FilledSupply
from tests.conditions.solved import Solved, solve, solved
from tests.conditions.supplies import PREAMP, RESERVOIR, SCREENS, SUPPLIES, describe
from tests.engine_runs import described, figures_of

# --- standby ----------------------------------------------------------------------------------------------


def _standby(place: str, bypass: str = "") -> Figures:
    switch = f'"{place}"' if not bypass else f'{{ place = "{place}", bypass = "{bypass}" }}'
    text = describe("standby", more=f"[switches]\nstandby = {switch}")
    return figures_of(described(text), Condition("standby open", "high", 253.0))[0]


CREST_HIGH = math.sqrt(2) * 300.0 * 253.0 / 236.0


@pytest.mark.parametrize(
    ("place", "charged", "empty"),
    [
        ("before reservoir", (), ("reservoir", "screens", "preamp")),
        ("after reservoir", ("reservoir",), ("screens", "preamp")),
        ("before screens", ("reservoir",), ("screens", "preamp")),
        ("before preamp", ("reservoir", "screens"), ("preamp",)),
        ("centre tap ht", (), ("reservoir", "screens", "preamp")),
    ],
)
def test_an_open_standby_keeps_what_is_before_it_charged(
    place: str, charged: tuple[str, ...], empty: tuple[str, ...]
) -> None:
    figures = _standby(place)
    for node in charged:
        # At the crest with the output valves cut off, a tenth below where they still draw.
        assert 0.88 * CREST_HIGH < figures.nodes[node].dc < CREST_HIGH
    for node in empty:
        assert abs(figures.nodes[node].dc) < 1.0


def test_with_its_screens_off_a_valve_draws_nothing_and_the_reservoir_rises() -> None:
    found = solved("standby")
    valves = found.at("standby open", "high").valves["output"]
    assert valves.anode_current < 1e-5
    assert found.dc("reservoir", "standby open", "high") > found.dc("reservoir", "idle", "high") + 20


def test_a_bypass_lets_some_through() -> None:
    figures = _standby("before preamp", "100k 1 W")
    # 4 mA follow the preamp's rail from where they were read: a resistance, the bypass in series with it.
    assert 0.2 * CREST_HIGH < figures.nodes["preamp"].dc < 0.6 * CREST_HIGH


def test_closing_the_standby_charges_what_was_empty() -> None:
    found = solved("standby")
    closing = found.at("standby closes", "high")
    opened = found.at("standby open", "high")
    assert closing.nodes["screens"].min == pytest.approx(0.0, abs=1.0)
    assert closing.nodes["screens"].max > 0.9 * found.dc("screens", "idle", "high")
    assert closing.nodes["reservoir"].max <= 1.02 * opened.nodes["reservoir"].max
    # The switch carries the rush, and more than what runs through it later.
    places = closing.places["before screens"]
    assert places.peak_current > 3 * found.at("idle", "high").places["before screens"].rms_current


# --- switch-on --------------------------------------------------------------------------------------------


def _trial(filled: FilledSupply, condition: Condition, readings: Readings, phase: float) -> tuple[float, str]:
    """RMS of the mains current over the first cycle of a switch-on at ``phase``, and the mains' line."""
    network = build_network(filled, condition, readings, phase)
    deck = write_deck(network)
    states = np.array([e.residual * e.rated_flux if isinstance(e, Core) else 0.0 for e in network.states])
    mains = next(e.name for e in network.elements if isinstance(e, Mains))
    spice = simulator()
    spice.load(deck)
    run = spice.run(states, seconds=1 / 50, max_step=100e-6)
    return rms(run.time, run.vectors[deck.currents[mains]]), deck.lines[0]


def test_switch_on_is_run_at_the_worst_of_the_phases_tried() -> None:
    found = solved("standby")
    outcome = found.outcomes["switch-on, high mains"]
    trials = [_trial(found.filled, outcome.condition, found.readings, phase) for phase in PHASES]
    worst = max(trials, key=lambda trial: trial[0])
    assert outcome.run is not None
    assert outcome.run.deck.lines[0] == worst[1]
    assert worst[0] > 1.2 * min(trials)[0]
    # All the rest of the deck is the same.
    network = build_network(found.filled, outcome.condition, found.readings, 0.0)
    assert outcome.run.deck.lines[1:] == write_deck(network).lines[1:]


@pytest.mark.parametrize("state", ["switch-on", "switch-on, valves cold"])
def test_switch_on_starts_from_empty_capacitors(state: str) -> None:
    found = solved("standby")
    outcome = found.outcomes[f"{state}, high mains"]
    assert outcome.run is not None
    for node in outcome.network.layout.nodes.values():
        assert abs(outcome.run.waveforms.node(node)[0]) < 1.0


def test_an_inrush_is_larger_than_what_runs_later() -> None:
    found = solved("standby")
    inrush = found.at("switch-on", "high").mains_supply
    running = found.at("idle", "high").mains_supply
    assert inrush is not None
    assert running is not None
    assert inrush.peak_current > 3 * running.peak_current


# --- a supply with nothing drawing ------------------------------------------------------------------------


_LEVELS: tuple[Level, ...] = ("nominal", "wall", "high")
_CONDUCTING: tuple[State, ...] = ("cold", "idle", "full output")


@pytest.fixture(scope="module")
def idle_supply() -> Solved:
    lines = SUPPLIES["centre-tapped"].split("[loads.output]")[0].splitlines()
    return solve("\n".join(line for line in lines if not line.startswith("valves")))


def test_with_nothing_drawing_every_state_is_the_same(idle_supply: Solved) -> None:
    assert idle_supply.filled.currents == {}
    assert idle_supply.filled.outputs == {}
    for level in _LEVELS:
        for node in idle_supply.filled.nodes:
            off_load = idle_supply.dc(node, "valves out", level)
            for state in _CONDUCTING:
                assert idle_supply.dc(node, state, level) == pytest.approx(off_load, rel=5e-4)


def test_with_nothing_drawing_the_rail_comes_down_to_the_crest(idle_supply: Solved) -> None:
    for level, volts in zip(_LEVELS, (230.0, 236.0, 253.0), strict=True):
        crest = math.sqrt(2) * 300.0 * volts / 236.0
        assert 0.985 * crest < idle_supply.dc("reservoir", "valves out", level) < crest


# --- running down -----------------------------------------------------------------------------------------

NO_LOADS = SUPPLIES["centre-tapped"].split("[filter]")[0]


def _run_down(*nodes: str) -> Figures:
    lines = [line for line in NO_LOADS.splitlines() if not line.startswith("valves")]
    text = "\n".join((*lines, "[filter]", *nodes))
    levels = [Condition(state, "high", 253.0) for state in ("valves out", "switch-off, valves out")]
    return figures_of(described(text), *levels)[1]


def test_one_capacitor_and_its_bleeder_run_down_by_their_time_constant() -> None:
    found = _run_down('reservoir = "100 uF 500 V, bleeder 100k 5 W"').discharge["reservoir"]
    assert found.bled
    # The leakage, 1/(0.002 C), stands beside the bleeder.
    ohms = 1 / (1 / 100e3 + 0.002 * 100e-6)
    expected = ohms * 100e-6 * math.log(found.start_volts / 60.0)
    assert found.seconds_to_60_v == pytest.approx(expected, rel=1e-3)
    assert 18 < expected < 22


def test_a_series_string_runs_down_through_its_balancing_resistors() -> None:
    found = _run_down('reservoir = "2 x 100 uF 350 V in series with 220k 1 W each"').discharge["reservoir"]
    assert found.bled
    ohms = 1 / (1 / 220e3 + 0.002 * 100e-6)
    expected = ohms * 100e-6 * math.log(found.start_volts / 60.0)
    assert found.seconds_to_60_v == pytest.approx(expected, rel=1e-3)


def test_a_bleeder_at_the_far_end_drains_all_of_it() -> None:
    found = _run_down(RESERVOIR, SCREENS, PREAMP.replace('V"', 'V, bleeder 100k 5 W"')).discharge
    assert all(node.bled for node in found.values())
    # Little is lost over choke and dropper: all 169 uF through 100k.
    leakage = 0.002 * 169e-6
    expected = 169e-6 / (1 / 100e3 + leakage) * math.log(found["reservoir"].start_volts / 60.0)
    assert found["reservoir"].seconds_to_60_v == pytest.approx(expected, rel=0.12)


def test_without_a_bleeder_only_the_leakage_drains_it() -> None:
    found = _run_down('reservoir = "100 uF 500 V"').discharge["reservoir"]
    assert not found.bled
    expected = 1 / 0.002 * math.log(found.start_volts / 60.0)
    assert found.seconds_to_60_v == pytest.approx(expected, rel=1e-3)


def test_the_run_down_starts_where_valves_out_stands() -> None:
    found = solved("standby")
    started = found.at("switch-off, valves out", "high").discharge
    for node, volts in found.at("valves out", "high").nodes.items():
        assert started[node].start_volts == pytest.approx(volts.dc, rel=1e-3)


def test_hot_valves_drain_a_supply_faster() -> None:
    found = solved("standby")
    valves_in, out = (
        found.at(state, "high").discharge["reservoir"] for state in ("switch-off", "switch-off, valves out")
    )
    assert valves_in.seconds_to_60_v is not None
    assert out.seconds_to_60_v is not None
    assert valves_in.seconds_to_60_v < 0.1 * out.seconds_to_60_v


# --- back again, and a burst ------------------------------------------------------------------------------


def test_a_hot_restart_finds_the_capacitors_still_charged() -> None:
    found = solved("standby")
    restart, off = found.outcomes["hot restart, high mains"], found.outcomes["switch-off, high mains"]
    assert restart.run is not None
    assert off.run is not None
    node = restart.network.layout.nodes["reservoir"]
    after_a_second = np.interp(1.0, off.run.waveforms.time, off.run.waveforms.node(node))
    assert restart.run.waveforms.node(node)[0] == pytest.approx(after_a_second, abs=2.0)
    assert 60 < after_a_second < found.dc("reservoir", "idle", "high")


def test_a_burst_pulls_the_rail_towards_full_output_and_lets_it_come_back() -> None:
    found = solved("standby")
    idle, full, sag = (
        found.at(state, "wall").nodes["reservoir"] for state in ("idle", "full output", "sag")
    )  # fmt: skip
    assert sag.min == pytest.approx(full.min, rel=0.01)
    assert sag.dc == pytest.approx(idle.dc, rel=0.01)
