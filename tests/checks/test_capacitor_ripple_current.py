from __future__ import annotations

import math
from typing import Any

import pytest

from psucheck.checks import capacitor_ripple_current as rule
from psucheck.checks.case import Case
from psucheck.checks.finding import Finding
from psucheck.checks.limits import default_limits
from tests.checks import cases

# A reservoir's spectrum at 50 Hz mains; 130 mA and 240 mA as 100 Hz.
IDLE = ((100.0, 0.117), (200.0, 0.060), (300.0, 0.024))
FULL = ((100.0, 0.216), (200.0, 0.110), (300.0, 0.050))


def at(idle: Any = IDLE, full: Any = FULL, **capacitor: Any) -> Case:
    held = [
        cases.with_capacitor(made, "reservoir", cases.capacitor(440.0, spectrum=spectrum))
        for state, spectrum in (("idle", idle), ("full output", full))
        for made in cases.all_figures().values()
        if made.state == state
    ]
    return cases.case(*held, filter={"reservoir": {"capacitor": capacitor}})


def judged(case: Case, subject: str = "reservoir") -> Finding:
    return next(finding for finding in rule.judge(case, default_limits()) if finding.subject == subject)


def test_passing_example() -> None:
    assert rule.weighted(IDLE, 100.0, 500.0) == pytest.approx(0.130, abs=2e-3)
    finding = judged(at())
    assert finding.verdict == "ok"
    assert finding.figure == pytest.approx(0.240, abs=2e-3)
    assert "Vishay 056" in finding.source


def test_failing_example() -> None:
    finding = judged(at(ripple_current="120 mA"))
    assert (finding.verdict, finding.limit) == ("over", 0.12)
    idle_only = judged(at(full=IDLE, ripple_current="120 mA"))
    assert idle_only.verdict == "over"
    assert idle_only.figure == pytest.approx(0.130, abs=2e-3)


def test_only_continuous_full_output_is_marginal() -> None:
    finding = judged(at(ripple_current="200 mA"))
    assert (finding.verdict, finding.condition) == ("marginal", "full output, low mains")
    assert "only continuous full output" in finding.why


@pytest.mark.parametrize(
    ("hertz", "base", "volts", "ratio"),
    [
        (50.0, 100.0, 450.0, 0.86),
        (100.0, 100.0, 450.0, 1.0),
        (200.0, 100.0, 450.0, 1.13),
        (1000.0, 100.0, 450.0, 1.29),
        (50000.0, 100.0, 450.0, 1.40),
        (120.0, 120.0, 450.0, 1.0),
        (1000.0, 100.0, 63.0, 1.0),
        (50.0, 100.0, 63.0, 0.86),
        (1000.0, 100.0, None, 1.0),
    ],
)
def test_multipliers_are_those_of_the_sheet(
    hertz: float, base: float, volts: float | None, ratio: float
) -> None:
    assert rule.multiplier(hertz, base, volts) == pytest.approx(ratio)


def test_harmonics_add_as_squares() -> None:
    assert rule.weighted(((100.0, 0.3), (200.0, 0.4 * 1.13)), 100.0, 450.0) == pytest.approx(0.5)
    assert rule.weighted(((50.0, 0.086),), 100.0, 450.0) == pytest.approx(0.1)
    assert rule.weighted((), 100.0, 450.0) == 0.0


def test_a_half_wave_supply_counts_its_mains_frequency_in_full() -> None:
    finding = judged(at(idle=((50.0, 0.344),), full=((50.0, 0.344),)))
    assert finding.figure == pytest.approx(0.4)


def test_without_a_rating_it_says_what_to_read() -> None:
    finding = judged(at(ripple_current=None))
    assert finding.verdict == "not checked"
    assert finding.measure == "read the ripple current rating at 100 Hz in the capacitor's data sheet"


def test_without_a_rating_a_current_that_warms_nothing_is_ok() -> None:
    case = cases.case(filter={"preamp": {"capacitor": {"ripple_current": None}}})
    finding = judged(case, "preamp")
    assert finding.verdict == "ok"
    # tan delta 0.25 at 120 Hz of 22 uF is 15 ohm; 0.2 mA in it is 0.6 uW.
    assert rule.heat(case.supply.filter["preamp"].capacitor, 0.0002) == pytest.approx(6.03e-7, rel=0.01)  # type: ignore[arg-type]


def test_without_a_run_it_is_not_checked() -> None:
    findings = list(rule.judge(Case(cases.supply(), {}), default_limits()))
    assert {finding.verdict for finding in findings} == {"not checked"}
    assert len(findings) == 5


def test_a_coupling_capacitor_is_a_film_part_and_not_judged() -> None:
    case = cases.case(rectifiers={"bias": {"feed": "47 nF 630 V"}})
    assert "bias feed" not in {finding.subject for finding in rule.judge(case, default_limits())}


@pytest.mark.parametrize(("rated", "verdict"), [("200 mA", "ok"), ("140 mA", "marginal")])
def test_the_sections_of_a_can_warm_each_other(rated: str, verdict: str) -> None:
    """Each section is inside its own rating; together they heat the can more than one at its rating would."""
    part = {"ripple_current": rated, "can": "C1"}
    spectrum = ((100.0, 0.12),)
    runs = []
    for level in ("low", "nominal", "high", "wall"):
        for state in ("idle", "full output"):
            run = cases.figures(state, level)
            for name in ("reservoir", "screens"):
                run = cases.with_capacitor(run, name, cases.capacitor(400.0, spectrum=spectrum))
            runs.append(run)
    case = cases.case(*runs, filter={name: {"capacitor": part} for name in ("reservoir", "screens")})
    finding = next(each for each in rule.judge(case, default_limits()) if each.subject == "can C1")
    assert finding.verdict == verdict
    assert finding.figure == pytest.approx(100 * math.sqrt(2) * 0.12 / (int(rated[:3]) / 1000), rel=1e-3)
    assert "reservoir, screens" in finding.why
    alone = [each.verdict for each in rule.judge(case, default_limits())]
    assert "over" not in alone


def test_a_section_without_a_rating_leaves_its_can_unchecked() -> None:
    bare = {"capacitor": {"can": "C1", "ripple_current": None}}
    made = cases.case(filter={"reservoir": bare, "screens": {"capacitor": {"can": "C1"}}})
    findings = rule.judge(made, default_limits())
    assert next(each.verdict for each in findings if each.subject == "can C1") == "not checked"
