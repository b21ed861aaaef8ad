"""Eight supplies in their periodic steady state, against an independent solver.

Source of the expected values: an event-driven solver written apart from psucheck (ideal diodes with a
constant drop, or the three-halves law; rtol 1e-10, Newton on the half cycle). Computed, not measured.
psucheck's networks have no core and linear chokes here, and diodes that are near ideal for these tests
only.
"""

from __future__ import annotations

import numpy as np
import pytest

from tests.accuracy import Accuracy
from tests.engine_runs import Solved, steady
from tests.published.reading import number, rows
from tests.published.steady_cases import Case, build

ROWS = rows("steady_state")


@pytest.mark.parametrize("row", ROWS, ids=[f"{row['case']} {row['note']}" for row in ROWS])
def test_steady_state(row: dict[str, str], accuracy: Accuracy) -> None:
    case = build(row)
    solved = steady(case.bench.network)
    check = _Check(row, accuracy)
    _check_nodes(check, case, solved)
    _check_currents(check, row, case, solved)
    _check_choke(check, case, solved)


class _Check:
    """Holds a value against a column of the table, if it has one; the first node's stand by themselves."""

    def __init__(self, row: dict[str, str], accuracy: Accuracy) -> None:
        self._row = row
        self._accuracy = accuracy

    def __call__(self, column: str, quantity: str, value: float) -> None:
        expected = number(self._row, column)
        if expected is None:
            return
        unit = "A" if column.endswith("_A") else "deg" if "deg" in column else "V"
        self._accuracy(
            "independent event-driven solver (ideal diodes or three-halves law)",
            f"{self._row['case']} {self._row['note']}", _words(column), expected, value, unit, quantity,
            "computed", group="" if column == "V1dc" else "eight supplies",
        )  # fmt: skip


SAYS = {
    "dc": "DC", "pp": "ripple p-p", "ac_rms": "ripple RMS", "_2f_amp": "amplitude at 2 f",
    "Idc_rect_A": "DC of the rectifier", "Id_avg_A": "mean current of a diode", "Id_rms_A": "RMS of a diode",
    "Id_pk_A": "peak of a diode", "Isec_rms_A": "RMS of the winding", "IC1_rms_A": "RMS of the reservoir",
    "conduction_deg_in_solved_interval": "conduction", "IL1_min_A": "least current of the choke",
    "IL1_max_A": "highest current of the choke",
}  # fmt: skip


def _words(column: str) -> str:
    """A column of the table in words."""
    if column[0] == "V":
        return f"{SAYS[column[2:]]}, node {column[1]}"
    return SAYS[column]


def _check_nodes(check: _Check, case: Case, solved: Solved) -> None:
    for index, node in enumerate(case.nodes, 1):
        volts = solved.volts(node)
        check(f"V{index}dc", "dc", solved.dc(node))
        check(f"V{index}pp", "ripple", float(np.ptp(volts)))
        check(f"V{index}ac_rms", "ripple", solved.ac_rms(volts))
        check(f"V{index}_2f_amp", "harmonic", solved.harmonic(volts, 2))


def _check_currents(check: _Check, row: dict[str, str], case: Case, solved: Solved) -> None:
    arm = solved.amps(case.arms[0])
    check("Idc_rect_A", "mean-current", solved.mean(solved.amps(*case.outputs)))
    check("Id_avg_A", "mean-current", solved.mean(arm))
    check("Id_rms_A", "rms-current", solved.rms(arm))
    check("Id_pk_A", "peak-current", float(arm.max()))
    check("Isec_rms_A", "rms-current", solved.rms(solved.amps(case.sections[0])))
    check("IC1_rms_A", "rms-current", solved.rms(solved.amps(case.first_capacitor)))
    degrees = solved.conduction_degrees(case.arms[0])
    # Of the doubler's two pulses a cycle the solver's half cycle holds one; it states the mean of both arms.
    degrees /= 2 if row["topology"] == "full-wave doubler" else 1
    check("conduction_deg_in_solved_interval", "conduction", degrees)


def _check_choke(check: _Check, case: Case, solved: Solved) -> None:
    if case.choke is not None:
        amps = solved.amps(case.choke)
        check("IL1_min_A", "choke-current", float(amps.min()))
        check("IL1_max_A", "choke-current", float(amps.max()))
