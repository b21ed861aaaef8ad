"""Answers that are known in closed form.

Source: mathematics; the formulae stand in every handbook (Radiotron Designer's Handbook, 4th edition,
chapters 30 and 31, from memory). The border of continuous choke current with all harmonics, R/950 at 50 Hz
and R/1140 at 60 Hz, was computed by numerical integration; with the first harmonic alone it is R/(6 pi f).
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from psucheck.circuit.network import GROUND, Dc
from psucheck.engine.decay import run_down
from psucheck.figures.trace import i2t
from tests.engine_runs import Bench, Solved, steady, transient
from tests.tolerances import within

PEAK = math.sqrt(2)


def _choke_input(
    hertz: float,
    henries: float,
    farads: float,
    load_ohms: float,
    volts: float = 300.0,
    choke_ohms: float = 1e-3,
) -> tuple[Solved, str, str, list[str]]:
    """Centre-tapped choke input from a stiff source: the run, its node, its choke, the winding's halves."""
    bench = Bench(hertz, volts)
    cathode, output = bench.node(), bench.rail("out")
    _, sections = bench.centre_tapped(cathode, volts, 1e-3, bench.diode)
    dc = 2 * PEAK / math.pi * volts
    choke = bench.choke(cathode, output, henries, choke_ohms, dc / load_ohms)
    bench.capacitor(output, GROUND, farads, dc)
    bench.resistor(output, GROUND, load_ohms)
    return steady(bench.network), output, choke, sections


@pytest.mark.parametrize("hertz", [50.0, 60.0])
def test_choke_input_average(hertz: float) -> None:
    """V = (2 sqrt2 / pi) Vrms - I R, with the choke's copper."""
    solved, output, choke, _ = _choke_input(hertz, 20.0, 50e-6, 3000.0, choke_ohms=200.0)
    amps = solved.mean(solved.amps(choke))
    assert solved.dc(output) == within("closed-form", 2 * PEAK / math.pi * 300.0 - 200.0 * amps)


def test_choke_input_winding_currents() -> None:
    """With a large choke each half carries Idc/sqrt2 RMS, so Idc over a half's RMS is 1.414 and never
    more.
    """
    solved, _, choke, sections = _choke_input(50.0, 100.0, 50e-6, 3000.0)
    dc = solved.mean(solved.amps(choke))
    assert solved.rms(solved.amps(sections[0])) == within("closed-form-limit", dc / math.sqrt(2))


@pytest.mark.parametrize(
    ("hertz", "henries", "farads"), [(50.0, 10.0, 20e-6), (60.0, 10.0, 20e-6), (50.0, 20.0, 50e-6)]
)
def test_choke_input_ripple(hertz: float, henries: float, farads: float) -> None:
    """Ripple RMS over DC of one L section: (sqrt2/3) / ((2 w)^2 L C - 1), the load's share neglected."""
    solved, output, _, _ = _choke_input(hertz, henries, farads, 4000.0)
    omega = 2 * math.pi * 2 * hertz
    expected = math.sqrt(2) / 3 / (omega**2 * henries * farads - 1)
    ripple = solved.harmonic(solved.volts(output), 2) / math.sqrt(2)
    assert ripple / solved.dc(output) == within("closed-form-limit", expected)


@pytest.mark.parametrize(("hertz", "ohms_per_henry"), [(50.0, 950.0), (60.0, 1140.0)])
def test_critical_inductance(hertz: float, ohms_per_henry: float) -> None:
    """The choke's current just reaches zero at L = R/950 (50 Hz), R/1140 (60 Hz)."""
    load_ohms = 3000.0

    def continuous(henries: float) -> bool:
        solved, output, choke, _ = _choke_input(hertz, henries, 500e-6, load_ohms)
        return bool(solved.amps(choke).min() > 1e-3 * solved.dc(output) / load_ohms)

    low, high = 0.8 * load_ohms / ohms_per_henry, 1.25 * load_ohms / ohms_per_henry
    assert not continuous(low)
    assert continuous(high)
    while high / low > 1.004:
        middle = math.sqrt(low * high)
        low, high = (low, middle) if continuous(middle) else (middle, high)
    assert load_ohms / math.sqrt(low * high) == within("border", ohms_per_henry)


@pytest.mark.parametrize("hertz", [50.0, 60.0])
def test_sawtooth_bounds_the_ripple(hertz: float) -> None:
    """Peak to peak at most I/(2 f C), RMS at most I/(4 sqrt3 f C); nearly that from a stiff source."""
    bench = Bench(hertz, 300.0)
    output = bench.rail("out")
    amps, farads = 0.1, 200e-6
    bench.centre_tapped(output, 300.0, 0.5, bench.diode)
    bench.capacitor(output, GROUND, farads, 420.0)
    bench.draw(output, amps)
    solved = steady(bench.network)
    volts = solved.volts(output)
    bound = amps / (2 * hertz * farads)
    assert 0.85 * bound < np.ptp(volts) < bound
    assert 0.85 * bound / math.sqrt(12) < solved.ac_rms(volts) < bound / math.sqrt(12)
    # The harmonics of narrow pulses are sqrt2 Idc RMS each: the bound of the reservoir's own ripple.
    reactance = 1 / (2 * math.pi * 2 * hertz * farads)
    assert solved.harmonic(volts, 2) / math.sqrt(2) < math.sqrt(2) * amps * reactance


