"""Every rectifier circuit in every planned condition: finite, in order, near what a sine's crest gives."""

from __future__ import annotations

import math
from dataclasses import fields, is_dataclass
from typing import Any

import pytest

from tests.conditions.solved import CIRCUITS, planned, solved

CREST = math.sqrt(2)
OFF_LOAD = {
    "centre-tapped": 300 * CREST,
    "bridge": 300 * CREST,
    "bridge with centre tap": 300 * CREST,
    "half-wave": 300 * CREST,
    "full-wave doubler": 2 * 160 * CREST,
    "full-wave doubler, middle tapped": 2 * 160 * CREST,
    "cascade doubler": 2 * 160 * CREST,
    "cathode bias": 300 * CREST,
    "two rails": 300 * CREST,
    "branch": 300 * CREST,
}
"""Crest at the wall voltage, at which the windings were read off load [V]."""
EVERY = [*OFF_LOAD, "choke input"]


def _numbers(value: Any) -> list[float]:
    if isinstance(value, float):
        return [value]
    if isinstance(value, dict):
        return [number for item in value.values() for number in _numbers(item)]
    if isinstance(value, list | tuple):
        return [number for item in value for number in _numbers(item)]
    if is_dataclass(value):
        return [number for field in fields(value) for number in _numbers(getattr(value, field.name))]
    return []


@pytest.mark.parametrize("name", EVERY)
def test_every_planned_condition_gives_finite_figures(name: str) -> None:
    found = solved(name)
    conditions = planned(found.filled, warming=name in CIRCUITS)
    assert set(found.figures) == {condition.name for condition in conditions}
    for figures in found.figures.values():
        numbers = _numbers(figures)
        assert len(numbers) > 10
        assert all(map(math.isfinite, numbers))
        assert list(figures.nodes) == list(found.filled.nodes)


@pytest.mark.parametrize("name", EVERY)
def test_volts_rise_with_the_mains_and_fall_with_the_load(name: str) -> None:
    found = solved(name)
    for node in found.filled.nodes:
        for state in ("idle", "full output"):
            rising = [found.dc(node, state, level) for level in ("low", "nominal", "wall", "high")]
            assert rising == sorted(rising)
        for level in ("nominal", "wall", "high"):
            # The heaters' load on the transformer is all that the cold valves have over none.
            falling = [
                found.dc(node, state, level) for state in ("valves out", "cold", "idle", "full output")
            ]
            assert falling == sorted(falling, reverse=True)


@pytest.mark.parametrize("name", OFF_LOAD)
def test_off_load_the_rail_stands_at_the_crest(name: str) -> None:
    volts = solved(name).dc("reservoir", "valves out", "wall")
    # Less a diode's drop or two, and what the no-load current drops in the primary.
    assert 0.985 * OFF_LOAD[name] < volts < OFF_LOAD[name]


@pytest.mark.parametrize("name", OFF_LOAD)
def test_switch_on_ends_where_idle_is(name: str) -> None:
    found = solved(name)
    volts = found.at("switch-on", "high").nodes["reservoir"]
    assert volts.dc == pytest.approx(found.dc("reservoir", "idle", "high"), rel=0.01)
    assert volts.min >= -1.0
    cold = found.at("switch-on, valves cold", "high").nodes["reservoir"]
    assert cold.max == pytest.approx(found.dc("reservoir", "cold", "high"), rel=0.08)


@pytest.mark.parametrize("name", EVERY)
def test_switch_off_starts_where_idle_is_and_goes_down(name: str) -> None:
    found = solved(name)
    idle, off = found.at("idle", "high"), found.at("switch-off", "high")
    for node, volts in off.nodes.items():
        # It starts at the mains' crest, somewhere on idle's ripple.
        assert 0.999 * idle.nodes[node].min < volts.max < 1.001 * idle.nodes[node].max
        assert off.discharge[node].start_volts == pytest.approx(volts.max, rel=2e-3)
        # The cathodes cool, and what they leave is only leaked away.
        assert abs(volts.dc) < 0.8 * abs(idle.nodes[node].dc)


@pytest.mark.parametrize("name", EVERY)
def test_the_mains_give_what_the_supply_takes(name: str) -> None:
    mains = solved(name).at("idle", "nominal").mains_supply
    assert mains is not None
    assert mains.volts == pytest.approx(230.0, rel=1e-3)
    assert 40 < mains.watts < 120
    assert mains.watts < mains.volt_amperes == pytest.approx(mains.volts * mains.rms_current, rel=1e-6)
    assert mains.peak_current > math.sqrt(2) * 0.9 * mains.rms_current


