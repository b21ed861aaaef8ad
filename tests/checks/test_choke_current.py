from __future__ import annotations

from psucheck.checks import choke_current as rule
from psucheck.checks.case import Case
from tests.checks import cases
from tests.checks.rules import judged, loaded, with_choke


def carrying(idle: float, full: float, **choke: object) -> Case:
    runs = loaded(idle, full, lambda made, amps: with_choke(made, "screens", dc=amps))
    return cases.case(*runs, filter={"screens": {"choke": choke}})


def test_passing_example() -> None:
    finding = judged(rule, carrying(0.024, 0.052), "screens")
    assert (finding.verdict, finding.figure, finding.limit) == ("ok", 0.052, 0.180)


def test_failing_example() -> None:
    finding = judged(rule, carrying(0.205, 0.205), "screens")
    assert finding.verdict == "over"
    assert finding.why == "The choke carries 205 mA DC, rated 180 mA."


def test_continuous_full_output_alone_is_marginal() -> None:
    assert judged(rule, carrying(0.1, 0.2), "screens").verdict == "marginal"


def test_without_a_rating_it_is_not_checked() -> None:
    finding = judged(rule, carrying(0.1, 0.2, current=None), "screens")
    assert (finding.verdict, finding.figure) == ("not checked", 0.2)
    assert finding.measure == "the choke's rated current, on its label or data sheet"
