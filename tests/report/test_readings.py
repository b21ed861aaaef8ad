from __future__ import annotations

import math

import pytest
from syrupy.assertion import SnapshotAssertion

from psucheck.report.readings import headline, readings
from psucheck.report.readings_view import JudgedReading, ReadingsView
from psucheck.report.sheet_view import Expected
from tests.report.rendering import text

RAIL = Expected("reservoir DC", "V", 41.0, 39.5, 42.5)
VIEW = ReadingsView(
    "An invented head",
    (
        JudgedReading(
            "cold",
            "reservoir ohms",
            "ohm",
            math.inf,
            None,
            None,
            Expected("reservoir ohms", "ohm", None, 200e3, math.inf),
            "in band",
        ),
        JudgedReading(
            "a tenth",
            "reservoir DC",
            "V",
            30.0,
            241.0,
            24.1,
            RAIL,
            "off",
            -0.27,
            "11 V low, 27 %",
            "a rectifier, a winding or the first capacitor is bad.",
        ),
        JudgedReading(
            "a tenth",
            "reservoir AC",
            "V",
            91.0,
            241.0,
            24.1,
            Expected("reservoir AC", "V", 5e-4, 0.0, 0.083),
            "asked about",
            None,
            "2.2 times the DC there: does this meter's AC range read the DC too?",
        ),
        JudgedReading("a tenth", "screens DC", "V", 43.0, 240.0, 24.0, RAIL, "near", 0.05, "2 V high, 5 %"),
    ),
    ("Highest voltage: 421 V DC at reservoir.", "One hand."),
)


@pytest.mark.parametrize("width", [80, 120])
def test_as_printed(width: int, snapshot: SnapshotAssertion) -> None:
    printed = text(readings(VIEW), width)
    assert max(len(line) for line in printed.splitlines()) <= width
    assert printed == snapshot


def test_the_headline_leads_with_the_worst() -> None:
    assert headline(VIEW).startswith("STOP: 4 readings; 1 in band, 1 near, 1 off, 1 asked about")
    assert headline(ReadingsView("x", VIEW.readings[:1])).startswith("IN BAND: 1 reading")
    assert headline(ReadingsView("x", VIEW.readings[2:3])).startswith("ASKED")
    assert headline(ReadingsView("x", ())) == "NOTHING TO COMPARE: no readings"
