"""A run that conserves passes; one that has been tampered with does not."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from psucheck.circuit.network import GROUND
from psucheck.engine.simulator import SimulationError
from psucheck.engine.waveforms import Waveforms
from psucheck.figures.conservation import check_steady, check_transient, steady_balance, transient_balance
from psucheck.figures.trace import Trace
from tests.engine_runs import Bench, Solved, steady, transient


def _bench() -> tuple[Bench, str, str]:
    bench = Bench(50.0, 300.0)
    first, second = bench.rail("first"), bench.rail("second")
    bench.centre_tapped(first, 300.0, 50.0, bench.diode)
    capacitor = bench.capacitor(first, GROUND, 47e-6, 400.0)
    choke = bench.choke(first, second, 5.0, 100.0, 0.1)
    bench.capacitor(second, GROUND, 47e-6, 390.0)
    bench.resistor(second, GROUND, 3900.0)
    return bench, capacitor, choke


def _doctored(solved: Solved, vector: str, values: np.ndarray) -> Trace:
    vectors = {**solved.run.waveforms.vectors, vector: values}
    return Trace(solved.network, Waveforms(solved.time, vectors), solved.run.deck.currents)


def test_a_sound_run_passes() -> None:
    bench, _, _ = _bench()
    solved = steady(bench.network)
    balance = steady_balance(bench.network, solved.trace)
    assert balance.error < 0.005
    assert balance.supplied == pytest.approx(solved.dc("second") ** 2 / 3900.0 / 0.9, rel=0.1)
    course = transient(bench.network, 0.2)
    energy = transient_balance(bench.network, course.trace)
    assert energy.error < 0.01
    assert energy.stored > 0.5 * 47e-6 * 380.0**2


def test_watts_from_nowhere_are_noticed() -> None:
    bench, _, _ = _bench()
    solved = steady(bench.network)
    wall = solved.run.deck.currents["g1"]
    with pytest.raises(SimulationError, match="watts in and watts dissipated"):
        check_steady(bench.network, _doctored(solved, wall, 1.05 * solved.trace.amps("g1")), "doctored")


def test_a_capacitor_that_gains_charge_is_noticed() -> None:
    bench, capacitor, _ = _bench()
    solved = steady(bench.network)
    amps = solved.amps(capacitor)
    vector = solved.run.deck.currents[capacitor]
    with pytest.raises(SimulationError, match=r"charge|watts"):
        check_steady(bench.network, _doctored(solved, vector, amps + 0.05 * solved.rms(amps)), "doctored")


def test_a_choke_that_gains_flux_is_noticed() -> None:
    bench, _, choke = _bench()
    solved = steady(bench.network)
    node = solved.trace.element(choke).minus
    with pytest.raises(SimulationError):
        check_steady(bench.network, _doctored(solved, node, solved.volts(node) - 1.0), "doctored")


def test_a_steady_state_that_is_none_is_noticed() -> None:
    """A cycle from states 3 % low: it charges up, and so takes in more than it gives."""
    bench, _, _ = _bench()
    solved = steady(bench.network)
    start = solved.run.states * np.array([0.97, 1.0, 0.97])
    moving = transient(bench.network, 0.02, max_step=50e-6, start=list(start))
    with pytest.raises(SimulationError):
        check_steady(bench.network, moving.trace, "moving")


def test_energy_from_nowhere_is_noticed() -> None:
    bench, capacitor, _ = _bench()
    course = transient(bench.network, 0.1)
    wall = course.run.deck.currents["g1"]
    with pytest.raises(SimulationError, match="energy"):
        check_transient(bench.network, _doctored(course, wall, 1.1 * course.trace.amps("g1")), "doctored")
    halved = replace(course.network, elements=[
        replace(e, farads=e.farads / 2) if e.name == capacitor else e for e in course.network.elements  # type: ignore[call-arg, attr-defined]
    ])  # fmt: skip
    with pytest.raises(SimulationError, match="energy"):
        check_transient(halved, Trace(halved, course.run.waveforms, course.run.deck.currents), "doctored")
