from __future__ import annotations

from dataclasses import replace

import jsonschema
import pytest

from psucheck.checks.case import Case
from psucheck.checks.fault_table import fault_lines
from psucheck.checks.fuse_values import FuseChoice
from psucheck.checks.limits import default_limits
from psucheck.circuit.faults import Lead
from psucheck.figures.faults import FaultCourse, FaultCurrents, RedPlate, Stage
from psucheck.report import document
from psucheck.report.long import details
from psucheck.report.view import Report
from tests.checks import cases
from tests.checks.fault_courses import CENTRE_TAP, FUSES, MAINS, course, currents
from tests.report.rendering import text


def faulted(report: Report, *courses: FaultCourse) -> Report:
    made = Case(cases.supply(fuses=FUSES), {}, (), courses)
    choice = FuseChoice("mains", 2.0, (1.6, 2.0), (1.6, 2.0, 2.5), ("shorted rectifier: ht",), ("x: y",))
    return replace(report, faults=fault_lines(made, default_limits()), fuse_values=(choice,))


@pytest.fixture
def several(report: Report) -> Report:
    plate = RedPlate("output", "EL34", 1, 0.33, 345.0, 114.0)
    return faulted(
        report,
        course(
            Stage(currents(9.7, 5.0, 3.0), CENTRE_TAP, 3.0, 1.0),
            Stage(currents(11.0, 6.0, 0.0), MAINS, 2.0, 0.5),
        ),
        course(
            Stage(currents(8.0, 4.4, 6.0), CENTRE_TAP, 0.3, 0.3),
            Stage(currents(0.3, 0.01, 0.0)),
            kind="shorted reservoir",
            at="reservoir",
        ),
        course(
            Stage(currents(1.0, 0.5, 0.7, plate=plate)),
            kind="lost bias of one valve",
            at="output",
            cleared=False,
        ),
        course(kind="short beyond the choke", at="screens", cleared=False),
    )


def test_the_fault_table(several: Report) -> None:
    shown = text(details(several), 120)
    table = shown[shown.index("When something fails") : shown.index("Values for the fuses")]
    lines = " ".join(table.split())
    # 3 s at 5 A and 2 s at 6 A are 62 % of the heating.
    assert (
        "high mains: centre tap ht opens within 3 s (3 A), then mains opens within 2 s (11 A); ht 6 A, "
        "148 degC by then"
    ) in lines
    # Once it is cleared nothing more is to tell.
    assert "high mains: centre tap ht opens within 300 ms (6 A); ht 4.4 A, 78 degC by then" in lines
    assert "high mains, one valve: no fuse need open (1 A in the busiest); ht 500 mA, at 200 degC" in lines
    # What was not run has no row; its finding says why.
    assert "short beyond the choke" not in table


def test_the_values_of_a_fuse(several: Report) -> None:
    shown = text(details(several), 120)
    assert "mains      2 A   1.6 A, 2 A   2.5 A    none opens in time in: x: y" in shown


def test_the_document_keeps_to_its_schema(several: Report) -> None:
    content = document.document(several)
    jsonschema.Draft202012Validator(document.schema()).validate(content)
    first, *_, last = content["faults"]
    assert (first["fault"], first["at"], first["level"], first["seconds"]) == (
        "shorted rectifier", "ht", "high", 5.0
    )  # fmt: skip
    assert [stage["opens"] for stage in first["stages"]] == ["centre tap ht", "mains"]
    assert first["stages"][0]["fuses"]["mains"] == {"rms_current": 9.7, "peak_current": 19.4}
    assert content["faults"][2]["stages"][0]["valve"]["watts"] == 114.0
    assert (last["simulated"], last["stages"]) == (False, [])
    assert content["fuse_values"][0]["values"] == [1.6, 2.0]


def test_each_lead_of_a_place_has_its_own_name(report: Report) -> None:
    leads = {Lead("each winding ht", 0): 3.0, Lead("each winding ht", 1): 2.0}
    made = FaultCurrents(leads, leads, {"ht": (5.0, 4.0)}, 9.7, 20.0)
    stage = Stage(made, Lead("each winding ht", 1), 3.0, 1.0)
    content = document.document(faulted(report, course(stage)))
    assert content["faults"][0]["stages"][0]["opens"] == "each winding ht, lead 2"


def test_where_faults_were_not_run_the_document_has_no_such_keys(report: Report) -> None:
    assert "faults" not in document.document(report)
    assert "When something fails" not in text(details(report), 120)
