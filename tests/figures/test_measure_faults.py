"""The volts that are left for a valve that lost its bias."""

from __future__ import annotations

import numpy as np
import pytest

from psucheck.circuit.condition import Condition
from psucheck.circuit.faults import Fault, FaultKind, ZeroBias
from psucheck.conditions.faults import run_faults
from psucheck.figures.measure_faults import measure_fault
from tests.conditions.supplies import SUPPLIES
from tests.engine_runs import Here, described, outcomes_of

OHMS = 50.0


@pytest.mark.parametrize(
    ("valves", "transformer", "kind", "sharing"),
    [
        (2, "50 + 50 ohm", "lost bias of one valve", 0.0),
        # Half of four go through each half: the one that fails has one of the three others beside it.
        (4, "50 + 50 ohm", "lost bias of one valve", 1 / 3),
        # Single-ended: all of it goes through the one winding.
        (2, "50 ohm", "lost bias of one valve", 1.0),
        (2, "50 ohm", "lost bias", 1.0),
    ],
)
def test_a_valve_shares_its_winding_of_the_output_transformer(
    valves: int, transformer: str, kind: FaultKind, sharing: float
) -> None:
    text = SUPPLIES["centre-tapped"].replace("2 x EL34", f"{valves} x EL34")
    filled = described(
        text.replace('output_transformer = "50 + 50 ohm"', f'output_transformer = "{transformer}"')
    )
    (idle,) = outcomes_of(filled, Condition("idle", "nominal", 230.0))
    (run,) = run_faults([(idle, Fault(kind, "output", zero_bias=ZeroBias(0.5, 400.0)))], Here())
    plate = measure_fault(run, {}).red_plate
    assert plate is not None
    network, waveforms = run.faulted.network, run.run.waveforms
    end = float(waveforms.time[-1])
    last = waveforms.window(end - 1 / network.hertz, end)

    def mean(values: np.ndarray) -> float:
        return float(np.trapezoid(values, last.time) * network.hertz)

    rail = mean(last.node(network.layout.nodes["reservoir"]))
    if kind == "lost bias":
        through = valves * plate.amps
    else:
        deck = run.run.deck.currents
        others = [last.vectors[deck[law]] for law in network.layout.valves["output"].anode_laws]
        through = plate.amps + sharing * sum(mean(amps) for amps in others)
    assert plate.volts == pytest.approx(rail - OHMS * through, rel=2e-3)