@pytest.mark.parametrize("order", [2, 4])
@pytest.mark.parametrize(
    ("henries", "ohms", "farads"), [(0.0, 1000.0, 32e-6), (0.0, 10e3, 16e-6), (10.0, 110.0, 50e-6)]
)
def test_section_attenuation(henries: float, ohms: float, farads: float, order: int) -> None:
    """A section passes 1/|1 - w^2 L C + j w R C| of each harmonic to a load of constant current."""
    bench = Bench(50.0, 300.0)
    first, second = bench.rail("first"), bench.rail("second")
    bench.bridge(first, 300.0, 30.0)
    bench.capacitor(first, GROUND, 50e-6, 400.0)
    if henries:
        bench.choke(first, second, henries, ohms, 0.02)
    else:
        bench.resistor(first, second, ohms)
    bench.capacitor(second, GROUND, farads, 400.0 - 0.01 * ohms)
    bench.draw(second, 0.01)
    bench.draw(first, 0.09)
    solved = steady(bench.network)
    omega = 2 * math.pi * 50.0 * order
    expected = 1 / abs(1 - omega**2 * henries * farads + 1j * omega * ohms * farads)
    passed = solved.harmonic(solved.volts(second), order) / solved.harmonic(solved.volts(first), order)
    assert passed == within("harmonic", expected)


def test_discharge_of_one_capacitor() -> None:
    """t = R C ln(V0/V): 100 uF through 220 kohm from 450 V to 50 V in 48.34 s."""
    bench = Bench(50.0)
    bench.capacitor("out", GROUND, 100e-6, 450.0)
    bench.resistor("out", GROUND, 220e3)
    decay = run_down(bench.network, np.array([450.0]))
    assert decay.seconds_to("out", 50.0, 1e4) == within("decay", 220e3 * 100e-6 * math.log(9))
    assert decay.seconds_to("out", 50.0, 1e4) == pytest.approx(48.33894, rel=1e-6)
    assert decay.seconds_to("out", 500.0, 1e4) == 0.0
    assert decay.seconds_to("out", 50.0, 40.0) is None


def test_discharge_of_two_capacitors_behind_a_dropper() -> None:
    """Two equal capacitors joined by R, one bled by Rb: the roots of s^2 + s(1/RbC + 2/RC) + 1/(R Rb C^2)."""
    ohms, bleeder, farads = 10e3, 100e3, 50e-6
    bench = Bench(50.0)
    bench.capacitor("first", GROUND, farads, 450.0)
    bench.resistor("first", "second", ohms)
    bench.capacitor("second", GROUND, farads, 400.0)
    bench.resistor("second", GROUND, bleeder)
    decay = run_down(bench.network, np.array([450.0, 400.0]))
    matrix = np.array([[-1 / ohms, 1 / ohms], [1 / ohms, -1 / ohms - 1 / bleeder]]) / farads
    roots = np.sort(
        np.roots([1, 1 / (bleeder * farads) + 2 / (ohms * farads), 1 / (ohms * bleeder * farads**2)])
    )
    assert np.sort(decay.rates.real) == pytest.approx(roots, rel=1e-6)
    # After the fast mode has died out both fall together by the slow one.
    slow = float(roots[-1])
    late = decay.volts("first", np.array([20.0, 21.0]))
    assert late[1] / late[0] == within("decay", math.exp(slow))
    start = matrix @ np.array([450.0, 400.0])
    rise = (decay.volts("second", np.array([1e-6]))[0] - 400.0) / 1e-6
    assert rise == pytest.approx(start[1], rel=1e-4)


def test_series_capacitors_share_by_resistance_when_lasting_and_by_capacitance_at_switch_on() -> None:
    bench = Bench(50.0, 300.0)
    output, joint = bench.rail("out"), "joint"
    bench.bridge(output, 300.0, 20.0)
    upper = bench.capacitor(output, joint, 80e-6, 200.0)
    lower = bench.capacitor(joint, GROUND, 120e-6, 200.0)
    bench.resistor(output, joint, 10e3)
    bench.resistor(joint, GROUND, 20e3)
    lasting = steady(bench.network)
    shares = lasting.mean(lasting.trace.volts(upper)) / lasting.mean(lasting.trace.volts(lower))
    assert shares == within("closed-form", 0.5)

    start = transient(bench.network, 5e-3)
    at_crest = start.trace.volts(upper)[-1] / start.trace.volts(lower)[-1]
    # The resistors have had 5 ms against their time constant of a second.
    assert at_crest == within("closed-form-limit", 120 / 80)


def test_charging_a_capacitor_loses_as_much_as_it_stores() -> None:
    """Charged from stiff volts through R: heat C V^2/2 whatever R, I2t V^2 C / (2 R), stored 10.125 J at
    450 V.
    """
    volts, farads, ohms = 450.0, 100e-6, 100.0
    bench = Bench(50.0)
    bench.add(Dc, "v", "source", GROUND, volts=volts)
    charging = bench.resistor("source", "out", ohms)
    bench.capacitor(bench.rail("out"), GROUND, farads, volts)
    solved = transient(bench.network, 20 * ohms * farads)
    amps = solved.amps(charging)
    stored = farads * solved.volts("out")[-1] ** 2 / 2
    assert stored == within("energy", 10.125)
    assert i2t(solved.time, amps) == within("i2t", volts**2 * farads / (2 * ohms))
    assert ohms * i2t(solved.time, amps) == within("i2t", stored)
