"""The study of sets of parts as a user sees it: the screen, the document, the table."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace

import jsonschema
import pytest
from syrupy.assertion import SnapshotAssertion

from psucheck.checks.finding import Finding
from psucheck.report.document import dump, schema
from psucheck.report.tolerance import tolerance_csv, tolerance_document, tolerance_screen
from psucheck.report.tolerance_view import Driver, Held, Spreading, ToleranceReport
from psucheck.supply.tolerances import Tolerance
from tests.report.rendering import text

NAN = float("nan")
OVER = Finding(
    rule="capacitor-voltage",
    subject="reservoir",
    condition="valves out, nominal mains",
    verdict="over",
    why="548 V on a 500 V part.",
    source="its marking",
    figure=548.0,
    limit=500.0,
    unit="V",
    margin=-0.096,
)
OK = replace(OVER, verdict="ok", figure=492.0, margin=0.016)
MAINS = Driver("mains", 0.981)
REPORT = ToleranceReport(
    title="A head",
    asked=1000,
    done=1000,
    failed=0,
    why_failed=None,
    corners=12,
    seed=1,
    level=None,
    states=("idle", "valves out"),
    tolerances=(
        Tolerance("mains", 0.94, 1.1, "UK range", "read"),
        Tolerance("filter.reservoir.leakage", 0.2, 5.0, "a sheet", "guess", "peaked"),
    ),
    figures=(
        Spreading("idle", "nodes.reservoir.dc", 441.0, 402.0, 420.0, 470.0, 489.0, (MAINS,)),
        Spreading(
            "idle",
            "capacitors.reservoir.ripple_current",
            0.152,
            0.08,
            0.095,
            0.21,
            1.05,
            (Driver("filter.reservoir.capacitance", -0.7), MAINS),
        ),
        Spreading("idle", "capacitors.preamp.ripple_current", 2e-6, 1e-6, 1e-6, 3e-6, 4e-6, ()),
        Spreading("valves out", "nodes.reservoir.dc", 492.0, 460.0, 470.0, 541.0, 548.0, (MAINS,)),
        Spreading("valves out", "nodes.bias.dc", -41.0, -45.0, -44.0, -38.0, -37.0, (Driver("mains", -0.9),)),
    ),
    limits=(
        Held(OK, 310, OVER, True, (MAINS,)),
        Held(replace(OK, rule="ripple"), 0, OVER, True, ()),
        Held(replace(OK, subject="screens"), 0, OK, False, ()),
    ),
    over=310,
    cautions=("Highest voltage: 541 V DC at reservoir; valves out, high mains.",),
)
REPORTS = {
    "over": REPORT,
    "sound": replace(REPORT, over=0, limits=REPORT.limits[2:]),
    "corner alone": replace(REPORT, over=0, limits=REPORT.limits[1:]),
    "failed": replace(REPORT, done=998, failed=2, why_failed="no periodic steady state found", level="high"),
    "stopped": replace(REPORT, done=340, stopped="stopped"),
    "stopped before any": replace(
        REPORT,
        done=0,
        over=0,
        stopped="stopped",
        figures=tuple(replace(one, p5=NAN, p95=NAN, drivers=()) for one in REPORT.figures),
    ),
}


@pytest.mark.parametrize("name", REPORTS)
def test_the_screen(name: str, snapshot: SnapshotAssertion) -> None:
    assert text(tolerance_screen(REPORTS[name]), 80) == snapshot


def test_the_long_screen_tells_every_tolerance(snapshot: SnapshotAssertion) -> None:
    assert text(tolerance_screen(REPORT, long=True), 80) == snapshot


def test_no_line_is_wider_than_the_screen() -> None:
    assert max(map(len, text(tolerance_screen(REPORT, long=True), 80).splitlines())) <= 80


@pytest.mark.parametrize("name", REPORTS)
def test_the_document_fits_its_schema(name: str) -> None:
    whole = {"$defs": schema()["$defs"], "$ref": "#/$defs/tolerance_document"}
    document = json.loads(dump(tolerance_document(REPORTS[name])))
    jsonschema.Draft202012Validator(whole).validate(document)


def test_what_is_not_known_is_null() -> None:
    document = tolerance_document(REPORTS["stopped before any"])
    assert document["tolerance"]["figures"][0]["p5"] is None
    assert document["tolerance"]["stopped"] == "stopped"


def test_the_table_as_csv() -> None:
    rows = list(csv.DictReader(io.StringIO(tolerance_csv(REPORT))))
    assert [row["kind"] for row in rows] == ["figure"] * 5 + ["limit"] * 3
    assert (rows[0]["part"], rows[0]["quantity"], rows[0]["p95"], rows[0]["driver"]) == (
        "reservoir",
        "DC",
        "470",
        "mains",
    )
    assert (rows[5]["quantity"], rows[5]["over_share"], rows[5]["highest"]) == (
        "capacitor-voltage",
        "0.31",
        "548",
    )


@pytest.mark.parametrize(
    ("name", "over"), [("over", True), ("sound", False), ("corner alone", True), ("stopped", True)]
)
def test_anything_over(name: str, over: bool) -> None:
    assert REPORTS[name].anything_over is over


def test_what_is_accepted_is_not_counted_as_over() -> None:
    accepted = tuple(replace(one, accepted="so built") for one in REPORT.limits)
    assert not replace(REPORT, limits=accepted).anything_over
