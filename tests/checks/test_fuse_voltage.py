from __future__ import annotations

from psucheck.checks import fuse_voltage as rule
from psucheck.checks.case import Case
from psucheck.checks.limits import default_limits
from psucheck.figures.model import Level, PlaceFigures
from tests.checks import cases
from tests.checks.rules import judged, with_place

RAIL = "before reservoir"


def standing(fuses: dict[str, object], volts: dict[str, float], *, dc: bool, level: Level = "high") -> Case:
    made = cases.figures("valves out", level)
    for place, highest in volts.items():
        made = with_place(made, place, PlaceFigures(0.1, 0.3, highest, dc))
    return cases.case(made, fuses=fuses)


def test_passing_examples() -> None:
    assert judged(rule, cases.case(), "mains").verdict == "ok"
    rated = {"rating": "T500mAL250V", "dc_voltage": "500 V"}
    finding = judged(rule, standing({RAIL: rated}, {RAIL: 440.0}, dc=True), RAIL)
    assert (finding.verdict, finding.figure, finding.limit) == ("ok", 440.0, 500.0)


def test_failing_example() -> None:
    rated = {"rating": "T500mAL250V", "dc_voltage": "400 V"}
    finding = judged(rule, standing({RAIL: rated}, {RAIL: 551.0}, dc=True), RAIL)
    assert finding.verdict == "over"
    assert finding.why == "A fuse of 400 V DC in a rail of 551 V."


def test_ac_fuses_in_rails_are_marginal_once() -> None:
    fuses: dict[str, object] = {"mains": None, RAIL: "T500mAL250V", "before screens": "T100mAL250V"}
    made = standing(fuses, {RAIL: 455.0, "before screens": 450.0}, dc=True)
    (finding,) = rule.judge(made, default_limits())
    assert (finding.verdict, finding.subject) == ("marginal", "before reservoir, before screens")
    assert finding.why == "A fuse of 250 V AC in a rail of 455 V DC: its maker gives no rating for that."


def test_an_ac_fuse_in_a_rail_of_a_few_volts_is_no_finding() -> None:
    made = standing({"before bias": "T100mAL250V", "mains": None}, {"before bias": 48.0}, dc=True)
    finding = judged(rule, made, "before bias")
    assert (finding.verdict, finding.figure) == ("ok", 48.0)


def test_a_fuse_at_a_winding_is_marginal_up_to_twice_its_volts() -> None:
    fuses: dict[str, object] = {"winding ht": "T500mAL250V"}
    made = standing(fuses, {"winding ht": 380.0}, dc=False, level="nominal")
    assert judged(rule, made, "winding ht").verdict == "marginal"
    made = standing(fuses, {"winding ht": 520.0}, dc=False, level="nominal")
    assert judged(rule, made, "winding ht").verdict == "over"


def test_a_mains_fuse_for_120_v_on_230_v_is_over() -> None:
    made = cases.case(fuses={"mains": "UL slow 2 A 125 V"})
    assert judged(rule, made, "mains").verdict == "over"


def test_an_unmarked_fuse_is_not_checked() -> None:
    fuse = {"speed": "T", "current": "2 A"}
    finding = judged(rule, cases.case(fuses={"mains": None} | {"mains": fuse}), "mains")
    assert (finding.verdict, finding.measure) == ("not checked", "the volts marked on the fuse's cap")


def test_no_run_is_not_checked() -> None:
    made = cases.case(fuses={RAIL: "T500mAL250V"})
    assert judged(rule, made, RAIL).verdict == "not checked"
