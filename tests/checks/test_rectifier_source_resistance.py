from __future__ import annotations

import pytest

from psucheck.checks import rectifier_source_resistance as rule
from psucheck.checks.case import Case
from psucheck.supply.assumptions import Assumption
from tests.checks import cases
from tests.checks.rules import guess, judged, with_rectifier, with_winding


def seen(ohms: float, volts: float = 320.0, device: object = "GZ34", *assumed: Assumption) -> Case:
    """Every run sees the same resistance; a case of one run is enough."""
    made = with_rectifier(cases.figures("valves out", "nominal"), "ht", source_resistance=ohms)
    made = with_winding(made, "ht", section_volts=(volts, volts))
    return Case(cases.supply(rectifiers={"ht": {"device": device}}), {made.name: made}, assumed)


def test_passing_example() -> None:
    finding = judged(rule, seen(92.0, 350.0), "ht")
    assert (finding.verdict, finding.limit, finding.lower_limit) == ("ok", 75.0, True)


def test_failing_example() -> None:
    finding = judged(rule, seen(115.9, 250.0, "EZ81"), "ht")
    assert (finding.verdict, finding.figure, finding.limit, finding.unit) == ("over", 115.9, 150.0, "ohm")
    assert finding.why == "Each anode sees 116 ohm; EZ81 needs 150 ohm at 250 V."
    # The worked example of audiohobby.pl topic 2755 adds 34 ohm in each anode; 34.1 is missing.
    assert finding.change == "Add 35 ohm or more in each anode lead."


def test_between_two_rows_a_straight_line_is_read() -> None:
    assert judged(rule, seen(92.0, 325.0), "ht").limit == pytest.approx(62.5)


def test_below_the_table_a_breach_is_marginal_and_above_it_nothing_is_known() -> None:
    assert judged(rule, seen(40.0, 250.0), "ht").verdict == "marginal"
    assert judged(rule, seen(200.0, 600.0), "ht").verdict == "not checked"
    assert judged(rule, seen(170.0, 600.0), "ht").verdict == "over"


def test_a_guess_that_may_be_higher_softens_a_breach() -> None:
    assert (
        judged(rule, seen(60.0, 350.0, "GZ34", guess("windings.ht.resistance", 2.0)), "ht").verdict
        == "marginal"
    )
    assert (
        judged(rule, seen(30.0, 350.0, "GZ34", guess("windings.ht.resistance", 2.0)), "ht").verdict == "over"
    )


def test_choke_input_is_not_bound_by_it() -> None:
    choke = {"reservoir": {"choke": {"inductance": "10 H", "resistance": "110 ohm"}}}
    assert judged(rule, cases.case(filter=choke), "ht").verdict == "ok"


def test_a_sheet_without_a_table_is_not_checked() -> None:
    finding = judged(rule, seen(92.0, 320.0, "GZ32"), "ht")
    assert finding.verdict == "not checked"
    assert finding.measure == "the least source resistance at 320 V on the data sheet of GZ32"
