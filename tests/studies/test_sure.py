"""A verdict that a guess could turn is marginal, and says what to measure."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from psucheck.checks.finding import Finding, Verdict
from psucheck.engine.pool import Pool
from psucheck.figures.numbers import numbers
from psucheck.report.view import Report
from psucheck.studies import sure
from psucheck.studies.check import check
from psucheck.supply.reader import parse_description

HEAD = (Path(__file__).parents[2] / "netlists" / "two-el34-head.toml").read_text("utf-8")


SMALL = """\
title = "One rail and a dummy load"
[mains]
voltage = "230 V"
frequency = "50 Hz"
system = "EU"
[transformer]
primary = "230 V, 20 ohm"
power = "60 VA"
[windings]
ht = "250 V 120 mA, 60 ohm"
[rectifiers.ht]
circuit = "bridge"
winding = "ht"
device = "1N4007"
[filter]
reservoir = "47 uF 450 V"
output = "choke 5 H 100 ohm, 47 uF 450 V"
[loads.dummy]
node = "output"
resistance = "5k"
[fuses]
mains = "T500mAL250V"
"""


def checked(text: str, *, ranges: bool = False) -> Report:
    with Pool(2) as pool:
        return check(parse_description(text, "head.toml"), pool, ranges=ranges)


def verdict(report: Report, rule: str, subject: str) -> tuple[str, str | None, str]:
    found = next(f for f in report.findings if (f.rule, f.subject) == (rule, subject))
    return found.verdict, found.measure, found.why


@pytest.fixture(scope="module")
def warm_heaters() -> Report:
    """Heaters a little over ten per cent high on copper that was guessed."""
    return checked(HEAD.replace("6.9 V off load at 243 V, 5 A", "7.35 V off load at 243 V"))


def test_a_verdict_that_a_guess_turns_is_marginal_and_says_what_to_measure(warm_heaters: Report) -> None:
    said, measure, why = verdict(warm_heaters, "heater-voltage", "heaters")
    assert said == "marginal"
    assert measure == "the ohms and the off-load volts of the winding"
    assert "windings.heaters.resistance at" in why
    assert "it would be ok" in why


def test_figures_that_hang_on_a_guess_carry_their_range(warm_heaters: Report) -> None:
    idle = warm_heaters.figures["idle, wall mains"]
    low, high = idle.guessed_range["windings.heaters.volts"]
    assert low < idle.windings["heaters"].volts < high
    assert high - low > 0.1


def test_what_was_measured_is_sure() -> None:
    """With the copper given the same heaters are over, or not, and no guess is named."""
    text = HEAD.replace("6.9 V off load at 243 V, 5 A", "7.5 V off load at 243 V, 5 A, 0.03 ohm")
    said, measure, why = verdict(checked(text), "heater-voltage", "heaters")
    assert (said, measure) == ("over", None)
    assert "To settle it" not in why


def _with_mains_fuse(marking: str) -> Report:
    return checked(HEAD.replace('mains = "T2AH250V"', f'mains = "{marking}"'))


@pytest.fixture(scope="module")
def thin_fuse() -> Report:
    """A mains fuse that a hot restart opens, or not, by how much flux the core has kept."""
    return _with_mains_fuse("T1.25AL250V")


def test_what_the_residual_flux_decides_is_marginal(thin_fuse: Report) -> None:
    said, measure, why = verdict(thin_fuse, "fuse-inrush", "mains")
    assert (said, measure) == ("marginal", None)
    assert "With transformer.residual_flux at 0.8 it would be over. That is chance" in why


def test_what_chance_spares_one_time_is_not_saved_by_it() -> None:
    _, _, why = verdict(_with_mains_fuse("T800mAL250V"), "fuse-inrush", "mains")
    assert "residual_flux" not in why


def test_its_transient_figures_carry_their_range(thin_fuse: Report) -> None:
    restart = thin_fuse.figures["hot restart, high mains"]
    low, high = restart.guessed_range["places.mains.i2t"]
    assert low <= (restart.places["mains"].i2t or 0.0) <= high
    assert high > 1.2 * low


def test_asked_for_every_figure_carries_its_range() -> None:
    report = checked(SMALL, ranges=True)
    for name, figures in report.figures.items():
        found = numbers(figures)
        assert set(figures.guessed_range) <= set(found), name
        assert all(low <= found[path] <= high for path, (low, high) in figures.guessed_range.items())
        # A time that is not reached in every run has no range.
        assert all(
            path.startswith(("discharge.", "sag.")) for path in set(found) - set(figures.guessed_range)
        )
        assert set(figures.uncertainty) == set(found) or figures.state == "switch-off, valves out", name
    low, high = report.figures["switch-on, high mains"].guessed_range["places.mains.peak_current"]
    # The residual flux alone doubles it.
    assert high > 2 * low > 1.0


@pytest.mark.parametrize(
    ("known", "moved", "turns"),
    [
        (("ok", 0.05, False), ("over", -0.1, False), True),
        (("ok", 0.05, False), ("marginal", -0.1, True), True),
        (("ok", 0.05, False), ("marginal", 0.02, False), False),
        (("ok", 0.05, False), ("ok", 0.01, False), False),
        (("over", -0.05, False), ("ok", 0.1, False), True),
        (("over", -0.05, False), ("over", -0.1, False), False),
    ],
)
def test_what_turns_a_verdict(
    known: tuple[Verdict, float, bool], moved: tuple[Verdict, float, bool], turns: bool
) -> None:
    def found(verdict: Verdict, margin: float, guessed: bool) -> Finding:
        return Finding("ripple", "reservoir", "idle", verdict, "why", "", margin=margin, guessed=guessed)

    assert sure._turns(found(*known), found(*moved)) is turns


def test_findings_on_one_subject_are_told_apart_by_their_limits() -> None:
    anode, screen = (
        Finding("valve-dissipation", "output", "idle", "ok", "", "", limit=w) for w in (25.0, 8.0)
    )
    assert sure._same(replace(anode, verdict="over"), [screen, anode]) is anode
    assert sure._same(replace(screen, verdict="over"), [anode, screen]) is screen
    assert sure._same(replace(screen, subject="driver"), [anode, screen]) is None
