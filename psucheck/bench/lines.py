"""Making lines of the sheet: test points that are read together, their numbers, and where to stop."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from psucheck.bench.names import PLUG_IN, STEPS
from psucheck.bench.plan import Plan
from psucheck.bench.practice import rule
from psucheck.bench.winding_up import WoundUp
from psucheck.checks.judging import shown
from psucheck.report.sheet_view import Expected, Line


def expected_at(plan: Plan, step: str, name: str, up: WoundUp | None = None) -> Expected:
    """What a point should read at a step, with the plain rule beside it where that is one of volts."""
    up = up or plan.up
    setting, point = plan.setting(step), up.points[name]
    plain = None
    if STEPS[step].state == "valves out" and point.kind == "node DC":
        plain = up.values[plan.full][name] * setting.volts / plan.wall
    return up.expected(setting, name, plain)


def line(
    plan: Plan,
    step: str,
    names: Sequence[str],
    *,
    what: str = "",
    red: str = "",
    black: str = "",
    said: str = "",
    stop: str = "",
    look: str = "",
    up: WoundUp | None = None,
) -> Line:
    """A line for test points that are read alike, one after another.

    ``what``, ``red`` and ``black`` where they are not those of the only point. Of a node that waits
    for its rectifier valve no number is promised.
    """
    first = plan.up.points[names[0]]
    expected = tuple(expected_at(plan, step, name, up) for name in names)
    if up is None and plan.waits(step, first):
        expected = tuple(replace(each, value=None, low=None, high=None, plain=None) for each in expected)
        said = "nothing yet: the rectifier valve is too cold"
        stop = stop and "anything but nothing"
    return Line(
        what or ", ".join(names),
        red or first.red,
        black or first.black,
        first.meter,
        expected,
        said,
        stop,
        look,
        f"{step}{PLUG_IN}" if up is not None else "",
    )


def amps_stop(amps: float) -> str:
    """Where the mains current is a stop."""
    return f"> {shown(max(rule('amps.factor') * amps, rule('amps.least')), 'A')}: off at once"


def watts_stop(watts: float) -> str:
    """Where the watts with the valves out are a stop."""
    most = max(rule("watts.factor") * watts, rule("watts.least"))
    return f"> {shown(most, 'W')}, or rising by {100 * rule('watts.rising'):.0f} % in 5 min"
