"""What each way of mending puts forward, and that every rule it stands for is one."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import islice

import pytest

from psucheck.checks.finding import Finding
from psucheck.checks.limits import default_limits
from psucheck.checks.registry import RULES
from psucheck.report.view import Report
from psucheck.studies.cures import capacitors, fuses, rectifiers, resistors, valves, volts
from psucheck.studies.cures.registry import WAYS
from psucheck.studies.cures.ways import Candidate, Make, Trouble
from psucheck.supply.changes import changed
from psucheck.supply.reader import parse_description
from tests.studies.cures.supplies import VALVE_RECTIFIER, supply
from tests.studies.in_process import checked

MORE = """
[filter.grids]
from = "preamp"
resistor = "10k 1 W"
capacitor = "2 x 100 uF 200 V in series"
[filter.tail]
from = "screens"
choke = "choke 5 H 90 ohm 20 mA"
capacitor = "22 uF 450 V"
[switches]
standby = "before screens"
"""
TEXT = supply(**{**VALVE_RECTIFIER, "more": MORE}, taps='taps = { "220 V" = "13 ohm", "250 V" = "15 ohm" }')


@cache
def report(device: str = "5Y3GT") -> Report:
    text = TEXT if device == "5Y3GT" else supply(more=MORE)
    return checked(text)


def put_forward(
    make: Make, rule: str, subject: str, figure: float, limit: float, unit: str, *, device: str = "5Y3GT",
    most: int = 3, why: str = "",
) -> list[Candidate]:  # fmt: skip
    """What a way puts forward for a finding; every one of them can be described."""
    finding = Finding(rule, subject, None, "over", why, "", figure, limit, unit, margin=-0.1)
    found = list(islice(make(Trouble(finding, report(device), default_limits())), most))
    described = parse_description(TEXT if device == "5Y3GT" else supply(more=MORE), "test")
    for candidate in found:
        changed(described, candidate.changes, beside=True)
    return found


def one(candidates: list[Candidate]) -> list[str | None]:
    """The value of the first change of each."""
    return [next(iter(candidate.changes.values())) for candidate in candidates]


def test_every_rule_that_can_be_mended_is_one() -> None:
    assert set(WAYS) <= {rule.ID for rule in RULES}
    for ways in WAYS.values():
        assert ways
        assert all(way.what and way.most >= 1 for way in ways)


@pytest.mark.parametrize(
    ("make", "finding", "values"),
    [
        (
            capacitors.higher_class,
            ("capacitor-voltage", "reservoir", 472.0, 450.0, "V"),
            ["47 uF 550 V", "47 uF 600 V", "47 uF 500 V"],
        ),
        (
            capacitors.two_in_series,
            ("capacitor-voltage", "reservoir", 472.0, 450.0, "V"),
            [
                "2 x 100 uF 350 V in series with 220k 1 W each",
                "2 x 100 uF 400 V in series with 220k 1 W each",
            ],
        ),
        (
            capacitors.balancing,
            ("capacitor-sharing", "grids", 170.0, 200.0, "V"),
            ["2 x 100 uF 200 V in series with 220k 500 mW each"],
        ),
        (capacitors.bleeder, ("capacitor-voltage", "preamp", 455.0, 450.0, "V"), ["100k 5 W", "47k 10 W"]),
        (capacitors.bleeder, ("capacitor-voltage", "preamp", 500.0, 450.0, "V"), []),
        (capacitors.higher_class, ("capacitor-voltage", "reservoir", 3.0, 1.0, "V"), []),
        (
            capacitors.smaller_first,
            ("rectifier-peak-current", "ht", 0.5, 0.4, "A"),
            ["40 uF 450 V", "32 uF 450 V", "22 uF 450 V"],
        ),
        (
            capacitors.larger,
            ("ripple", "preamp", 2.0, 1.0, "%"),
            ["47 uF 450 V", "60 uF 450 V", "100 uF 450 V"],
        ),
        (
            resistors.more_watts,
            ("resistor-power", "preamp dropper", 2.2, 2.0, "W"),
            ["22k 5 W", "22k 7 W", "22k 10 W"],
        ),
        (
            resistors.two_in_series,
            ("resistor-voltage", "preamp dropper", 400.0, 350.0, "V"),
            ["2 x 11k 2 W 350 V in series", "2 x 11k 3 W 500 V in series"],
        ),
        (resistors.more_dropper, ("ripple", "preamp", 2.0, 1.0, "%"), ["27k 2 W", "33k 2 W", "39k 2 W"]),
        (
            resistors.less_dropper,
            ("relay-pull-in", "preamp", 5.0, 8.0, "V"),
            ["18k 2 W", "15k 2 W", "12k 2 W"],
        ),
        (resistors.bypass, ("standby-switch", "standby", 400.0, 250.0, "V"), ["100k 3 W", "47k 5 W"]),
        (
            rectifiers.anode_resistors,
            ("rectifier-source-resistance", "ht", 100.0, 150.0, "ohm"),
            ["56 ohm 2 W", "68 ohm 2 W"],
        ),
        (rectifiers.other_valve, ("rectifier-peak-current", "ht", 0.5, 0.4, "A"), ["5V4G", "5R4GY", "GZ34"]),
        (rectifiers.limiter, ("mains-dip", "mains", 9.0, 5.0, "%"), ["SL10 10003", "B57236S0100"]),
        (
            valves.cathode_resistor,
            ("valve-dissipation", "output", 13.0, 12.0, "W"),
            ["180 ohm 5 W", "200 ohm 5 W", "220 ohm 5 W"],
        ),
        (volts.other_choke, ("choke-current", "tail", 0.03, 0.02, "A"), None),
        (volts.other_tap, ("valve-voltage", "output", 310.0, 300.0, "V"), ["250 V, 15 ohm"]),
        (volts.elevated_heaters, ("heater-cathode", "rect", 300.0, 200.0, "V"), ["45 V"]),
    ],
    ids=lambda value: value.__name__ if callable(value) else "",
)  # fmt: skip
def test_what_is_put_forward(
    make: Make, finding: tuple[str, str, float, float, str], values: list[str] | None
) -> None:
    found = put_forward(make, *finding)
    if values is None:
        assert found
    else:
        assert one(found) == values


def test_diodes() -> None:
    reverse = ("rectifier-reverse-voltage", "ht", 1200.0, 1000.0, "V")
    assert one(put_forward(rectifiers.diodes_in_series, *reverse, device="1N4007")) == [
        "2 x 1N4007 in series",
        "3 x 1N4007 in series",
        "4 x 1N4007 in series",
    ]
    assert put_forward(rectifiers.anode_resistors, *reverse, device="1N4007") == []
    assert put_forward(rectifiers.diodes_in_series, *reverse) == []


def test_a_tap_takes_the_off_load_readings_with_it() -> None:
    (candidate,) = put_forward(volts.other_tap, "valve-voltage", "output", 310.0, 300.0, "V")
    assert candidate.changes["windings.ht.off_load_at"] == "250 V"
    assert candidate.words == "use the 250 V tap of the primary"


def test_no_fuse_is_put_forward_where_none_is_known_to_serve() -> None:
    for make in (fuses.other_value, fuses.time_lag, fuses.smaller):
        assert put_forward(make, "fuse-inrush", "mains", 5.0, 4.0, "A") == []


def test_a_finding_without_figures_puts_nothing_impossible_forward() -> None:
    for rule, ways in WAYS.items():
        for way in ways:
            for subject in ("reservoir", "ht", "output", "preamp dropper", "nothing"):
                finding = Finding(rule, subject, None, "over", "", "")
                trouble = Trouble(finding, replace(report()), default_limits())
                for candidate in islice(way.make(trouble), way.most):
                    changed(parse_description(TEXT, "test"), candidate.changes, beside=True)
