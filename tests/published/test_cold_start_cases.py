"""Switch-on from cold of four supplies, against an independent solver.

Source of the expected values: an event-driven solver written apart from psucheck (ideal diodes with a
constant drop, or the three-halves law; rtol 1e-10). Computed, not measured. No core inrush: the networks
have no core. Run at the step that psucheck takes in its own switch-on conditions.
"""

from __future__ import annotations

import numpy as np
import pytest

from psucheck.figures.trace import i2t
from tests.accuracy import Accuracy
from tests.engine_runs import transient
from tests.published.reading import rows
from tests.published.steady_cases import build, named

ROWS = rows("cold_start")
SECONDS = 1.0


@pytest.mark.parametrize(
    "row", ROWS, ids=[f"{row['case']} at {row['switch_on_phase_deg']} deg" for row in ROWS]
)
def test_cold_start(row: dict[str, str], accuracy: Accuracy) -> None:
    case = build(named(row["case"]), float(row["switch_on_phase_deg"]))
    solved = transient(case.bench.network, SECONDS)
    half = 0.5 / case.bench.network.hertz
    # What leaves the rectifier. With a choke the winding carries less than that around the zero crossings,
    # where all arms conduct at once.
    amps = solved.amps(*case.outputs)
    volts = solved.volts(case.nodes[0])
    first = solved.time <= half

    def check(name: str, column: str, value: float, unit: str, tolerance: str) -> None:
        accuracy(
            "independent event-driven solver, switch-on without a core",
            f"{row['case']} {named(row['case'])['note']}, at {row['switch_on_phase_deg']} deg",
            name, float(row[column]), value, unit, tolerance, "computed",
        )  # fmt: skip

    check("first pulse", "first_pulse_peak_A", amps[first].max(), "A", "peak-current")
    check("highest pulse", "overall_peak_A", amps.max(), "A", "peak-current")
    for column, end in (("I2t_first_half_cycle_A2s", half), ("I2t_first_100ms_A2s", 0.1)):
        times = np.append(solved.time[solved.time < end], end)
        squared = i2t(times, np.interp(times, solved.time, amps))
        what = "I2t, first half cycle" if end == half else "I2t, 100 ms"
        check(what, column, squared, "A2s", "i2t")
    check("highest volts", "V1_max", volts.max(), "V", "transient-volts")
    last = solved.time > SECONDS - 2 * half
    final = float(np.trapezoid(volts[last], solved.time[last]) / np.ptp(solved.time[last]))
    check("volts after 1 s", "V1_final", final, "V", "dc")
    risen = float(solved.time[np.argmax(volts >= 0.9 * float(row["V1_final"]))])
    check("time to 90 %", "V1_t90_ms", 1e3 * risen, "ms", "rise-time")
