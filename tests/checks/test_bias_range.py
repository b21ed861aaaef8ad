from __future__ import annotations

from dataclasses import replace

import pytest

from psucheck.checks import bias_range as rule
from psucheck.checks import ratings
from psucheck.checks.case import Case
from psucheck.checks.limits import default_limits
from psucheck.figures.model import Figures, Level
from psucheck.parts.valves import three_halves_constant
from tests.checks import cases
from tests.checks.rules import every, judged, with_valves

# The case's idle current is 38 mA at each cathode, as stated, at -37 V.


def idling(**changed: float) -> Case:
    return cases.case(with_valves(cases.figures("idle", "wall"), **changed))


def test_passing_example() -> None:
    finding = judged(rule, cases.case(), "bias")
    assert (finding.verdict, finding.figure) == ("ok", 37.0)
    assert finding.why == "-37 V wanted for the idle current given; here the pot reaches -30 V to -45 V."
    assert not finding.guessed


def test_failing_example() -> None:
    """Another transformer: the screens up by 120 V, the bias supply as it was."""
    finding = judged(rule, idling(screen_volts=500.0, anode_current=0.144, screen_current=0.016), "bias")
    assert finding.verdict == "over"
    assert finding.limit == pytest.approx(45.0)
    assert finding.change == "Raise the resistor in the earthy leg of the pot, so that it goes more negative."
    assert finding.guessed


def test_the_bias_wanted_brings_the_current_back_by_the_three_halves_law() -> None:
    valve = ratings.load_valve("EL34")
    assert valve is not None
    assert valve.mu is not None
    mu, point = valve.mu.value, valve.law_points[0].value
    constant = three_halves_constant(point, mu)
    drawn = constant * (410.0 / mu - 30.0) ** 1.5
    run = with_valves(
        cases.figures("idle", "wall"),
        screen_volts=410.0,
        bias=-30.0,
        anode_current=0.9 * drawn,
        screen_current=0.1 * drawn,
    )
    finding = judged(rule, Case(cases.supply(), {run.name: run}), "bias")
    assert finding.figure is not None
    assert constant * (410.0 / mu - finding.figure) ** 1.5 == pytest.approx(0.038)


def test_a_shifted_law_is_recognised_by_the_current_at_another_mains_voltage() -> None:
    """Current of a law that passes 4 V below the sheet's: it is the simulated law that counts."""
    valve = ratings.load_valve("EL34")
    assert valve is not None
    assert valve.mu is not None
    mu, constant = valve.mu.value, 0.002

    def amps(screen: float, bias: float) -> float:
        return float(constant * (screen / mu + bias + 4.0) ** 1.5)

    def run(level: Level, screen: float, bias: float) -> Figures:
        drawn = amps(screen, bias)
        made = cases.figures("idle", level)
        return with_valves(
            made, screen_volts=screen, bias=bias, anode_current=0.9 * drawn, screen_current=0.1 * drawn
        )

    runs = (run("wall", 420.0, -34.0), run("high", 440.0, -35.6))
    finding = judged(rule, Case(cases.supply(), {one.name: one for one in runs}), "bias")
    assert finding.figure is not None
    assert amps(420.0, -finding.figure) == pytest.approx(0.038)


def test_where_the_pot_was_turned_its_ends_go_with_the_node() -> None:
    made = with_valves(cases.figures("idle", "wall"), bias=-41.0)
    turned = cases.with_node(replace(made, remarks=(rule.RESET,)), "bias", cases.node(-49.5))
    finding = judged(rule, cases.case(turned), "bias")
    assert finding.why == "-41 V wanted for the idle current given; here the pot reaches -33 V to -49.5 V."


def test_the_pot_moves_with_the_bias_supply() -> None:
    finding = judged(rule, idling(bias=-40.7), "bias")
    assert finding.why == "-40.7 V wanted for the idle current given; here the pot reaches -33 V to -49.5 V."


def test_a_pot_that_leaves_the_valves_cold_is_marginal() -> None:
    finding = judged(
        rule, idling(screen_volts=500.0, anode_current=0.010, screen_current=0.001, anode_watts=4.0), "bias"
    )
    assert finding.verdict == "marginal"
    assert finding.why.endswith("; the valves then idle cold, which harms nothing.")


def test_within_a_twentieth_of_an_end_is_marginal() -> None:
    held = cases.case(filter={"bias": {"range": ["-30 V", "-38 V"]}})
    assert judged(rule, held, "bias").verdict == "marginal"


def test_the_anode_rating_holds_the_current_back() -> None:
    """As stated the valves would idle at 27 W; 70 % of 25 W is aimed for instead."""
    finding = judged(rule, idling(anode_watts=27.0), "bias")
    assert "wanted for 70 % of the anode rating" in finding.why
    assert finding.figure is not None
    assert finding.figure > 37.0


def test_without_a_range_it_is_not_checked() -> None:
    finding = judged(rule, cases.case(filter={"bias": {"range": None}}), "bias")
    assert finding.verdict == "not checked"
    assert finding.measure == "bias volts with the pot at each end, valves out (range = [...])"


def test_a_valve_of_unknown_law_is_not_checked_unless_nothing_moved() -> None:
    load = {"output": {"valves": "2 x PT99"}}
    assert judged(rule, cases.case(loads=load), "bias").verdict == "ok"
    moved = with_valves(cases.figures("idle", "wall"), anode_current=0.05)
    assert judged(rule, cases.case(moved, loads=load), "bias").verdict == "not checked"


def test_cathode_bias_has_no_pot() -> None:
    made = cases.case(loads={"output": {"bias": "cathode", "cathode_resistor": "470 ohm 10 W"}})
    assert list(rule.judge(made, default_limits())) == []
    assert every(rule, made, "bias") == []


def test_without_screens_of_their_own_the_anodes_figure_holds_their_current() -> None:
    """30 mA and 8 mA were read, 38 mA flow where there is one lead for both: nothing has moved."""
    load = {"output": {"screens": None, "idle": {"anode": "30 mA", "screen": "8 mA"}}}
    run = with_valves(cases.figures("idle", "wall"), anode_current=0.038, screen_current=0.0)
    finding = judged(rule, cases.case(run, loads=load), "bias")
    assert (finding.verdict, finding.figure) == ("ok", 37.0)
