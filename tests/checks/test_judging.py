from __future__ import annotations

import math
from typing import Any

import pytest

from psucheck.checks.judging import (
    against_duty,
    against_lower,
    against_upper,
    difference,
    duty_rms,
    highest,
    not_checked,
    severity,
    shown,
    worst,
)
from psucheck.checks.limits import default_limits
from tests.checks import cases

HELD: Any = {"why": "Because.", "source": "a sheet"}


def upper(figure: float, **more: Any) -> str:
    return against_upper("r", "s", None, figure, 100.0, "V", **HELD, **more).verdict


def test_maximum_is_broken_only_above_it() -> None:
    assert [upper(value) for value in (99.0, 100.0, 100.1)] == ["ok", "ok", "over"]


def test_practice_makes_the_last_stretch_marginal() -> None:
    assert [upper(value, practice=0.9) for value in (90.0, 90.1, 100.1)] == ["ok", "marginal", "over"]


def test_over_that_rests_on_a_guess_is_marginal_unless_its_best_end_is_over_too() -> None:
    assert upper(110.0, guessed=True) == "marginal"
    assert upper(110.0, guessed=True, hopeful=99.0) == "marginal"
    assert upper(110.0, guessed=True, hopeful=101.0) == "over"


def test_margin_is_the_share_of_the_limit_left() -> None:
    over = against_upper("r", "s", None, 551.0, 500.0, "V", **HELD)
    assert over.margin == pytest.approx(-0.102)
    low = against_lower("r", "s", None, 5.7, 6.0, "V", **HELD)
    assert low.verdict == "over"
    assert low.margin == pytest.approx(-0.05)
    assert low.lower_limit


def test_advice_is_kept_only_where_something_is_wrong() -> None:
    fine = against_upper("r", "s", None, 1.0, 2.0, "V", **HELD, change="Do it.")
    broken = against_upper("r", "s", None, 3.0, 2.0, "V", **HELD, change="Do it.")
    assert (fine.change, broken.change) == (None, "Do it.")


@pytest.mark.parametrize("figure", [math.nan, math.inf])
def test_a_figure_that_is_no_number_is_refused(figure: float) -> None:
    with pytest.raises(ValueError, match="not finite"):
        upper(figure)


def test_worst_takes_the_verdict_first_and_the_margin_second() -> None:
    findings = [
        against_upper("r", "a", None, 99.0, 100.0, "V", **HELD),
        not_checked("r", "b", why="?", measure="m"),
        against_upper("r", "c", None, 120.0, 100.0, "V", **HELD),
        against_upper("r", "d", None, 130.0, 100.0, "V", **HELD),
        against_upper("r", "e", None, 95.0, 100.0, "V", **HELD, practice=0.9),
    ]
    assert [finding.subject for finding in sorted(findings, key=severity)] == ["d", "c", "e", "b", "a"]
    assert worst(findings).subject == "d"


def test_differences_read_as_a_technician_says_them() -> None:
    assert difference(551.0, 500.0, "V") == "51 V over, 10 %"
    assert difference(440.0, 500.0, "V") == "60 V below, 12 %"
    assert difference(0.25, 0.22, "A") == "30 mA over, 14 %"


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (551.2, "V", "551 V"),
        (0.2204, "A", "220 mA"),
        (7.04, "%", "7 %"),
        (0.0213, "%", "0.021 %"),
        (1.5, "1", "1.5"),
    ],
)
def test_figures_are_shown_to_three_digits(value: float, unit: str, text: str) -> None:
    assert shown(value, unit) == text


def test_highest_names_the_condition() -> None:
    found = highest(cases.case(), ("idle",), ("nominal", "high"), lambda f: f.nodes["reservoir"].dc)
    assert found is not None
    assert found[0].name == "idle, high mains"
    assert found[1] == pytest.approx(434.5)
    assert highest(cases.case(), ("standby open",), ("high",), lambda f: f.mains) is None


def test_duty_averages_the_squares() -> None:
    assert duty_rms(1.0, 2.0, 0.25) == pytest.approx(math.sqrt(0.25 * 4 + 0.75 * 1))


@pytest.mark.parametrize(
    ("idle", "full", "verdict", "figure"),
    [
        (0.10, 0.15, "ok", 0.15),
        (0.10, 0.25, "marginal", 0.25),
        # sqrt(0.4²/3 + 0.1²·2/3) = 0.245 A: over at the usual duty; continuous full output is marginal only.
        (0.10, 0.40, "over", 0.245),
        (0.30, 0.31, "over", 0.303),
    ],
)
def test_duty_is_over_at_idle_or_playing_and_marginal_flat_out(
    idle: float, full: float, verdict: str, figure: float
) -> None:
    at_idle, at_full = cases.figures("idle", "high"), cases.figures("full output", "high")
    finding = against_duty("r", "s", (at_idle, idle), (at_full, full), 0.22, default_limits(), **HELD)
    assert finding.verdict == verdict
    assert finding.figure == pytest.approx(figure, abs=5e-4)
