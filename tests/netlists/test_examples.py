"""The worked examples: what is found in each, and its first screen."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest
from syrupy.assertion import SnapshotAssertion

from psucheck.report.screen import screen
from psucheck.report.view import counts, exit_status
from tests.report.rendering import text
from tests.studies.in_process import EXAMPLES, NETLISTS, example_report

OVER = {
    "two-el34-head": {("capacitor-voltage", "reservoir")},
    "two-el34-head-50uf": set(),
    "rebuilt-valve-supply": set(),
    "transformer-swap": {
        ("capacitor-voltage", "reservoir"),
        ("capacitor-voltage", "screens"),
        ("capacitor-voltage", "splitter"),
        ("capacitor-voltage", "preamp"),
        ("winding-current", "ht"),
    },
}


def _screen(name: str) -> str:
    return text(screen(example_report(name)), 80)


def test_every_example_is_told_here() -> None:
    assert set(EXAMPLES) == set(OVER)


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_example_has_its_netlist_beside_it(name: str) -> None:
    lines = (NETLISTS / f"{name}.cir").read_text("ascii").splitlines()
    assert lines[0].startswith("* ")
    assert lines[-1] == ".end"


@pytest.mark.parametrize("name", EXAMPLES)
def test_what_is_over(name: str) -> None:
    report = example_report(name)
    assert {(f.rule, f.subject) for f in report.findings if f.verdict == "over"} == OVER[name]
    assert exit_status(report) == (1 if OVER[name] else 0)
    assert counts(report.findings)["ok"] > 30
    assert report.remarks == ()


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_first_screen(name: str, snapshot: SnapshotAssertion) -> None:
    # The last digits are the engine's; the words, and where each number stands, are kept.
    assert re.sub(r"\d", "0", _screen(name)) == snapshot


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_order_of_the_first_screen(name: str) -> None:
    shown = _screen(name)
    verdict = shown.splitlines()[1]
    assert re.match(r"(OVER|NOTHING OVER): \d+ over, \d+ marginal, \d+ accepted, \d+ not checked", verdict)
    signs = ["\nover ", "\nmarginal ", "\nVolts DC, wall", "\nNot checked:", "\nCautions."]
    places = [shown.find(sign) for sign in signs]
    found = [place for place in places if place >= 0]
    assert all(earlier < later for earlier, later in pairwise(found))
    assert places[2] > 0
    assert places[4] > 0
    assert (places[0] > 0) is bool(OVER[name])
    assert max(map(len, shown.splitlines())) <= 80


def test_an_ordinary_check_takes_about_a_screen() -> None:
    for name in ("two-el34-head-50uf", "rebuilt-valve-supply"):
        assert len(_screen(name).splitlines()) <= 28
    # What is over and the volts stand on the first 24 lines of the first example.
    top = _screen("two-el34-head").splitlines()[:24]
    assert any(line.startswith("Volts DC") for line in top)
    assert any(line.startswith("Cautions. Highest voltage") for line in top)


def test_the_story_of_the_reservoir() -> None:
    held, stands = (
        next(
            f
            for f in example_report(name).findings
            if (f.rule, f.subject) == ("capacitor-voltage", "reservoir")
        )
        for name in ("two-el34-head", "two-el34-head-50uf")
    )
    assert (held.verdict, held.limit) == ("over", 400.0)
    assert held.condition is not None
    assert held.condition.startswith("valves out")
    assert stands.verdict == "ok"
    assert stands.limit == 500.0


def test_the_story_of_the_swap() -> None:
    report = example_report("transformer-swap")
    assert report.found is not None
    assert report.reset is not None
    idle = "idle, wall mains"
    before, after, reset = (r.figures[idle].valves["output"] for r in (report.found, report, report.reset))

    def cathode(valves: object) -> float:
        return valves.anode_current + valves.screen_current  # type: ignore[attr-defined,no-any-return]

    # As computed its rail stands a little below the reading to which the 36 mA belong.
    assert 0.8 * 36e-3 < cathode(before) < 1.01 * 36e-3
    assert cathode(after) > 1.2 * cathode(before)
    assert cathode(reset) == pytest.approx(36e-3, rel=0.02)
    assert after.anode_watts > reset.anode_watts > before.anode_watts
    assert reset.bias < after.bias < before.bias < 0
    assert [tap.name for tap in report.taps] == ["230 V (in use)", "220 V", "240 V"]
