from __future__ import annotations

from typing import Any

import pytest

from psucheck.checks import heater_cathode as rule
from psucheck.checks.case import Case
from psucheck.checks.finding import Verdict
from psucheck.checks.judging import LEVELS
from tests.checks import cases
from tests.checks.rules import every, judged, with_winding


def rectifier(device: str, heater: str | None = "heaters", cathode: float = 340.0, **more: Any) -> Case:
    """The invented amplifier with another rectifier valve and no more than ``cathode`` on its rail."""
    changed = cases.case(rectifiers={"ht": {"device": device, "heater": heater}}, **more)
    figures = {
        name: cases.with_node(made, "reservoir", cases.node(min(made.nodes["reservoir"].dc, cathode)))
        for name, made in changed.figures.items()
    }
    worst = cases.with_node(cases.figures("valves out", "high"), "reservoir", cases.node(cathode))
    return Case(changed.supply, figures | {worst.name: worst})


def test_passing_example() -> None:
    finding = judged(rule, rectifier("EZ81"), "ht")
    assert (finding.verdict, finding.figure, finding.limit) == ("ok", 340.0, 500.0)
    assert finding.why == "340 V between heater and cathode of the EZ81 and heaters at the chassis."


def test_failing_example() -> None:
    finding = judged(rule, rectifier("GZ34"), "ht")
    assert finding.verdict == "over"
    assert "so that heaters stands at B+ together with the listed valves" in finding.why


@pytest.mark.parametrize(
    ("device", "cathode", "verdict"),
    [
        ("EZ81", 460.0, "marginal"),
        ("EZ81", 520.0, "over"),
        ("6X4", 430.0, "marginal"),
        ("6X4", 460.0, "over"),
    ],
)
def test_the_types_limit_and_a_tenth_below_it(device: str, cathode: float, verdict: Verdict) -> None:
    finding = judged(rule, rectifier(device, cathode=cathode), "ht")
    assert (finding.verdict, finding.guessed) == (verdict, True)
    assert finding.condition == "valves out, high mains"


def test_elevation_takes_its_volts_off() -> None:
    made = rectifier("EZ81", cathode=520.0, elevation={"heaters": "60 V"})
    raised = {name: with_winding(f, "heaters", elevation=60.0) for name, f in made.figures.items()}
    finding = judged(rule, Case(made.supply, raised), "ht")
    assert (finding.verdict, finding.figure) == ("marginal", 460.0)
    assert "heaters standing on 60 V" in finding.why


def test_a_five_volt_type_on_its_own_winding_is_ok() -> None:
    assert judged(rule, cases.case(), "ht").verdict == "ok"


def test_a_winding_at_the_cathode_is_not_elevated() -> None:
    finding = judged(rule, cases.case(elevation={"rectifier heater": "40 V"}), "ht")
    assert (finding.verdict, "what it is elevated with" in finding.why) == ("over", True)


@pytest.mark.parametrize("heater", [None, "rectifier heater"])
def test_what_the_heater_is_tied_to_must_be_known(heater: str | None) -> None:
    finding = judged(rule, rectifier("EZ81", heater), "ht")
    assert finding.verdict == "not checked"
    assert finding.measure


def test_before_a_choke_the_cathode_sees_the_crest() -> None:
    choke = {"reservoir": {"choke": "choke 10 H 110 ohm 180 mA"}}
    finding = judged(rule, rectifier("EZ81", cathode=250.0, filter=choke), "ht")
    assert finding.figure == pytest.approx(320.0 * 2**0.5)


@pytest.mark.parametrize(
    ("line_up", "volts", "verdict"),
    [("2 x EL34, 3 x ECC83", 60.0, "ok"), ("2 x EL34", 95.0, "marginal"), ("2 x EL34", 120.0, "over"),
     ("2 x KT88", 60.0, "not checked"), ("2 x KT88, 2 x EL34", 120.0, "over")],
)  # fmt: skip
def test_an_elevated_winding_is_held_against_the_valves_on_it(
    line_up: str, volts: float, verdict: Verdict
) -> None:
    made = cases.case(
        *(with_winding(cases.figures("idle", level), "heaters", elevation=volts) for level in LEVELS),
        valves=line_up,
        elevation={"heaters": f"{volts} V"},
    )
    assert judged(rule, made, "heaters").verdict == verdict


def test_silicon_has_no_heater() -> None:
    assert every(rule, rectifier("1N4007", None), "ht") == []
