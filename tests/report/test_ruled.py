from __future__ import annotations

import pytest

from psucheck.report import words
from psucheck.report.ruled import Ruled
from tests.report.rendering import text as rendered


def table() -> Ruled:
    made = words.ruled("Part and condition", "figure", "limit", "verdict")
    words.row(made, "rectifier-source-resistance")
    words.row(made, words.indented("reservoir; valves out, high mains"), "551 V", "500 V", "over")
    words.row(made, words.indented("preamp"), "38 mA", "-", "ok")
    return made


def test_a_groups_name_runs_across_the_table() -> None:
    assert rendered(table(), 56).splitlines() == [
        "Part and condition              figure   limit   verdict",
        "--------------------------------------------------------",
        "rectifier-source-resistance",
        "  reservoir; valves out, high    551 V   500 V      over",
        "  mains",
        "  preamp                         38 mA       -        ok",
    ]


def test_where_words_would_be_cut_every_row_is_told() -> None:
    assert rendered(table(), 30).splitlines() == [
        "rectifier-source-resistance",
        "  reservoir; valves out, high",
        "  mains",
        "    figure 551 V; limit 500 V;",
        "    verdict over",
        "  preamp",
        "    figure 38 mA; verdict ok",
    ]


@pytest.mark.parametrize("width", [24, 30, 36, 40, 48, 60, 80, 120])
def test_no_word_and_no_number_is_cut(width: int) -> None:
    shown = " ".join(rendered(table(), width).split())
    for word in ("551 V", "38 mA", "reservoir;", "condition", "verdict"):
        assert word in shown or (width < 40 and word == "condition")


def test_an_empty_table_is_its_heading() -> None:
    assert rendered(words.ruled("Relay", "needs"), 40).splitlines() == ["Relay   needs", "-------------"]
