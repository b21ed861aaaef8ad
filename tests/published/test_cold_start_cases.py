"""Switch-on from cold of four supplies, against an independent solver.

Source of the expected values: an event-driven solver written apart from psucheck (ideal diodes with a
constant drop, or the three-halves law; rtol 1e-10). Computed, not measured. No core inrush: the networks
have no core. Run at the step that psucheck takes in its own switch-on conditions.
"""

from __future__ import annotations

import numpy as np
import pytest

from psucheck.figures.trace import i2t
from tests.engine_runs import transient
from tests.published.reading import rows
from tests.published.steady_cases import build, named
from tests.tolerances import within

ROWS = rows("cold_start")
SECONDS = 1.0


@pytest.mark.parametrize(
    "row", ROWS, ids=[f"{row['case']} at {row['switch_on_phase_deg']} deg" for row in ROWS]
)
def test_cold_start(row: dict[str, str]) -> None:
    case = build(named(row["case"]), float(row["switch_on_phase_deg"]))
    solved = transient(case.bench.network, SECONDS)
    half = 0.5 / case.bench.network.hertz
    # What leaves the rectifier. With a choke the winding carries less than that around the zero crossings,
    # where all arms conduct at once.
    amps = solved.amps(*case.outputs)
    volts = solved.volts(case.nodes[0])
    first = solved.time <= half

    assert amps[first].max() == within("peak-current", float(row["first_pulse_peak_A"]))
    assert amps.max() == within("peak-current", float(row["overall_peak_A"]))
    for column, end in (("I2t_first_half_cycle_A2s", half), ("I2t_first_100ms_A2s", 0.1)):
        times = np.append(solved.time[solved.time < end], end)
        assert i2t(times, np.interp(times, solved.time, amps)) == within("i2t", float(row[column])), column
    assert volts.max() == within("transient-volts", float(row["V1_max"]))
    last = solved.time > SECONDS - 2 * half
    final = float(np.trapezoid(volts[last], solved.time[last]) / np.ptp(solved.time[last]))
    assert final == within("dc", float(row["V1_final"]))
    risen = float(solved.time[np.argmax(volts >= 0.9 * float(row["V1_final"]))])
    assert risen == within("rise-time", float(row["V1_t90_ms"]) * 1e-3)
