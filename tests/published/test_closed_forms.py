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
from tests.accuracy import Accuracy
from tests.engine_runs import Bench, Solved, steady, transient

PEAK = math.sqrt(2)
MATHEMATICS = "mathematics (formulae of the handbooks)"


def _record(
    accuracy: Accuracy,
    case: str,
    quantity: str,
    expected: float,
    value: float,
    unit: str,
    tolerance: str,
) -> None:
    accuracy(MATHEMATICS, case, quantity, expected, value, unit, tolerance, "computed")


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
def test_choke_input_average(hertz: float, accuracy: Accuracy) -> None:
    """V = (2 sqrt2 / pi) Vrms - I R, with the choke's copper."""
    solved, output, choke, _ = _choke_input(hertz, 20.0, 50e-6, 3000.0, choke_ohms=200.0)
    amps = solved.mean(solved.amps(choke))
    _record(
        accuracy, f"choke input, {hertz:g} Hz, 300 V, 20 H 200 ohm", "DC = (2 sqrt2/pi) Vrms - I R",
        2 * PEAK / math.pi * 300.0 - 200.0 * amps, solved.dc(output), "V", "closed-form",
    )  # fmt: skip


def test_choke_input_winding_currents(accuracy: Accuracy) -> None:
    """With a large choke each half carries Idc/sqrt2 RMS, so Idc over a half's RMS is 1.414 and never
    more.
    """
    solved, _, choke, sections = _choke_input(50.0, 100.0, 50e-6, 3000.0)
    dc = solved.mean(solved.amps(choke))
    _record(
        accuracy, "choke input, 100 H", "RMS of a half winding over Idc = 1/sqrt2", 1 / math.sqrt(2),
        solved.rms(solved.amps(sections[0])) / dc, "", "closed-form-limit",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("hertz", "henries", "farads"), [(50.0, 10.0, 20e-6), (60.0, 10.0, 20e-6), (50.0, 20.0, 50e-6)]
)
def test_choke_input_ripple(hertz: float, henries: float, farads: float, accuracy: Accuracy) -> None:
    """Ripple RMS over DC of one L section: (sqrt2/3) / ((2 w)^2 L C - 1), the load's share neglected."""
    solved, output, _, _ = _choke_input(hertz, henries, farads, 4000.0)
    omega = 2 * math.pi * 2 * hertz
    expected = math.sqrt(2) / 3 / (omega**2 * henries * farads - 1)
    ripple = solved.harmonic(solved.volts(output), 2) / math.sqrt(2)
    _record(
        accuracy, f"choke input, {hertz:g} Hz, {henries:g} H, {farads * 1e6:g} uF",
        "ripple RMS at 2 f over DC = (sqrt2/3)/((2w)^2 LC - 1)", 100 * expected,
        100 * ripple / solved.dc(output), "%", "closed-form-limit",
    )  # fmt: skip


@pytest.mark.parametrize(("hertz", "ohms_per_henry"), [(50.0, 950.0), (60.0, 1140.0)])
def test_critical_inductance(hertz: float, ohms_per_henry: float, accuracy: Accuracy) -> None:
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
    _record(
        accuracy, f"choke input, {hertz:g} Hz", "border of continuous current, R/L", ohms_per_henry,
        load_ohms / math.sqrt(low * high), "ohm/H", "border",
    )  # fmt: skip


@pytest.mark.parametrize("hertz", [50.0, 60.0])
def test_sawtooth_bounds_the_ripple(hertz: float, accuracy: Accuracy) -> None:
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
    case, note = f"stiff capacitor input, {hertz:g} Hz, 0.1 A, 200 uF", "an upper bound, nearly reached"
    for quantity, most, value in (
        ("ripple p-p at most I/(2 f C)", bound, float(np.ptp(volts))),
        ("ripple RMS at most I/(4 sqrt3 f C)", bound / math.sqrt(12), solved.ac_rms(volts)),
    ):
        accuracy(MATHEMATICS, case, quantity, (0.85 * most, most), value, "V", None, "computed", note)
    # The harmonics of narrow pulses are sqrt2 Idc RMS each: the bound of the reservoir's own ripple.
    reactance = 1 / (2 * math.pi * 2 * hertz * farads)
    assert solved.harmonic(volts, 2) / math.sqrt(2) < math.sqrt(2) * amps * reactance


@pytest.mark.parametrize("order", [2, 4])
@pytest.mark.parametrize(
    ("henries", "ohms", "farads"), [(0.0, 1000.0, 32e-6), (0.0, 10e3, 16e-6), (10.0, 110.0, 50e-6)]
)
def test_section_attenuation(
    henries: float, ohms: float, farads: float, order: int, accuracy: Accuracy
) -> None:
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
    _record(
        accuracy, f"section of {henries:g} H, {ohms:g} ohm, {farads * 1e6:g} uF at {50 * order} Hz",
        "attenuation = |1 - w^2 LC + jw RC|", 1 / expected, 1 / passed, "", "harmonic",
    )  # fmt: skip


