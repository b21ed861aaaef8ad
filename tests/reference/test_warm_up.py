"""Warm-up: the row of steady states against one integration right through it.

Reference: every mains cycle from switch-on until all is hot, the rectifier valve's current solved for at each
instant, its perveance and the load growing with the emission of their cathodes. The times are those of real
cathodes shrunk to half, which is harder on the steady states: the filter gets less time to follow.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from psucheck.circuit.condition import Condition
from psucheck.supply.fill import fill
from psucheck.supply.reader import parse_description
from tests.accuracy import Accuracy
from tests.engine_runs import figures_of
from tests.reference.comparing import HEAD, HERTZ, LEAKAGE, MAINS, SOURCE, crest
from tests.reference.laws import valve_amps

SUPPLY = """
[windings]
ht = "300-0-300 V off load at 230 V, 60 + 60 ohm"
[rectifiers.rail]
circuit = "centre-tapped"
winding = "ht"
device = { kind = "valve", drop = "20 V at 150 mA", reverse_voltage = "1300 V" }
[filter.node]
from = "rectifiers.rail"
was = "360 V"
[filter.node.capacitor]
value = "32 uF"
voltage = "500 V"
esr = "1 ohm"
[filter.node.bleeder]
value = "100k"
[loads.all]
node = "node"
current = "90 mA"
"""
FARADS, ESR, BLEEDER, OHMS = 32e-6, 1.0, 100e3, 60.0
PERVEANCE = 0.150 / 20**1.5
CALM = 0.4
"""From this share of its emission on the rectifier recharges the filter within a few cycles."""


def _smooth(seconds: float, starts: float, full: float) -> float:
    x = min(max((seconds - starts) / (full - starts), 0.0), 1.0)
    return 3 * x**2 - 2 * x**3


@pytest.mark.parametrize(
    ("rectifier", "valves"),
    [pytest.param(3.5, 5.5, id="rectifier first"), pytest.param(6.0, 3.3, id="valves first")],
)
def test_the_row_of_steady_states_is_what_a_run_right_through_gives(
    rectifier: float, valves: float, accuracy: Accuracy
) -> None:
    supposed = {"rectifiers.rail.warm_up": rectifier, "valves.warm_up": valves}
    supply = parse_description(HEAD.format(primary="0 ohm") + SUPPLY, "test").found
    filled = fill(supply, supposed=supposed)
    grows, draws = (2 / 7 * rectifier, rectifier), (valves / 2, valves)

    def slope(t: float, x: np.ndarray) -> list[float]:
        emission = _smooth(t, *grows)
        drain = 1 / BLEEDER + LEAKAGE * FARADS + 0.090 / 360.0 * _smooth(t, *draws)
        # Behind the ESR: v (1/ESR + drain) = i + x/ESR.
        conductance = 1 / ESR + drain
        amps = 0.0
        if emission > 0.0:
            open_volts = abs(crest(300.0, t)) - x[0] / ESR / conductance
            amps = valve_amps(open_volts, OHMS + 1 / conductance, PERVEANCE * emission)
        node = (amps + x[0] / ESR) / conductance
        return [(node - x[0]) / ESR / FARADS]

    last = max(rectifier, valves) + 0.1
    run = solve_ivp(
        slope,
        (0.0, last),
        [0.0],
        method="LSODA",
        rtol=1e-6,
        atol=1e-4,
        max_step=1 / HERTZ / 60,
        dense_output=True,
    )
    assert run.success
    assert run.sol is not None
    # From the moment of calm on, evenly to the end.
    calm = next(at for at in np.linspace(*grows, 500) if _smooth(at, *grows) >= CALM)
    found = [float(at) for at in np.linspace(calm, last - 0.1, 7)]
    conditions = [Condition("warm-up", "nominal", MAINS, seconds=at) for at in found]
    marched = []
    for at in found:
        cycle = np.linspace(at - 0.5 / HERTZ, at + 0.5 / HERTZ, 400)
        marched.append(float(np.mean(run.sol(cycle)[0])))
    figures = figures_of(filled, *conditions)
    for each, volts in zip(figures, marched, strict=True):
        which = "rectifier" if rectifier < valves else "valves"
        accuracy(
            SOURCE, each.name, "DC", volts, each.nodes["node"].dc, "V", "warm-up", "computed",
            group=f"warm-up, {which} first",
        )  # fmt: skip
