"""Bias through a resistor, through a capacitor with a clamp, from a tap: what was read comes out again.

Of each the pot's far end is given, -50 V, and where it is set, -36 V.
"""

import pytest

from tests.conditions.solved import solved
from tests.conditions.test_rectifier_circuits import _numbers

NAMES = ["bias through a resistor", "bias through a capacitor", "bias from a tap"]


@pytest.mark.parametrize(("name", "tolerance"), [(NAMES[0], 0.03), (NAMES[1], 0.06)])
def test_the_node_gives_what_was_read_there(name: str, tolerance: float) -> None:
    assert solved(name).dc("bias", "idle", "wall") == pytest.approx(-50.0, rel=tolerance)


@pytest.mark.parametrize("name", NAMES)
def test_every_condition_is_finite_and_the_bias_is_there_in_each_steady_one(name: str) -> None:
    found = solved(name)
    for figures in found.figures.values():
        assert all(abs(number) < 1e9 for number in _numbers(figures))
        if figures.kind == "steady":
            assert -75 < figures.nodes["bias"].dc < -30


@pytest.mark.parametrize("name", NAMES)
def test_the_bias_tracks_the_mains(name: str) -> None:
    found = solved(name)
    low, high = (found.dc("bias", "cold", level) for level in ("nominal", "high"))
    assert high / low == pytest.approx(253 / 230, rel=0.01)


@pytest.mark.parametrize("name", NAMES)
def test_at_the_wall_the_grids_get_what_is_set_and_the_valves_draw_what_was_read(name: str) -> None:
    valves = solved(name).at("idle", "wall").valves["output"]
    assert valves.bias == pytest.approx(-36.0, rel=0.01)
    assert valves.anode_current + valves.screen_current == pytest.approx(36e-3, rel=0.01)


@pytest.mark.parametrize("name", NAMES)
def test_a_bias_that_tracks_steadies_the_current(name: str) -> None:
    def rise(supply: str) -> float:
        low, high = (solved(supply).at("idle", level).valves["output"] for level in ("low", "high"))
        return high.anode_current / low.anode_current

    assert rise(name) < rise("centre-tapped")


@pytest.mark.parametrize("name", NAMES)
def test_the_bias_rectifier_carries_what_its_node_takes(name: str) -> None:
    found = solved(name)
    figures = found.at("idle", "wall")
    node = found.filled.nodes["bias"]
    assert node.bias_load_ohms is not None
    taken = abs(figures.nodes["bias"].dc) / node.bias_load_ohms
    if node.bleeder_ohms:
        taken += abs(figures.nodes["bias"].dc) / node.bleeder_ohms
    assert figures.rectifiers["bias"].mean_current == pytest.approx(taken, rel=0.02)


@pytest.mark.parametrize("name", NAMES)
def test_after_switch_on_the_bias_comes_up_from_nothing(name: str) -> None:
    found = solved(name)
    volts = found.at("switch-on", "high").nodes["bias"]
    assert volts.max == pytest.approx(0.0, abs=0.1)
    assert volts.min == pytest.approx(found.dc("bias", "idle", "high"), rel=0.35)
