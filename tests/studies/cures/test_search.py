"""Cures of small supplies with one thing wrong, each checked again with it written as [new]."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache

import pytest

from psucheck.checks.finding import Cure, Finding
from psucheck.checks.registry import name_of
from psucheck.report.view import Report, counts
from psucheck.studies.check import check
from psucheck.studies.cures import check_with_cures
from psucheck.supply.reader import parse_description
from tests.studies.cures.supplies import FUSED, VALVE_RECTIFIER, fuse, supply
from tests.studies.in_process import InProcess, checked


@dataclass(frozen=True)
class Wrong:
    """A supply with something wrong, the finding, the cure that is expected, and that cure as [new]."""

    text: str
    finding: str
    changes: dict[str, str] = field(default_factory=dict)
    new: str = ""


TAPPED = supply(mains='wall = "246 V"', taps='taps = { "220 V" = "13 ohm", "245 V" = "15 ohm" }')
WRONG = {
    "capacitor over its volts": Wrong(
        supply(reservoir="47 uF 350 V ripple 300 mA"),
        "capacitor-voltage reservoir",
        {"filter.reservoir": "47 uF 450 V ripple 300 mA"},
        '[new.filter]\nreservoir = "47 uF 450 V ripple 300 mA"',
    ),
    "fuse that blows at switch-on": Wrong(
        supply(**FUSED, more=fuse("F1AH250V")),
        "fuse-inrush mains",
        {"fuses.mains": "T1AH250V"},
        '[new.fuses]\nmains = "T1AH250V"',
    ),
    "reservoir too large for a valve": Wrong(
        supply(**VALVE_RECTIFIER, reservoir="100 uF 450 V"),
        "rectifier-first-capacitor ht",
        {"filter.reservoir": "20 uF 450 V"},
        '[new.filter.reservoir]\ncapacitor = "20 uF 450 V"',
    ),
    "too many watts on the anodes": Wrong(
        supply(cathode="100 ohm 5 W", idle="52 mA each at the cathode"),
        "valve-dissipation output",
        {"loads.output.cathode_resistor": "130 ohm 5 W"},
        '[new.loads.output]\ncathode_resistor = "130 ohm 5 W"',
    ),
    "overrun dropper": Wrong(
        supply(preamp="22k 0.125 W, 22 uF 450 V"),
        "resistor-power preamp dropper",
        {"filter.preamp.resistor": "22k 500 mW"},
        '[new.filter]\npreamp = "22k 0.5 W"',
    ),
    "wrong tap": Wrong(
        TAPPED,
        "heater-voltage heaters",
        {"transformer.primary": "245 V, 15 ohm", "windings.ht.off_load_at": "245 V"},
        '[new.transformer]\nprimary = "245 V, 15 ohm"\ncore = "ideal"\npower = "120 VA"\n[new.windings]\n'
        'ht = "240-0-240 V off load at 245 V, 60 + 60 ohm, 200 mA"\nheaters = "6.3 V 4 A, 0.05 ohm"',
    ),
}
HOPELESS = supply(heaters="6.3 V 1.2 A, 0.05 ohm")
UNSAFE = supply(**FUSED, more=fuse("T630mAH250V"))


@cache
def cured(text: str) -> Report:
    """The report with cures, made once in a process."""
    return check_with_cures(parse_description(text, "test"), InProcess())


def found(report: Report, name: str) -> Finding:
    """The finding of that name with a cure looked for, the worse where there are two on a valve's watts."""
    return next(one for one in report.findings if name_of(one) == name and one.cure is not None)


def cure_of(text: str, name: str) -> Cure:
    cure = found(cured(text), name).cure
    assert cure is not None
    return cure