def test_discharge_of_one_capacitor(accuracy: Accuracy) -> None:
    """t = R C ln(V0/V): 100 uF through 220 kohm from 450 V to 50 V in 48.34 s."""
    bench = Bench(50.0)
    bench.capacitor("out", GROUND, 100e-6, 450.0)
    bench.resistor("out", GROUND, 220e3)
    decay = run_down(bench.network, np.array([450.0]))
    seconds = decay.seconds_to("out", 50.0, 1e4)
    assert seconds is not None
    _record(
        accuracy, "100 uF through 220k", "450 V to 50 V, R C ln 9", 220e3 * 100e-6 * math.log(9), seconds,
        "s", "decay",
    )  # fmt: skip
    assert decay.seconds_to("out", 50.0, 1e4) == pytest.approx(48.33894, rel=1e-6)
    assert decay.seconds_to("out", 500.0, 1e4) == 0.0
    assert decay.seconds_to("out", 50.0, 40.0) is None


def test_discharge_of_two_capacitors_behind_a_dropper(accuracy: Accuracy) -> None:
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
    _record(
        accuracy, "two 50 uF joined by 10k, bled by 100k", "what is left a second later, late",
        math.exp(slow), late[1] / late[0], "", "decay",
    )  # fmt: skip
    start = matrix @ np.array([450.0, 400.0])
    rise = (decay.volts("second", np.array([1e-6]))[0] - 400.0) / 1e-6
    assert rise == pytest.approx(start[1], rel=1e-4)


def test_series_capacitors_share_by_resistance_when_lasting_and_by_capacitance_at_switch_on(
    accuracy: Accuracy,
) -> None:
    bench = Bench(50.0, 300.0)
    output, joint = bench.rail("out"), "joint"
    bench.bridge(output, 300.0, 20.0)
    upper = bench.capacitor(output, joint, 80e-6, 200.0)
    lower = bench.capacitor(joint, GROUND, 120e-6, 200.0)
    bench.resistor(output, joint, 10e3)
    bench.resistor(joint, GROUND, 20e3)
    lasting = steady(bench.network)
    shares = lasting.mean(lasting.trace.volts(upper)) / lasting.mean(lasting.trace.volts(lower))
    case = "80 uF 10k over 120 uF 20k"
    _record(accuracy, case, "lasting share, by resistance", 0.5, shares, "", "closed-form")

    start = transient(bench.network, 5e-3)
    at_crest = start.trace.volts(upper)[-1] / start.trace.volts(lower)[-1]
    # The resistors have had 5 ms against their time constant of a second.
    _record(accuracy, case, "share at switch-on, by capacitance", 120 / 80, at_crest, "", "closed-form-limit")


def test_charging_a_capacitor_loses_as_much_as_it_stores(accuracy: Accuracy) -> None:
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
    squared = i2t(solved.time, amps)
    case = "100 uF charged to 450 V through 100 ohm"
    _record(accuracy, case, "energy stored, C V^2/2", 10.125, stored, "J", "energy")
    _record(accuracy, case, "I2t, V^2 C/(2 R)", volts**2 * farads / (2 * ohms), squared, "A2s", "i2t")
    _record(accuracy, case, "heat, C V^2/2", stored, ohms * squared, "J", "i2t")


@pytest.mark.parametrize("hertz", [50.0, 60.0])
def test_rectified_sine(hertz: float, accuracy: Accuracy) -> None:
    """A bridge into a resistance: mean 2/pi, amplitudes 4/(3 pi), 4/(15 pi), 4/(35 pi) of the peak."""
    bench = Bench(hertz, 300.0)
    bench.bridge(bench.rail("out"), 300.0, 1e-3)
    bench.resistor("out", GROUND, 3000.0)
    # No capacitor settles a state here, so the core's own source is all there is.
    bench.capacitor("out", GROUND, 1e-12, 270.0)
    solved = steady(bench.network)
    volts, peak = solved.volts("out"), 300.0 * PEAK
    case = f"bridge into a resistance, {hertz:g} Hz"
    _record(accuracy, case, "mean over peak, 2/pi", 2 / math.pi, solved.mean(volts) / peak, "", "closed-form")
    for order, expected in ((2, 4 / (3 * math.pi)), (4, 4 / (15 * math.pi)), (6, 4 / (35 * math.pi))):
        found = solved.harmonic(volts, order) / peak
        _record(accuracy, case, f"amplitude at {order} f over peak", expected, found, "", "closed-form-limit")
    whole = math.sqrt(math.pi**2 / 8 - 1)
    found = solved.ac_rms(volts) / solved.mean(volts)
    _record(accuracy, case, "ripple RMS over DC, sqrt(pi^2/8 - 1)", whole, found, "", "closed-form")
