"""The peak of B+ while cathodes warm up, told from made-up moments."""

from __future__ import annotations

from dataclasses import replace

from psucheck.figures import warm_up
from psucheck.figures.model import Figures, NodeFigures
from tests.checks import cases


def _node(volts: float) -> NodeFigures:
    return NodeFigures(volts, 0.0, 0.0, volts, volts)


def _moment(seconds: float, volts: float, valves: float) -> Figures:
    return replace(
        cases.figures("cold", "high"),
        name=f"warm-up {seconds:g} s, high mains",
        state="warm-up",
        seconds=seconds,
        nodes={"reservoir": _node(volts), "bias": _node(-50.0)},
        emission={"valves": valves},
    )


def _told(*moments: Figures, cold: float | None = None) -> str:
    figures = {each.name: each for each in moments}
    if cold is not None:
        before = replace(cases.figures("cold", "high"), nodes={"reservoir": _node(cold)})
        figures[before.name] = before
    told = warm_up.with_peak(figures)
    assert all(not told[each.name].remarks for each in moments[:-1])
    (said,) = told[moments[-1].name].remarks
    return said


def test_before_the_valves_draw() -> None:
    moments = (_moment(1.0, 478.0, 0.0), _moment(5.5, 477.9, 0.0), _moment(11.0, 430.0, 1.0))
    assert _told(*moments, cold=478.0) == (
        "B+ peaks at 478 V (reservoir) 1 to 5.5 s after switch-on from cold, before the valves draw; "
        "they draw in full after 11 s"
    )


def test_while_they_warm_up() -> None:
    moments = (_moment(4.0, 300.0, 0.0), _moment(8.0, 450.0, 0.5), _moment(11.0, 430.0, 1.0))
    assert _told(*moments) == (
        "B+ peaks at 450 V (reservoir) 8 s after switch-on from cold, while the valves warm up; they draw in "
        "full after 11 s"
    )


def test_onto_valves_that_draw_the_bound_is_told() -> None:
    moments = (_moment(12.0, 390.0, 1.0), _moment(22.0, 430.0, 1.0))
    assert _told(*moments, cold=500.0) == (
        "B+ peaks at 430 V (reservoir) 22 s after switch-on from cold, onto valves that draw (the times are "
        "guesses: before the valves draw it would be 500 V)"
    )


def test_moments_in_the_order_of_time() -> None:
    late, early = _moment(11.0, 430.0, 1.0), _moment(5.5, 478.0, 0.0)
    assert [each.seconds for each in warm_up.moments({"b": late, "a": early})] == [5.5, 11.0]


def test_without_a_warm_up_nothing_is_told() -> None:
    figures = {"cold": cases.figures("cold", "high")}
    assert warm_up.peak([]) is None
    assert warm_up.with_peak(figures) == figures
