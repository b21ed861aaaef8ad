"""The table, the comma-separated values and the graph of what was tried."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from xml.etree import ElementTree

import jsonschema
import pytest
from syrupy.assertion import SnapshotAssertion

from psucheck.checks.finding import Finding, Verdict
from psucheck.report.document import dump, schema, trial_document
from psucheck.report.graph import svg
from psucheck.report.trial import Outcome, Row, Trial, as_csv, failed, screen
from psucheck.report.view import Extreme
from tests.report.rendering import text

PATHS = ("filter.reservoir", "filter.splitter.resistor")


def _finding(rule: str, subject: str, margin: float) -> Finding:
    verdict: Verdict = "over" if margin < 0 else "ok"
    return Finding(
        rule, subject, "valves out, high mains", verdict, "why", "source",
        figure=100.0 * (1 - margin), limit=100.0, unit="V", margin=margin,
    )  # fmt: skip


def _outcome(volts: float, margin: float) -> Outcome:
    over = margin < 0
    return Outcome(
        over=int(over),
        marginal=1,
        rail="reservoir",
        volts=volts,
        ripple=12.5,
        peak=0.6,
        worst=_finding("capacitor-voltage", "reservoir", margin),
        fuse=_finding("fuse-running", "mains", 0.2),
        broken=("capacitor-voltage reservoir",) if over else (),
        highest=Extreme("reservoir", volts + 40, "valves out, high mains"),
        cautions=("Highest voltage: much.",),
    )


def _row(number: int, reservoir: str, dropper: str, came: Outcome) -> Row:
    return Row(number, tuple(zip(PATHS, (reservoir, dropper), strict=True)), came)


@pytest.fixture
def made() -> Trial:
    rows = [
        _row(1, "47 uF 450 V", "10 kohm", _outcome(410.0, 0.1)),
        _row(2, "47 uF 450 V", "15 kohm", _outcome(412.0, 0.12)),
        _row(3, "2 x 100 uF 350 V in series with 220k 1 W each", "10 kohm", _outcome(415.0, 0.3)),
        _row(4, "2 x 100 uF 350 V in series with 220k 1 W each", "15 kohm", failed("it stopped")),
        _row(5, "100 uF 400 V", "10 kohm", _outcome(416.0, -0.05)),
        _row(6, "100 uF 400 V", "15 kohm", _outcome(417.0, -0.06)),
    ]
    described = Row(0, (), _outcome(400.0, 0.05))
    return Trial("Two-EL34 head", PATHS, described, tuple(sorted(rows, key=lambda row: row.rank)), 6)


@pytest.mark.parametrize("width", [80, 120])
def test_screen(made: Trial, width: int, snapshot: SnapshotAssertion) -> None:
    assert text(screen(made), width) == snapshot


def test_the_best_come_first_and_what_failed_last(made: Trial) -> None:
    assert [row.number for row in made.rows] == [3, 2, 1, 5, 6, 4]


def test_csv_holds_a_line_a_point(made: Trial) -> None:
    lines = list(csv.DictReader(io.StringIO(as_csv(made))))
    assert [line["filter.reservoir"] for line in lines][:2] == [
        "as described", "2 x 100 uF 350 V in series with 220k 1 W each",
    ]  # fmt: skip
    assert lines[1]["volts_V"] == "415"
    assert lines[-1]["failed"] == "it stopped"
    assert lines[-2]["broken"] == "capacitor-voltage reservoir"
    assert len({len(line) for line in lines}) == 1


def test_the_document_fits_the_schema(made: Trial) -> None:
    told = json.loads(dump(trial_document(made)))
    jsonschema.validate(told, schema("trial"))
    assert [point["failed"] for point in told["trial"]["points"]] == [None] * 5 + ["it stopped"]


def test_stopped_says_how_many_of_how_many(made: Trial) -> None:
    shown = text(screen(replace(made, rows=made.rows[:2], stopped="stopped")), 80)
    assert "2 of 6 tried" in shown


def test_the_graph_is_the_same_bytes_and_its_text_is_text(made: Trial) -> None:
    drawn = svg(made)
    assert drawn == svg(made)
    root = ElementTree.fromstring(drawn)
    said = "".join(root.itertext())
    for words in ("Two-EL34 head", "reservoir [V]", "least margin [%]", "47 uF 450 V", "15 kohm"):
        assert words in said
    assert "<dc:date>" not in drawn


def test_a_dollar_in_a_title_is_no_formula(made: Trial) -> None:
    assert "$5 head$" in svg(replace(made, title="$5 head$"))
