"""The search for the periodic steady state: where it starts must not matter, and only a true one is
accepted.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq

from psucheck.circuit.network import GROUND, Diode, Network, Resistor
from psucheck.circuit.spice import write_deck
from psucheck.engine.jobs import SteadyJob, run_chain
from psucheck.engine.periodic import ACCEPT, solve_periodic
from psucheck.engine.simulator import SimulationError, States
from psucheck.supply.fill_rectifiers import silicon
from tests.engine_runs import Bench, steady
from tests.tolerances import within

PEAK = 350.0 * math.sqrt(2)


def _supply(device: str, load_ohms: float | None, volts: float = 350.0) -> Network:
    """A centre-tapped supply with two nodes; without a load only the capacitors' leakage draws."""
    bench = Bench(50.0, volts)
    first, second = bench.rail("first"), bench.rail("second")

    def arm(anode: str, cathode: str) -> str:
        if device == "valve":
            return bench.valve(anode, cathode, 3.21e-3)
        saturation, emission, series = silicon(1.0, 1.0)
        return bench.add(
            Diode, "d", anode, cathode, saturation_amps=saturation, emission=emission, series_ohms=series
        )

    bench.centre_tapped(first, volts, 60.0, arm)
    bench.capacitor(first, GROUND, 50e-6, PEAK)
    bench.resistor(first, GROUND, 10e6)
    bench.resistor(first, second, 10e3)
    bench.capacitor(second, GROUND, 22e-6, PEAK)
    bench.resistor(second, GROUND, 220e3 if load_ohms is None else load_ohms)
    if load_ohms is not None:
        bench.resistor(first, GROUND, load_ohms)
    return bench.network


def _nothing_drawing(device: str) -> Network:
    """The same with leakage alone: any rail above the peak is then nearly a fixed point of the cycle."""
    network = _supply(device, None)
    bled = next(e for e in network.elements if isinstance(e, Resistor) and e.ohms == 220e3)
    network.elements[network.elements.index(bled)] = replace(bled, ohms=20e6)
    return network


@pytest.mark.parametrize("device", ["valve", "silicon"])
@pytest.mark.parametrize("share", [1.005, 1.02, 1.1, 1.3])
def test_nothing_drawing_and_a_start_too_high_comes_down(device: str, share: float) -> None:
    network = _nothing_drawing(device)
    below = steady(network, [0.93 * PEAK, 0.93 * PEAK])
    above = steady(network, [share * PEAK, share * PEAK])
    for node in ("first", "second"):
        assert below.dc(node) < PEAK
        assert above.dc(node) == within("same-solution", below.dc(node))
    if device == "silicon":
        assert below.dc("first") == within("bench-fact", PEAK)


@pytest.mark.parametrize("device", ["valve", "silicon"])
def test_unequal_starts_find_the_same_state(device: str) -> None:
    network = _supply(device, 5e3)
    expected = steady(network, [0.85 * PEAK, 0.6 * PEAK])
    for start in ([0.3 * PEAK, 0.9 * PEAK], [1.2 * PEAK, 0.0], [0.0, 0.0]):
        found = steady(network, start)
        for node in ("first", "second"):
            assert found.dc(node) == within("same-solution", expected.dc(node))


@pytest.mark.parametrize("device", ["valve", "silicon"])
def test_a_carried_search_ends_where_a_fresh_one_does(device: str) -> None:
    """From one mains voltage to another by Broyden's updates, for fewer cycles than a fresh search."""
    before, after = write_deck(_supply(device, 5e3)), write_deck(_supply(device, 5e3, 350.0 * 1.1))
    start = np.array([0.85 * PEAK, 0.6 * PEAK])
    _, carried = run_chain([SteadyJob(before, start), SteadyJob(after, start, carry=True, carry_scale=1.1)])
    (fresh,) = run_chain([SteadyJob(after, start)])
    assert carried.states == pytest.approx(fresh.states, abs=2 * ACCEPT * PEAK)
    assert carried.cycles < fresh.cycles


def test_the_correction_decides_and_not_the_residual() -> None:
    """A map that hardly moves anything: the residual is small everywhere, the fixed point is one."""
    target = np.array([400.0, 50.0])

    def advance(x: States) -> States:
        image: States = target + (x - target) * np.array([1 - 1e-6, 0.5])
        return image

    found = solve_periodic(advance, np.array([560.0, 80.0]), np.array([400.0, 50.0]))
    assert found.states == pytest.approx(target, rel=1e-3)


