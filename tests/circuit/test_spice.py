"""Networks as netlists: what is refused, and what each element does when it runs."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
import pytest

from psucheck.circuit.deck import DeckError, check_deck, options_line
from psucheck.circuit.network import (
    GROUND,
    Capacitor,
    Choke,
    Dc,
    Diode,
    Element,
    Factor,
    Law,
    Mains,
    Network,
    Resistor,
    Section,
    ValveDiode,
)
from psucheck.circuit.spice import write_deck
from tests.engine_runs import Bench, steady, transient
from tests.tolerances import within


@pytest.mark.parametrize(
    "line",
    [
        ".control",
        ".endc",
        "shell touch marker",
        ".include other.cir",
        ".lib other.lib",
        "xsub a b c",
        "*# shell touch marker",
        "*ng_script",
        "Rr1 n1 0 10\nshell touch marker",
        "Rr1 n1 0 10\r.control",
        "Rr1 n1 0 10\x00",
        "Rr1 n1 0 10 µ",
        ".title x\n.control",
        ".title $(touch marker)",
        ".model d1 NPN (BF=1)",
        ".param x=1",
        ".exec",
        "",
        "Aa1 n1 n2 model",
    ],
)
def test_a_line_of_no_known_form_is_refused(line: str) -> None:
    with pytest.raises(DeckError, match="refused"):
        check_deck(["Rr1 n1 0 10.0", line])


def test_what_psucheck_writes_passes() -> None:
    check_deck(
        [".title psucheck", "* a comment", "Rr1 n1 0 10.0", options_line(), ".tran 1e-05 0.02 uic", ".end"]
    )


def _every_element() -> Iterator[Element]:
    yield Mains("g1", "n1", GROUND, "mains", 325.0, 50.0, 30.0)
    yield Resistor("r1", "n1", "core", "primary", 10.0)
    yield Section("s1", "n2", GROUND, "winding", 1.5)
    yield Diode("d1", "n2", "n3", "silicon", 1e-9, 1.8, 0.04)
    yield ValveDiode("d2", "n2", "n3", "valve", 1e-3)
    yield Capacitor("c1", "n3", GROUND, "reservoir", 50e-6, 400.0)
    yield Choke("l1", "n3", "n4", "choke", 10.0, 0.36)
    yield Law("b1", "n4", GROUND, "load", 0.1, (Factor(((0.1, "n4"), (-1.0, "n5")), 2.0, 40.0, 1.5),))
    yield Resistor("r2", "n4", GROUND, "bleeder", 220e3)
    yield Dc("v1", "n5", GROUND, "bias", -11.0)
    yield Resistor("r3", "n5", GROUND, "grid leak", 220e3)


def test_every_line_has_a_comment_and_every_current_but_a_resistors_a_vector() -> None:
    network = Network("all", 50.0, list(_every_element()))
    deck = write_deck(network)
    assert len(deck.says) == len(deck.lines)
    assert all(deck.says)
    assert deck.currents.keys() == {e.name for e in network.elements if not isinstance(e, Resistor)}
    assert [state.element for state in deck.states] == ["c1", "l1"]
    assert all(line.isascii() for line in deck.lines)


@pytest.mark.parametrize("ohms", [math.nan, math.inf, -math.inf])
def test_a_value_that_is_no_number_never_reaches_a_netlist(ohms: float) -> None:
    with pytest.raises(DeckError, match="r1: ohms"):
        write_deck(Network("bad", 50.0, [Resistor("r1", "n1", GROUND, "bad", ohms)]))


def test_numbers_of_numpy_are_written_as_plain_ones() -> None:
    factor = Factor(((np.float64(1.0), "n1"),), np.float64(0.5), np.float64(40.0), np.float64(1.5))
    elements: list[Element] = [
        Law("b1", "n1", GROUND, "load", np.float64(0.1), (factor,)),
        ValveDiode("d1", "n1", GROUND, "valve", np.float64(1e-3)),
        Choke("l1", "n1", GROUND, "choke", np.float64(10.0), np.float64(0.3)),
        Mains("g1", "n1", GROUND, "mains", np.float64(325.0), np.float64(50.0), np.float64(90.0)),
        Resistor("r1", "n1", GROUND, "load", np.float64(10.0)),
    ]
    assert "np." not in " ".join(write_deck(Network("numpy", 50.0, elements)).lines)


# --- each element as it runs ------------------------------------------------------------------------------


def _reverse_and_forward() -> tuple[float, float]:
    """Current of a valve with 100 V backwards, and with 20 V forwards [A]."""
    amps = []
    for volts in (-100.0, 20.0):
        bench = Bench(50.0)
        bench.add(Dc, "v", "source", GROUND, volts=volts)
        arm = bench.valve("source", "out", 1e-3)
        bench.resistor("out", GROUND, 1e-3)
        bench.capacitor("aside", GROUND, 1e-6, 1.0)
        bench.resistor("aside", GROUND, 1e3)
        amps.append(float(transient(bench.network, 1e-3, start=[1.0]).amps(arm)[-1]))
    return amps[0], amps[1]


def test_the_three_halves_law_passes_nothing_backwards() -> None:
    """x^1.5 of a negative x is |x|^1.5 in ngspice: 1 A backwards at 100 V, were it not held at nought."""
    backwards, forwards = _reverse_and_forward()
    assert abs(backwards) < 1e-6
    assert forwards == within("closed-form", 1e-3 * 20**1.5)


def test_a_choke_saturates_by_its_flux() -> None:
    """10 V on 1 H: 10 A/s up to the knee at 0.1 A, twenty times that beyond."""
    bench = Bench(50.0)
    bench.add(Dc, "v", "source", GROUND, volts=10.0)
    choke = bench.add(Choke, "l", "source", "out", henries=1.0, knee_amps=0.1, beyond=20.0)
    bench.resistor("out", GROUND, 1e-3)
    solved = transient(bench.network, 20e-3, max_step=20e-6)
    amps = solved.amps(choke)
    assert np.interp(5e-3, solved.time, amps) == within("closed-form", 0.05)
    assert np.interp(10e-3, solved.time, amps) == within("closed-form-limit", 0.1)
    assert np.interp(20e-3, solved.time, amps) == within("closed-form", 0.1 + 20 * 10e-3 * 10.0)


def test_a_saturating_choke_is_odd() -> None:
    bench = Bench(50.0)
    bench.add(Dc, "v", "source", GROUND, volts=-10.0)
    choke = bench.add(Choke, "l", "source", "out", henries=1.0, knee_amps=0.1, beyond=20.0)
    bench.resistor("out", GROUND, 1e-3)
    solved = transient(bench.network, 20e-3, max_step=20e-6)
    assert solved.amps(choke)[-1] == within("closed-form", -2.1)


@pytest.mark.parametrize("volts", [1.0, 0.7])
def test_a_diode_follows_its_equation(volts: float) -> None:
    bench = Bench(50.0)
    bench.add(Dc, "v", "source", GROUND, volts=volts)
    arm = bench.add(Diode, "d", "source", "out", saturation_amps=1e-9, emission=1.8, series_ohms=0.05)
    bench.resistor("out", GROUND, 1e-6)
    bench.capacitor("aside", GROUND, 1e-6, 1.0)
    bench.resistor("aside", GROUND, 1e3)
    amps = float(transient(bench.network, 1e-3, start=[1.0]).amps(arm)[-1])
    thermal = 8.617333262e-5 * 300.15
    assert 1.8 * thermal * math.log1p(amps / 1e-9) + 0.05 * amps == pytest.approx(volts, rel=1e-3)


@pytest.mark.parametrize(("grid", "share"), [(-10.0, 1.0), (-15.0, 0.5**1.5), (-25.0, 0.0)])
def test_a_law_is_a_product_of_factors_that_cut_off(grid: float, share: float) -> None:
    """0.1 A x ((200/10 + Vg)/10)^1.5, nothing once the sum is negative."""
    bench = Bench(50.0)
    bench.add(Dc, "v", "grid", GROUND, volts=grid)
    bench.add(Dc, "v", "rail", GROUND, volts=200.0)
    bench.resistor("grid", GROUND, 1e6)
    law = bench.add(
        Law, "b", "rail", GROUND, amps=0.1, factors=(Factor(((0.1, "rail"), (1.0, "grid")), 0.0, 10.0, 1.5),)
    )
    bench.capacitor("aside", GROUND, 1e-6, 1.0)
    bench.resistor("aside", GROUND, 1e3)
    amps = float(transient(bench.network, 1e-3, start=[1.0]).amps(law)[-1])
    assert amps == pytest.approx(0.1 * share, rel=1e-6, abs=1e-9)


def test_the_mains_start_at_their_phase() -> None:
    for degrees in (0.0, 30.0, 90.0, 200.0):
        bench = Bench(50.0, 100.0, degrees)
        bench.resistor("core", GROUND, 1e3)
        bench.capacitor("aside", GROUND, 1e-6, 1.0)
        bench.resistor("aside", GROUND, 1e3)
        solved = transient(bench.network, 5e-3, start=[1.0])
        expected = 100 * math.sqrt(2) * math.sin(math.radians(degrees + 90))
        assert solved.volts("core")[-1] == pytest.approx(expected, abs=0.01)


def test_the_ideal_transformer_reflects_every_windings_current() -> None:
    """Two windings loaded: the source carries the sum of ratio times current, in the opposite sense."""
    bench = Bench(50.0, 200.0)
    sections = [bench.winding("a", GROUND, 400.0, 100.0), bench.winding("b", GROUND, -20.0, 1.0)]
    bench.resistor("a", GROUND, 3900.0)
    bench.resistor("b", GROUND, 19.0)
    bench.capacitor("aside", GROUND, 1e-6, 1.0)
    bench.resistor("aside", GROUND, 1e3)
    solved = transient(bench.network, 20e-3, start=[1.0])
    assert solved.rms(solved.volts("a")) == within("closed-form", 390.0)
    assert solved.rms(solved.volts("b")) == within("closed-form", 19.0)
    reflected = -(2.0 * solved.amps(sections[0]) - 0.1 * solved.amps(sections[1]))
    assert solved.amps("g1") == pytest.approx(-reflected, abs=1e-6)
    assert solved.rms(solved.amps("g1")) == within("closed-form", 2.0 * 0.1 + 0.1 * 1.0)


def test_a_bridge_runs_at_any_size() -> None:
    """The winding of a bridge floats while all arms block; with psucheck's own diodes that must not stop a
    run.
    """
    from psucheck.supply.fill_rectifiers import silicon

    saturation, emission, series = silicon(1.0, 1.0)
    for volts, ohms, load, farads in (
        (467.0, 1.8, 13.9e3, 53e-6),
        (390.0, 0.43, 1e3, 300e-6),
        (200.0, 250.0, 230e3, 12e-6),
    ):
        bench = Bench(50.0, volts)
        output = bench.rail("out")
        bench.winding("a", "b", volts, ohms)
        for end in ("a", "b"):
            bench.resistor(end, GROUND, 1e9)
            for anode, cathode in ((end, output), (GROUND, end)):
                bench.add(
                    Diode,
                    "d",
                    anode,
                    cathode,
                    saturation_amps=saturation,
                    emission=emission,
                    series_ohms=series,
                )
        bench.capacitor(output, GROUND, farads, 1.3 * volts)
        bench.resistor(output, GROUND, load)
        assert 1.0 * volts < steady(bench.network).dc(output) < math.sqrt(2) * volts
