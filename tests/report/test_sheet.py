from __future__ import annotations

import csv
import io

import pytest
from syrupy.assertion import SnapshotAssertion

from psucheck.report.sheet import band, sheet, together
from psucheck.report.sheet_files import COLUMNS, sheet_csv, sheet_document
from psucheck.report.sheet_view import Expected
from tests.report.rendering import text as render
from tests.report.sheets import SHEET


@pytest.mark.parametrize("width", [80, 120, 160])
def test_the_sheet_as_printed(width: int, snapshot: SnapshotAssertion) -> None:
    printed = render(sheet(SHEET), width)
    assert max(len(line) for line in printed.splitlines()) <= width
    assert printed == snapshot


def test_bands_in_words() -> None:
    assert band(Expected("x", "V", 41.1, 39.6, 42.7)) == "39.6 to 42.7 V"
    assert band(Expected("x", "V", 0.9, 0.8, 1.1)) == "800 mV to 1.1 V"
    assert band(Expected("x", "V", 0.0, 0.0, 0.083)) == "< 83 mV"
    assert band(Expected("x", "ohm", None, 200e3, float("inf"))) == "> 200 kohm"
    assert band(Expected("x", "V")) == "-"


def test_what_is_alike_is_said_once() -> None:
    assert together(["41.1 V", "41.1 V"]) == "41.1 V each"
    assert together(["36 ohm", "38 ohm"]) == "36, 38 ohm"
    assert together(["800 mV", "1.1 V"]) == "800 mV; 1.1 V"
    assert together([]) == ""


def test_lines_for_a_spreadsheet() -> None:
    rows = list(csv.DictReader(io.StringIO(sheet_csv(SHEET))))
    assert tuple(rows[0]) == COLUMNS
    cathode = next(row for row in rows if row["test point"] == "output cathode 2 mV")
    assert (cathode["expect"], cathode["unit"], cathode["red lead"]) == ("36", "mV", "cathode 2")
    assert (cathode["reading"], cathode["wall now"]) == ("", "")
    climbing = next(row for row in rows if row["test point"] == "reservoir ohms")
    assert (climbing["expect"], climbing["band low"], climbing["band high"]) == ("", "2e+05", "")


def test_the_document_has_no_infinity() -> None:
    climbing = sheet_document(SHEET)["steps"][0]["lines"][2]["expected"][0]
    assert (climbing["low"], climbing["high"]) == (200e3, None)
