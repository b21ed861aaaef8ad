"""Eight supplies in their periodic steady state, against an independent solver.

Source of the expected values: an event-driven solver written apart from psucheck (ideal diodes with a
constant drop, or the three-halves law; rtol 1e-10, Newton on the half cycle). Computed, not measured.
psucheck's networks have no core and linear chokes here, and diodes that are near ideal for these tests
only.
"""

from __future__ import annotations

import numpy as np
import pytest

from tests.engine_runs import Solved, steady
from tests.published.reading import number, rows
from tests.published.steady_cases import Case, build
from tests.tolerances import within

ROWS = rows("steady_state")


@pytest.mark.parametrize("row", ROWS, ids=[f"{row['case']} {row['note']}" for row in ROWS])
def test_steady_state(row: dict[str, str]) -> None:
    case = build(row)
    solved = steady(case.bench.network)
    _check_nodes(row, case, solved)
    _check_currents(row, case, solved)
    _check_choke(row, case, solved)


def _check(row: dict[str, str], column: str, quantity: str, value: float) -> None:
    expected = number(row, column)
    if expected is not None:
        assert value == within(quantity, expected), column


def _check_nodes(row: dict[str, str], case: Case, solved: Solved) -> None:
    for index, node in enumerate(case.nodes, 1):
        volts = solved.volts(node)
        _check(row, f"V{index}dc", "dc", solved.dc(node))
        _check(row, f"V{index}pp", "ripple", float(np.ptp(volts)))
        _check(row, f"V{index}ac_rms", "ripple", solved.ac_rms(volts))
        _check(row, f"V{index}_2f_amp", "harmonic", solved.harmonic(volts, 2))


def _check_currents(row: dict[str, str], case: Case, solved: Solved) -> None:
    arm = solved.amps(case.arms[0])
    _check(row, "Idc_rect_A", "mean-current", solved.mean(solved.amps(*case.outputs)))
    _check(row, "Id_avg_A", "mean-current", solved.mean(arm))
    _check(row, "Id_rms_A", "rms-current", solved.rms(arm))
    _check(row, "Id_pk_A", "peak-current", float(arm.max()))
    _check(row, "Isec_rms_A", "rms-current", solved.rms(solved.amps(case.sections[0])))
    _check(row, "IC1_rms_A", "rms-current", solved.rms(solved.amps(case.first_capacitor)))
    degrees = solved.conduction_degrees(case.arms[0])
    # Of the doubler's two pulses a cycle the solver's half cycle holds one; it states the mean of both arms.
    degrees /= 2 if row["topology"] == "full-wave doubler" else 1
    _check(row, "conduction_deg_in_solved_interval", "conduction", degrees)


def _check_choke(row: dict[str, str], case: Case, solved: Solved) -> None:
    if case.choke is not None:
        amps = solved.amps(case.choke)
        _check(row, "IL1_min_A", "choke-current", float(amps.min()))
        _check(row, "IL1_max_A", "choke-current", float(amps.max()))