def test_a_junction_that_charges_what_hardly_anything_drains() -> None:
    """The residual falls by one e-fold a correction: as on a rail of a few volts with nothing on it."""
    fold, leak = 0.01, 1e-5

    def advance(x: States) -> States:
        charged: States = x + fold * np.log1p(np.exp((0.9 - x) / fold)) - leak * x
        return charged

    expected = brentq(lambda v: advance(np.array([v]))[0] - v, 0.5, 1.1)
    for start in (0.3, 0.88, 1.2):
        found = solve_periodic(advance, np.array([start]), np.array([1.0]))
        assert found.states[0] == pytest.approx(expected, abs=1e-3)


def test_a_derivative_from_elsewhere_is_not_trusted_with_nothing_drawing() -> None:
    """One from across the knee of conduction makes what leaks away look settled."""

    def advance(x: States) -> States:
        charged: States = np.where(x < 0.9, x + 0.5 * (0.9 - x), x - 1e-5 * x)
        return charged

    steep = np.array([[0.5]])
    trusted = solve_periodic(advance, np.array([0.95]), np.array([1.0]), steep, trust=True)
    judged = solve_periodic(advance, np.array([0.95]), np.array([1.0]), steep)
    assert trusted.states[0] == pytest.approx(0.95, abs=1e-3)
    assert judged.states[0] == pytest.approx(0.9, abs=1e-3)


def test_a_run_that_fails_is_named() -> None:
    network = _supply("silicon", 5e3)
    deck = write_deck(network)
    lost = replace(deck, lines=(*deck.lines, "Rr99 n98 n99 0"))
    with pytest.raises(SimulationError, match=r"^idle, high mains: "):
        run_chain([SteadyJob(lost, np.array([0.85 * PEAK, 0.6 * PEAK]), what="idle, high mains")])


def test_a_map_without_a_fixed_point_gives_no_figure() -> None:
    with pytest.raises(SimulationError, match="no periodic steady state"):
        solve_periodic(lambda x: x + 1.0 + 0.1 * np.sin(x), np.array([100.0]), np.array([100.0]))


@pytest.mark.parametrize("share_of_critical", [0.98, 1.0, 1.02])
def test_at_the_border_of_continuous_choke_current(share_of_critical: float) -> None:
    """There the map has a kink; what is accepted must still be periodic, which :func:`steady` checks."""
    bench = Bench(50.0, 300.0)
    cathode, output = bench.node(), bench.rail("out")
    bench.centre_tapped(cathode, 300.0, 1e-3, bench.diode)
    choke = bench.choke(cathode, output, share_of_critical * 3000.0 / 950, 1e-3, 0.09)
    bench.capacitor(output, GROUND, 500e-6, 270.0)
    bench.resistor(output, GROUND, 3000.0)
    solved = steady(bench.network)
    assert solved.amps(choke).min() == pytest.approx(0.0, abs=0.04 * solved.dc(output) / 3000.0)


@pytest.mark.parametrize("device", ["valve", "silicon"])
@pytest.mark.parametrize("leaks", [0.2, 1.0, 5.0])
@pytest.mark.parametrize("start", [0.99, 0.999, 1.002])
def test_nothing_drawing_a_neighbours_derivative_finds_the_same(
    device: str, leaks: float, start: float
) -> None:
    neighbour = _nothing_drawing(device)
    network = replace(
        neighbour,
        elements=[
            replace(e, ohms=e.ohms / leaks) if isinstance(e, Resistor) and e.ohms >= 10e6 else e
            for e in neighbour.elements
        ],
    )
    deck = write_deck(network)
    known = steady(neighbour).run
    (fresh,) = run_chain([SteadyJob(deck, known.states, fine=False)])
    assert known.jacobian is not None
    rising = SteadyJob(deck, fresh.states * start, jacobian=known.jacobian, rising=True, fine=False)
    (found,) = run_chain([rising])
    for rail in range(len(fresh.states)):
        if fresh.states[rail] > 1.0:
            assert found.states[rail] == within("same-solution", fresh.states[rail])