@pytest.mark.parametrize("wrong", WRONG.values(), ids=WRONG)
def test_a_cure_is_found_and_holds_when_it_is_written_into_the_description(wrong: Wrong) -> None:
    report = cured(wrong.text)
    finding = found(report, wrong.finding)
    assert finding.verdict == "over"
    cure = finding.cure
    assert cure is not None
    assert {path: value for path, value in cure.changes if path in wrong.changes} == wrong.changes

    again = checked(f"{wrong.text}\n{wrong.new}")
    (after,) = [
        one
        for one in again.findings
        if name_of(one) == wrong.finding and one.limit in (cure.limit, pytest.approx(cure.limit))
    ]
    assert after.verdict == cure.verdict in ("ok", "marginal")
    assert after.figure == pytest.approx(cure.figure, rel=1e-6)
    before = {name_of(one) for one in report.findings if one.verdict == "over"}
    assert {name_of(one) for one in again.findings if one.verdict == "over"} <= before - {wrong.finding}


def test_what_a_cure_moves_is_told() -> None:
    cure = cure_of(WRONG["wrong tap"].text, "heater-voltage heaters")
    moved = {move.what: (move.before, move.after) for move in cure.moved}
    before, after = moved["reservoir at idle"]
    assert 0.92 < after / before < 0.95  # 230/245, and less drawn
    assert cure.says == "use the 245 V tap of the primary"
    assert cure_of(WRONG["overrun dropper"].text, "resistor-power preamp dropper").moved == ()


def test_where_nothing_helps_that_is_said() -> None:
    cure = cure_of(HOPELESS, "winding-current heaters")
    assert cure.changes == ()
    assert cure.verdict is None
    assert cure.says == "no value or part was found that could be changed by itself"


def test_a_larger_fuse_is_not_offered_where_it_opens_later_in_a_fault() -> None:
    """The next value rides through switch-on; shorted heaters it would feed for longer. A limiter serves."""
    cure = cure_of(UNSAFE, "fuse-inrush mains")
    assert cure.changes == (("limiters.mains", "SL10 10003"),)
    why = dict(cure.tried)
    assert why['change fuses.mains to "T1AH250V"'] == (
        "the fuse at mains: it opens later in shorted heaters: heaters, or not at all"
    )


def test_the_nearest_change_is_not_offered_where_it_breaks_something_else() -> None:
    """A small reservoir hums; the larger one that mends it is too much for the rectifier valve."""
    text = supply(**VALVE_RECTIFIER, reservoir="16 uF 450 V").replace(
        'device = "5Y3GT"', 'device = { type = "5Y3GT", first_capacitor = "16 uF" }'
    )
    cure = cure_of(text, "ripple reservoir")
    assert cure.changes == ()
    spoilt = [change for change, why in cure.tried if "rectifier-first-capacitor ht becomes over" in why]
    assert 'change filter.reservoir to "30 uF 450 V"' in spoilt


def test_one_cure_for_two_findings_is_looked_for_once() -> None:
    text = supply(screens="1k 0.25 W, 47 uF 450 V")
    first = cure_of(text, "resistor-power screens dropper")
    second = cure_of(text, "resistor-pulse screens dropper")
    assert first.changes == second.changes == (("filter.screens.resistor", "1k 2 W"),)
    assert (first.as_for, second.as_for) == ("", "resistor-power screens dropper")
    assert first.also == ("resistor-pulse screens dropper",)
    assert cured(text).together == ""


def test_several_cures_are_checked_together() -> None:
    text = supply(preamp="22k 0.125 W, 22 uF 350 V")
    report = cured(text)
    assert counts(report.findings)["over"] == 2
    assert report.together == "All cures together: nothing over, 0 marginal."


def test_without_anything_wrong_nothing_is_tried() -> None:
    told: list[str] = []
    report = check_with_cures(parse_description(supply(), "test"), InProcess(), told=told.append)
    assert told == ["the supply as it is"]
    assert all(finding.cure is None for finding in report.findings)
    assert report == check(parse_description(supply(), "test"), InProcess())


def test_with_a_proposal_the_cure_is_one_of_the_proposed_supply() -> None:
    text = f'{supply()}\n[new.filter]\nreservoir = "100 uF 350 V"'
    cure = cure_of(text, "capacitor-voltage reservoir")
    assert cure.changes == (("filter.reservoir", "100 uF 450 V"),)
