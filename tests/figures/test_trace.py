"""Numbers made of waveforms, on waveforms whose answer is known."""

from __future__ import annotations

import math

import numpy as np
import pytest

from psucheck.engine.waveforms import Waveforms, mean, rms
from psucheck.figures.trace import HARMONICS, WINDOWS, i2t, spectrum, window_rms
from tests.tolerances import within

PERIOD = 0.02


def _uneven(count: int, seconds: float, seed: int = 1) -> np.ndarray:
    """Times from 0 to ``seconds``, unevenly spaced."""
    inner = np.sort(np.random.default_rng(seed).uniform(0.0, seconds, count))
    return np.concatenate(([0.0], inner, [seconds]))


def test_mean_and_rms_of_a_ramp_are_exact() -> None:
    time = _uneven(7, 2.0)
    assert mean(time, 3 * time) == pytest.approx(3.0, rel=1e-12)
    assert rms(time, 3 * time) == pytest.approx(6 / math.sqrt(3), rel=1e-12)


def test_spectrum_of_a_known_sum() -> None:
    time = _uneven(4000, PERIOD)
    angle = 2 * np.pi * time / PERIOD
    values = 5.0 + 2.0 * np.sin(angle + 0.3) + 0.5 * np.cos(2 * angle) + 0.1 * np.sin(7 * angle)
    found = dict(spectrum(time, values, 50.0))
    assert len(found) == HARMONICS
    for order, amplitude in ((1, 2.0), (2, 0.5), (7, 0.1)):
        assert found[50.0 * order] == within("sampling", amplitude / math.sqrt(2))
    assert found[150.0] == pytest.approx(0.0, abs=1e-4)


@pytest.mark.parametrize(
    ("order", "share"), [(2, 4 / (3 * math.pi)), (4, 4 / (15 * math.pi)), (6, 4 / (35 * math.pi))]
)
def test_spectrum_of_a_rectified_sine(order: int, share: float) -> None:
    """|sin| has amplitudes 4/(3 pi), 4/(15 pi), 4/(35 pi) at twice, four and six times the mains
    (mathematics).
    """
    time = np.linspace(0.0, PERIOD, 2001)
    found = dict(spectrum(time, np.abs(np.sin(2 * np.pi * time / PERIOD)), 50.0))
    assert found[50.0 * order] == within("sampling", share / math.sqrt(2))


def test_i2t_of_the_fuse_makers_pulse_shapes() -> None:
    """Square ip^2 t, half sine 1/2, triangle 1/3, exponential 1/2 ip^2 tau (Littelfuse pulse table, read)."""
    time = np.linspace(0.0, 1.0, 20001)
    assert i2t(time, np.full_like(time, 3.0)) == within("sampling", 9.0)
    assert i2t(time, 3.0 * np.sin(np.pi * time)) == within("sampling", 4.5)
    assert i2t(time, 3.0 * (1 - np.abs(2 * time - 1))) == within("sampling", 3.0)
    assert i2t(time, 3.0 * np.exp(-time / 0.05)) == within("sampling", 4.5 * 0.05)


def test_window_rms_of_one_pulse() -> None:
    """10 A for 4 ms, then nothing: a window longer than the pulse dilutes it, a shorter one does not."""
    time = np.concatenate(([0.0], np.linspace(0.1, 0.2, 4001)))
    amps = np.where((time >= 0.110) & (time < 0.114), 10.0, 0.0)
    found = dict(window_rms(time, amps, 50.0))
    assert tuple(found) == WINDOWS
    for window in (1e-3, 2e-3):
        assert found[window] == within("sampling", 10.0)
    for window in (5e-3, 10e-3, 50e-3):
        assert found[window] == within("sampling", 10.0 * math.sqrt(4e-3 / window))
    # Beyond the run the last cycle, in which nothing flows, goes on.
    assert found[60.0] == within("sampling", 10.0 * math.sqrt(4e-3 / 60.0))


def test_windows_beyond_the_run_see_its_last_cycle_go_on() -> None:
    time = np.linspace(0.0, 1.0, 20001)
    amps = 2.0 * math.sqrt(2) * np.sin(2 * np.pi * 50 * time)
    amps[time < 0.02] *= 5
    found = dict(window_rms(time, amps, 50.0))
    assert found[20e-3] == within("sampling", 10.0)
    # One cycle of 100 A^2 and 59.98 s of 4 A^2.
    assert found[60.0] == within("sampling", math.sqrt((100 * 0.02 + 4 * 59.98) / 60))


def test_a_window_of_waveforms_has_its_edges() -> None:
    waves = Waveforms(np.array([0.0, 1.0, 3.0]), {"n1": np.array([0.0, 10.0, 30.0])})
    part = waves.window(0.5, 2.0)
    assert part.time == pytest.approx([0.5, 1.0, 2.0])
    assert part.node("n1") == pytest.approx([5.0, 10.0, 20.0])
    assert part.between("n1", "0") == pytest.approx(part.node("n1"))