@pytest.mark.parametrize(
    ("name", "times"),
    [
        ("centre-tapped", 2 * 300),
        ("bridge", 300),
        ("half-wave", 2 * 300),
        ("full-wave doubler", 2 * 160),
        ("cascade doubler", 2 * 160),
    ],
)
def test_reverse_voltage_off_load_is_the_circuits_own(name: str, times: float) -> None:
    arms = solved(name).at("valves out", "wall").rectifiers["ht"]
    assert arms.reverse_voltage == pytest.approx(times * CREST, rel=0.015)


def test_a_doubler_doubles() -> None:
    bridge = solved("bridge").dc("reservoir", "valves out", "wall") / 300
    for name in ("full-wave doubler", "cascade doubler"):
        assert solved(name).dc("reservoir", "valves out", "wall") / 160 == pytest.approx(2 * bridge, rel=0.01)


def test_the_middle_of_a_doubler_stands_at_half() -> None:
    found = solved("full-wave doubler, middle tapped")
    for state in ("valves out", "cold"):
        whole, half = (found.dc(node, state, "wall") for node in ("reservoir", "screens"))
        assert half == pytest.approx(whole / 2, rel=0.01)


def test_the_joint_of_a_bridge_with_centre_tap_halves_the_rail() -> None:
    found = solved("bridge with centre tap")
    for state in ("idle", "full output", "valves out"):
        units = found.at(state, "wall").capacitors["reservoir"].unit_max_volts
        assert units[0] == pytest.approx(units[1], rel=0.01)
    # With the tap on the joint each half is a full-wave rectifier of its own half winding.
    assert max(found.at("valves out", "wall").capacitors["reservoir"].unit_max_volts) == pytest.approx(
        150 * CREST, rel=0.015
    )


def test_half_wave_ripples_twice_as_much() -> None:
    full, half = (
        solved(name).at("full output", "nominal").nodes["reservoir"].ripple_pp
        for name in ("bridge", "half-wave")
    )
    assert 1.7 * full < half < 2.6 * full


def test_half_wave_drops_most_under_load() -> None:
    def regulation(name: str) -> float:
        found = solved(name)
        return found.dc("reservoir", "full output", "wall") / found.dc("reservoir", "valves out", "wall")

    assert regulation("half-wave") < regulation("centre-tapped")
    assert regulation("half-wave") < regulation("bridge")


def test_choke_input_gives_the_mean() -> None:
    found = solved("choke input")
    mean = 2 * CREST / math.pi * 420
    idle, full = (found.dc("reservoir", state, "wall") for state in ("idle", "full output"))
    assert 0.88 * mean < full < idle < mean
    # Off load the bleeder alone is not enough to keep the choke's current up.
    off_load = found.dc("reservoir", "valves out", "wall")
    assert mean < off_load < 420 * CREST
    assert found.at("idle", "wall").chokes["reservoir"].min_current > 0


def test_two_rails_each_have_their_own_winding() -> None:
    found = solved("two rails")
    assert found.dc("screens", "valves out", "wall") == pytest.approx(250 * CREST, rel=0.015)
    idle = found.at("idle", "wall")
    assert idle.rectifiers["screens"].mean_current < 0.3 * idle.rectifiers["ht"].mean_current
    # The output valves' anodes draw from one, their screens and the preamp from the other.
    valves = idle.valves["output"]
    assert idle.rectifiers["ht"].mean_current == pytest.approx(2 * valves.anode_current, rel=0.01)
    assert idle.rectifiers["screens"].mean_current == pytest.approx(
        2 * valves.screen_current + 4e-3, rel=0.02
    )


def test_a_branch_hangs_on_the_node_that_it_names() -> None:
    idle = solved("branch").at("idle", "wall").nodes
    assert idle["screens"].dc - idle["preamp"].dc == pytest.approx(22e3 * 4e-3, rel=0.01)
    # Nothing draws from the splitter.
    assert idle["screens"].dc - idle["splitter"].dc == pytest.approx(0.0, abs=0.5)


def test_cathode_bias_is_the_drop_of_its_resistor() -> None:
    found = solved("cathode bias")
    for state in ("idle", "full output"):
        for level in ("low", "wall", "high"):
            valves = found.at(state, level).valves["output"]
            both = 2 * (valves.anode_current + valves.screen_current)
            assert valves.bias == pytest.approx(-470 * both, rel=1e-3)
    valves = found.at("idle", "wall").valves["output"]
    assert valves.anode_current + valves.screen_current == pytest.approx(36e-3, rel=0.005)


def test_a_cathode_resistor_steadies_the_current_against_the_mains() -> None:
    def rise(name: str) -> float:
        low, high = (solved(name).at("idle", level).valves["output"] for level in ("low", "high"))
        return high.anode_current / low.anode_current

    assert 1.0 < rise("cathode bias") < 0.5 * rise("centre-tapped")
