from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from psucheck.checks import critical_inductance as rule
from psucheck.checks.case import Case
from psucheck.checks.limits import default_limits
from psucheck.figures.model import ChokeFigures, Figures, WindingFigures
from tests.checks import cases
from tests.checks.rules import guess, judged

CHOKE = {"inductance": "10 H", "resistance": "110 ohm", "current": "250 mA"}


def behind_choke(amps: float, least: float, volts: float, **more: Any) -> Case:
    """A choke input on 300-0-300 V; with cold valves and with them out it carries ``amps``."""

    def change(made: Figures) -> Figures:
        drawn = amps if made.state in ("valves out", "cold") else 0.12
        low = least if made.state in ("valves out", "cold") else 0.08
        rail = volts if made.state in ("valves out", "cold") else 260.0
        made = replace(
            made,
            windings={**made.windings, "ht": WindingFigures(600, (300.0, 300.0), (0.1, 0.1), (0.2, 0.2))},
            chokes={**made.chokes, "reservoir": ChokeFigures(drawn, drawn, low, 2 * drawn, 5.0)},
        )
        return cases.with_node(made, "reservoir", cases.node(rail))

    made = cases.case(filter={"reservoir": {"choke": more.pop("choke", CHOKE)}}, **more)
    return replace(made, figures={name: change(run) for name, run in made.figures.items()})


def test_passing_example() -> None:
    finding = judged(rule, behind_choke(0.040, 0.012, 270.0), "reservoir")
    assert (finding.verdict, finding.figure) == ("ok", 0.040)
    assert finding.limit == pytest.approx(0.0284, rel=0.01)
    assert finding.why == "40 mA through 10 H never stops; the rail stands at 270 V."


def test_failing_example() -> None:
    finding = judged(rule, behind_choke(0.002, 0.0, 400.0), "reservoir")
    assert (finding.verdict, finding.figure) == ("marginal", 0.002)
    assert finding.lower_limit
    assert finding.margin is not None
    assert finding.margin < 0
    assert finding.why.endswith("The rail climbs to 400 V instead of 270 V.")
    assert finding.change == "A bleeder of 9.5 kohm or less keeps it flowing."


def test_the_limit_is_the_load_over_950_at_50_hz() -> None:
    finding = judged(rule, behind_choke(0.040, 0.012, 270.0), "reservoir")
    assert finding.limit is not None
    assert 270.1 / finding.limit / 950 == pytest.approx(10.0, rel=0.001)


def test_where_law_and_run_disagree_the_run_decides() -> None:
    finding = judged(rule, behind_choke(0.027, 0.004, 272.0), "reservoir")
    assert (finding.verdict, finding.limit) == ("ok", None)


def test_a_choke_behind_a_reservoir_is_not_judged() -> None:
    assert list(rule.judge(cases.case(), default_limits())) == []


def test_without_an_inductance_it_is_not_checked() -> None:
    bare = {"resistance": "110 ohm", "current": "250 mA"}
    case = behind_choke(0.002, 0.0, 400.0, choke=bare)
    assert judged(rule, case, "reservoir").verdict == "not checked"


def test_a_guessed_inductance_marks_it() -> None:
    key = "filter.reservoir.choke.inductance"
    case = behind_choke(0.002, 0.0, 400.0, choke={"resistance": "110 ohm"}, assumptions=(guess(key),))
    assert judged(rule, case, "reservoir").guessed


def test_a_rail_that_a_switch_cuts_off_does_not_count() -> None:
    case = behind_choke(0.040, 0.012, 270.0)
    off = cases.with_node(case.figures["cold, wall mains"], "reservoir", cases.node(0.0))
    off = replace(off, chokes={"reservoir": ChokeFigures(0.0, 0.0, 0.0, 0.0, 0.0)})
    opened = replace(case, figures={**case.figures, off.name: off})
    assert judged(rule, opened, "reservoir").verdict == "ok"
