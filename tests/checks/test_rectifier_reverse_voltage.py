from __future__ import annotations

import pytest

from psucheck.checks import rectifier_reverse_voltage as rule
from psucheck.checks.case import Case
from psucheck.figures.model import Level, State
from tests.checks import cases
from tests.checks.rules import judged, with_rectifier

SILICON = {"ht": {"device": "1N4007", "heater": None}}


def at(volts: float, state: State = "valves out", level: Level = "high", device: object = "1N4007") -> Case:
    made = with_rectifier(cases.figures(state, level), "ht", reverse_voltage=volts)
    return cases.case(made, rectifiers={"ht": {"device": device, "heater": None}})


def test_silicon_passes_below_four_fifths() -> None:
    finding = judged(rule, at(795.0, "idle", "low"), "ht")
    # The other conditions of the case stand at up to 990 V.
    assert finding.verdict == "marginal"
    quiet = cases.case(rectifiers={"ht": {"device": {"type": "1N4007", "in_series": 2}, "heater": None}})
    passed = judged(rule, quiet, "ht")
    assert (passed.verdict, passed.figure, passed.limit) == ("ok", 495.0, 1000.0)
    assert (
        passed.why
        == "Each diode sees 495 V in reverse if the 2 in series share equally; 1N4007 allows 1000 V."
    )
    assert passed.change is None


def test_silicon_fails_above_its_rating() -> None:
    finding = judged(rule, at(1210.0), "ht")
    assert (finding.verdict, finding.figure, finding.limit, finding.unit) == ("over", 1210.0, 1000.0, "V")
    assert finding.condition == "valves out, high mains"
    assert finding.why == "Each diode sees 1210 V in reverse; 1N4007 allows 1000 V."
    assert "1N4001 to 1N4007" in finding.source


@pytest.mark.parametrize("state", ["switch-on", "switch-on, valves cold", "standby open"])
def test_starts_and_standby_count(state: State) -> None:
    assert judged(rule, at(1001.0, state), "ht").verdict == "over"


def test_a_valve_keeps_no_share_back() -> None:
    assert judged(rule, at(1490.0, device="GZ34"), "ht").verdict == "ok"


def test_a_valve_over_at_high_mains_only_is_marginal() -> None:
    finding = judged(rule, at(1580.0, device="GZ34"), "ht")
    assert finding.verdict == "marginal"
    assert finding.why.endswith("GZ34 allows 1500 V; the data sheet allows for some spread of the mains.")


def test_a_valve_over_at_nominal_mains_is_over() -> None:
    assert judged(rule, at(1501.0, level="nominal", device="GZ34"), "ht").verdict == "over"


def test_an_unknown_rating_is_not_checked() -> None:
    finding = judged(rule, at(900.0, device={"kind": "silicon", "drop": "1 V at 1 A"}), "ht")
    assert finding.verdict == "not checked"
    assert finding.measure is not None
    assert "reverse voltage" in finding.measure


def test_no_run_is_not_checked() -> None:
    finding = judged(rule, Case(cases.supply(), {}), "ht")
    assert finding.verdict == "not checked"
