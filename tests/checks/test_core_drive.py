from __future__ import annotations

from dataclasses import replace

import pytest

from psucheck.checks import core_drive as rule
from psucheck.checks.case import Case
from psucheck.checks.limits import default_limits
from psucheck.figures.model import CoreFigures
from tests.checks import cases
from tests.checks.rules import judged


def driven(flux: float) -> Case:
    core = CoreFigures(flux=flux, offset=0.0, magnetising=0.1, watts=10.0)
    return cases.case(replace(cases.figures("idle", "nominal"), core=core))


def test_passing_example() -> None:
    finding = judged(rule, driven(1.06), "transformer")
    assert finding.verdict == "ok"
    assert finding.limit == pytest.approx(115.0)


def test_failing_example() -> None:
    finding = judged(rule, driven(1.20), "transformer")
    assert finding.verdict == "over"
    assert finding.why == "230 V 50 Hz on the 230 V tap drives the core to 120 % of its design."


def test_a_tap_below_is_marginal() -> None:
    assert judged(rule, driven(1.09), "transformer").verdict == "marginal"


def test_an_ideal_core_is_not_judged() -> None:
    case = driven(1.2)
    ideal = case.supply.transformer.model_copy(update={"core": "ideal"})
    supply = case.supply.model_copy(update={"transformer": ideal})
    assert list(rule.judge(replace(case, supply=supply), default_limits())) == []


def test_without_its_flux_it_is_not_checked() -> None:
    made = cases.case()
    without = {name: replace(figures, core=None) for name, figures in made.figures.items()}
    finding = judged(rule, replace(made, figures=without), "transformer")
    assert (finding.verdict, finding.measure) == ("not checked", "the primary tap in use")
