from __future__ import annotations

import pytest

from psucheck.bench.runs import Setting
from psucheck.circuit.condition import State
from tests.bench.benches import wound
from tests.conditions.solved import solved
from tests.tolerances import within

At = tuple[State, float]
TENTH: At = ("valves out", 24.0)
FULL: At = ("valves out", 240.0)


def test_a_tenth_of_mains_on_a_sound_silicon_supply() -> None:
    bench = wound("hundred watts", TENTH, FULL)
    low, high = bench.at(*TENTH), bench.at(*FULL)
    assert 480.0 < high["reservoir DC"] < 510.0
    # Two diodes in series at microamperes drop about half a volt each; nothing else is lost.
    assert 0.3 < high["reservoir DC"] / 10 - low["reservoir DC"] < 1.6
    for half in ("heaters a", "heaters b"):
        assert low[half] == within("dc", high[half] / 10)
        assert 1.10 < high[half] / 3.15 < 1.20  # unloaded, over nominal: common practice, no source


def test_a_setting_at_a_fixed_level_is_that_level() -> None:
    """Wound up to the nominal voltage a supply stands where the planned run at nominal mains does."""
    planned = solved("centre-tapped")
    bench = wound("centre-tapped", ("valves out", 23.0), ("valves out", 230.0), ("idle", 230.0))
    for state in ("valves out", "idle"):
        at = bench.figures[Setting(state, 230.0)]
        known = planned.at(state, "nominal")
        for node, figures in known.nodes.items():
            assert at.nodes[node].dc == within("dc", figures.dc)


def test_a_setting_goes_by_its_volts() -> None:
    assert Setting("valves out", 24.3).condition.name == "valves out, 24.3 V mains"


@pytest.mark.parametrize(
    "name", ["bridge", "full-wave doubler", "cascade doubler", "bias through a capacitor"]
)
def test_off_load_volts_go_with_the_mains_but_for_the_diodes(name: str) -> None:
    bench = wound(name, ("valves out", 57.5), ("valves out", 230.0))
    low, high = bench.at("valves out", 57.5), bench.at("valves out", 230.0)
    for point in ("reservoir DC", "preamp DC"):
        lost = high[point] / 4 - low[point]
        assert 0.0 < lost < 3.5, point
