from __future__ import annotations

import pytest

from psucheck.bench.points import points
from psucheck.bench.values import cold_values
from psucheck.circuit.condition import State
from tests.bench.benches import wound
from tests.conditions.supplies import SUPPLIES
from tests.engine_runs import described
from tests.tolerances import within

At = tuple[State, float]
OUT: At = ("valves out", 240.0)
IDLE: At = ("idle", 240.0)


def test_bias_stands_at_every_socket_as_it_was_set() -> None:
    idle = wound("hundred watts", OUT, IDLE).at(*IDLE)
    for n in (1, 2, 3, 4):
        assert idle[f"bias at output {n}"] == within("dc", -42.0)
    assert idle["output bias coldest"] == within("dc", -52.0)
    assert idle["output bias hottest"] == within("dc", -34.0)


def test_what_is_read_over_resistors_is_their_current() -> None:
    bench = wound("hundred watts", OUT, IDLE)
    idle = bench.at(*IDLE)
    # 1 ohm in the cathode: 1 mV is 1 mA; two valves on each half.
    anode = idle["output transformer a drop"] / 22.0 / 2
    screen = idle["output screen resistor 1 drop"] / 1000.0
    assert idle["output cathode 1 mV"] == within("dc", anode + screen)
    assert idle["output transformer b drop"] / idle["output transformer a drop"] == within("dc", 24 / 22)
    assert idle["reservoir DC"] - idle["output anode 1"] == within("mean-current", 23.0 * 2 * anode)
    assert idle["screens DC"] - idle["output screen 1"] == within("mean-current", 1000.0 * screen)


def test_with_the_valves_out_pins_read_as_their_nodes_and_no_current_flows() -> None:
    out = wound("hundred watts", OUT, IDLE).at(*OUT)
    assert out["output anode 3"] == out["reservoir DC"]
    assert out["output screen 3"] == out["screens DC"]
    assert not [name for name in out if "cathode" in name or "drop" in name]


def test_common_cathode_resistor_is_read_over_all_of_it() -> None:
    bench = wound("cathode bias", ("idle", 236.0))
    idle = bench.at("idle", 236.0)
    assert idle["output cathode DC"] == within("valve-law", 0.072 * 470)
    assert "bias at output 1" not in idle


@pytest.mark.parametrize("name", sorted(SUPPLIES))
def test_points_have_a_name_each_and_every_live_one_a_value_with_valves_in(name: str) -> None:
    filled = described(SUPPLIES[name])
    every = points(filled)
    assert len({point.name for point in every}) == len(every)
    cold = cold_values(filled)
    assert set(cold) == {point.name for point in every if point.cold}
    assert all(value >= 0 for value in cold.values())
    for kind in ("winding AC", "winding ohms"):
        found = [point for point in every if point.kind == kind]
        assert len(found) == sum(len(winding.ratios) for winding in filled.windings.values())


def test_live_values_cover_every_live_point() -> None:
    bench = wound("hundred watts", OUT, IDLE)
    live = {point.name for point in points(bench.filled) if not point.cold}
    assert set(bench.at(*IDLE)) == live
