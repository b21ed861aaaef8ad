"""Supplies side by side: the answer of a swap first, then what differs."""

from __future__ import annotations

from dataclasses import replace

import pytest
from syrupy.assertion import SnapshotAssertion

from psucheck.report import compare, view, words
from psucheck.report.swap import Columns
from psucheck.report.view import Report
from tests.report.rendering import text


@pytest.fixture
def columns(swapped: Report) -> Columns:
    assert swapped.found is not None
    return [("as found", swapped.found), ("proposed", replace(swapped, found=None))]


@pytest.mark.parametrize("width", [80, 120])
@pytest.mark.parametrize("long", [False, True])
def test_screen(columns: Columns, width: int, long: bool, snapshot: SnapshotAssertion) -> None:
    assert text(compare.screen(columns, long=long), width) == snapshot


def test_every_change_is_from_the_first_column(columns: Columns) -> None:
    told = compare.as_json([*columns, columns[0]])
    assert told["columns"] == ["as found", "proposed", "as found"]
    for line in told["figures"]:
        first, second, third = line["values"]
        if first is None:
            continue
        assert line["changes"][0] == line["changes"][2] == 0.0
        assert third == first
        assert line["changes"][1] == (None if second is None else pytest.approx(second - first))


def test_figures_are_those_of_the_reports(columns: Columns) -> None:
    (line,) = [
        line
        for line in compare.as_json(columns)["figures"]
        if (line["kind"], line["part"], line["condition"]) == ("volts dc", "reservoir", "idle, wall mains")
    ]
    idle = [view.at(report, "idle") for _, report in columns]
    assert line["values"] == [figures.nodes["reservoir"].dc for figures in idle if figures is not None]
    assert line["unit"] == "V"


def test_a_finding_that_goes_and_one_that_appears(columns: Columns) -> None:
    (_, first), (_, second) = columns
    over = next(finding for finding in second.findings if finding.verdict == "over")
    without = replace(first, findings=[each for each in second.findings if each is not over])
    shown = text(compare.screen([("a", without), ("b", second)]), 120)
    line = next(line for line in shown.splitlines() if line.startswith(words.place(over)))
    assert line.split()[-3:] != ["-", "-", "-"]
    assert " - " in line
    assert "over, " in line
    back = text(compare.screen([("a", second), ("b", without)]), 120)
    assert next(line for line in back.splitlines() if line.startswith(words.place(over))).endswith(" -")


def test_what_is_over_in_both_is_shown(columns: Columns) -> None:
    _, (_, second) = columns
    over = next(finding for finding in second.findings if finding.verdict == "over")
    shown = text(compare.screen([("a", second), ("b", second)]), 120)
    assert any(line.startswith(words.place(over)) for line in shown.splitlines())


def test_cautions_of_all_are_told_once_and_of_each_with_its_numbers(columns: Columns) -> None:
    (_, first), (_, second) = columns
    own = replace(first, cautions=["Highest voltage: 500 V.", "Mains plug out."])
    other = replace(second, cautions=["Highest voltage: 600 V.", "Mains plug out."])
    shown = text(compare.screen([("a", own), ("b", other)]), 120)
    assert "Cautions, a. Highest voltage: 500 V." in shown
    assert "Cautions, b. Highest voltage: 600 V." in shown
    assert shown.count("Mains plug out.") == 1


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        (400.0, 440.0, "+10 %"), (-40.0, -36.0, "-10 %"), (400.0, 401.0, "0 %"),
        (None, 1.0, ""), (1.0, None, ""), (0.0, 1.0, ""), (-1.0, 1.0, ""),
    ],
)  # fmt: skip
def test_change(before: float | None, after: float | None, said: str) -> None:
    assert words.change(before, after) == said
