"""A whole check on small supplies: as found, as proposed, with the bias reset, on each tap."""

from __future__ import annotations

from dataclasses import replace

import pytest

from psucheck.report.view import Report, exit_status
from tests.conditions.supplies import SUPPLIES
from tests.studies.in_process import checked

ORDINARY = SUPPLIES["centre-tapped"]
SWAP = (
    SUPPLIES["bias through a resistor"].replace('["-28 V", "-50 V"]', '["-28 V", "-36 V"]')
    + '[accepted]\n"capacitor-voltage preamp" = "it was so"\n"bias-range bias" = "a pot is on order"\n'
    + """\
[new.transformer]
primary = "230 V, 8 ohm"
taps = { "220 V" = "7.6 ohm", "240 V" = "8.4 ohm" }
[new.windings]
heaters = "3.3-0-3.6 V off load at 236 V, 5 A"
ht = "340-0-340 V off load at 236 V, 40 + 42 ohm, 250 mA"
"""
)


@pytest.fixture(scope="module")
def ordinary() -> Report:
    return checked(ORDINARY)


@pytest.fixture(scope="module")
def swap() -> Report:
    return checked(SWAP)


def test_an_ordinary_report_is_of_the_supply_as_found(ordinary: Report) -> None:
    assert ordinary.title == "centre-tapped"
    assert ordinary.found is None
    assert ordinary.reset is None
    assert ordinary.taps == ()
    assert ordinary.assumptions
    assert ordinary.cautions[0].startswith("Highest voltage")


def test_a_part_over_its_rating_is_over(ordinary: Report) -> None:
    # 450 V for the preamp's capacitor, and with the valves out nothing draws it down.
    over = {(f.rule, f.subject) for f in ordinary.findings if f.verdict == "over"}
    assert ("capacitor-voltage", "preamp") in over
    assert exit_status(ordinary) == 1


def test_every_finding_says_why_and_from_where(ordinary: Report) -> None:
    for finding in ordinary.findings:
        assert finding.why
        if finding.verdict in ("over", "marginal"):
            assert finding.source
        if finding.verdict == "not checked":
            assert finding.measure or finding.why


def test_a_swap_holds_both_supplies_and_the_reset(swap: Report) -> None:
    assert swap.found is not None
    assert swap.reset is not None
    found, proposed = (
        report.figures["valves out, wall mains"].nodes["reservoir"].dc for report in (swap.found, swap)
    )
    assert proposed / found == pytest.approx(340 / 300, rel=0.005)
    assert set(swap.found.figures) < set(swap.figures)
    assert {figures.state for figures in swap.reset.figures.values()} == {"idle", "full output"}


def test_the_bias_is_judged_where_the_pot_has_been_turned(swap: Report) -> None:
    assert swap.reset is not None
    pots = [finding for finding in swap.findings if finding.rule == "bias-range"]
    assert len(pots) == 1
    assert replace(pots[0], verdict="over") in swap.reset.findings
    idle = swap.reset.figures["idle, wall mains"]
    assert "bias reset" in idle.remarks
    assert idle.valves["output"].bias < swap.figures["idle, wall mains"].valves["output"].bias


def test_what_was_accepted_of_the_proposal_is_no_finding_of_the_supply_as_found(swap: Report) -> None:
    accepted = {(f.rule, f.subject) for f in swap.findings if f.verdict == "accepted"}
    assert accepted == {("capacitor-voltage", "preamp"), ("bias-range", "bias")}
    assert swap.found is not None
    assert not [f for f in swap.found.findings if f.verdict == "accepted"]


def test_taps_go_with_their_turns(swap: Report) -> None:
    names = [tap.name for tap in swap.taps]
    assert names == ["230 V (in use)", "220 V", "240 V"]
    by_volts = dict(zip((230.0, 220.0, 240.0), swap.taps, strict=True))
    for volts, tap in by_volts.items():
        assert tap.node == "reservoir"
        assert tap.cold / by_volts[230.0].cold == pytest.approx(230.0 / volts, rel=0.01)
        assert tap.heaters["heaters"] / by_volts[230.0].heaters["heaters"] == pytest.approx(
            230.0 / volts, rel=0.01
        )
        assert tap.idle < tap.cold


def test_the_tap_in_use_is_the_supply_itself(swap: Report) -> None:
    cold = swap.figures["cold, wall mains"].nodes["reservoir"].dc
    assert swap.taps[0].cold == pytest.approx(cold, rel=1e-3)


def test_contradictions_are_remarks(ordinary: Report, swap: Report) -> None:
    assert ordinary.remarks == ()
    assert len(swap.remarks) == 1
    assert "3.6 V" in swap.remarks[0]
