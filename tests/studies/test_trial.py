"""try: each point is what a check of that description says, on any number of workers."""

from __future__ import annotations

import pytest

from psucheck.engine.here import Here
from psucheck.report.document import dump, trial_document
from psucheck.report.trial import Trial
from psucheck.studies.check import check
from psucheck.studies.many import Workers
from psucheck.studies.trial import MOST, TooMany, outcome, points, try_values
from psucheck.supply.errors import DescriptionError
from tests.studies.small import small

TRIED = {"filter.reservoir": ["100 uF 350 V", "22 uF 450 V", "2 x 100 uF 350 V in series with 220k 1 W each"]}


@pytest.fixture(scope="module")
def tried() -> Trial:
    return try_values(small(), TRIED, Workers(2))


def test_each_point_is_what_a_check_of_the_file_so_edited_says(tried: Trial) -> None:
    for row in tried.rows:
        edited = small(reservoir=dict(row.values)["filter.reservoir"])
        assert row.outcome == outcome(check(edited, Here()))
    assert tried.described is not None
    assert tried.described.outcome == outcome(check(small(), Here()))


def test_one_worker_gives_the_same_bytes(tried: Trial) -> None:
    alone = try_values(small(), TRIED, Workers(1))
    assert dump(trial_document(alone)) == dump(trial_document(tried))


def test_the_broken_one_comes_last_with_its_rule(tried: Trial) -> None:
    last = tried.rows[-1]
    assert dict(last.values) == {"filter.reservoir": "100 uF 350 V"}
    assert "capacitor-voltage reservoir" in last.outcome.broken
    ranks = [row.rank for row in tried.rows]
    assert ranks == sorted(ranks)


def test_values_that_do_not_fit_together_are_a_row_of_their_own() -> None:
    grid = {"rectifiers.ht.winding": ["ht"], "filter.preamp.from": ["reservoir", "preamp"]}
    with pytest.raises(DescriptionError, match="preamp"):
        try_values(small(), grid, Workers(2))


def test_a_grid_has_every_combination() -> None:
    assert points({"a": ["1", "2"], "b": ["x", "y", "z"]}) == [
        ("1", "x"), ("1", "y"), ("1", "z"), ("2", "x"), ("2", "y"), ("2", "z"),
    ]  # fmt: skip


def test_a_million_points_are_one_message_and_nothing_is_run() -> None:
    hundred = [str(number) for number in range(100)]
    with pytest.raises(TooMany, match=rf"100 x 100 x 100 = 1,000,000 points; {MOST:,} at most"):
        try_values(small(), {"a": hundred, "b": hundred, "c": hundred}, Workers(2))


def test_a_bad_path_is_told_once_before_anything_is_run() -> None:
    with pytest.raises(DescriptionError) as caught:
        try_values(small(), {"filter.resevoir": ["47 uF 450 V", "100 uF 450 V"]}, Workers(2))
    assert len(caught.value.problems) == 1
    assert 'did you mean "filter.reservoir"' in str(caught.value)


def test_a_bad_value_is_told_with_the_value() -> None:
    with pytest.raises(DescriptionError, match="47 uff 450 V"):
        try_values(small(), {"filter.reservoir": ["47 uff 450 V"]}, Workers(2))


def test_ctrl_c_leaves_what_is_done() -> None:
    def interrupted(done: int) -> None:
        if done == 2:
            raise KeyboardInterrupt

    made = try_values(small(), TRIED, Workers(1), interrupted)
    assert made.stopped == "stopped"
    assert made.wanted == 3
    assert len(made.all) == 2
