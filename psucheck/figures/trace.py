"""Voltages and currents of a network's elements in a run, and the numbers that are made of them."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from psucheck.circuit.network import Element, Network, Resistor
from psucheck.engine.waveforms import Samples, Waveforms, mean, rms

HARMONICS = 40
"""Harmonics of the mains that a ripple current is split into."""
WINDOWS = (1e-3, 2e-3, 5e-3, 10e-3, 20e-3, 50e-3, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 60.0)
"""Lengths of the windows over which a fuse's current is averaged [s]."""


class Trace:
    """A run seen through the network that it is a run of."""

    def __init__(self, network: Network, waveforms: Waveforms, currents: Mapping[str, str]) -> None:
        self.waveforms = waveforms
        self.time = waveforms.time
        self._elements = {element.name: element for element in network.elements}
        self._currents = currents

    def element(self, name: str) -> Element:
        """The element of that name."""
        return self._elements[name]

    def volts(self, name: str) -> Samples:
        """Voltage over an element, plus to minus [V]."""
        element = self._elements[name]
        return self.waveforms.between(element.plus, element.minus)

    def amps(self, name: str) -> Samples:
        """Current through an element, plus to minus [A]."""
        element = self._elements[name]
        if isinstance(element, Resistor):
            return self.volts(name) / element.ohms
        return self.waveforms.vectors[self._currents[name]]

    def flux(self, name: str) -> Samples:
        """Flux linkage of a choke or core [V s]."""
        return self.waveforms.node(f"{name}x")

    def mean(self, values: Samples) -> float:
        """Time average."""
        return mean(self.time, values)

    def rms(self, values: Samples) -> float:
        """Root of the mean square."""
        return rms(self.time, values)

    def power(self, name: str) -> float:
        """Mean power into an element [W]."""
        element = self._elements[name]
        if isinstance(element, Resistor):
            return self.rms(self.amps(name)) ** 2 * element.ohms
        return self.mean(self.volts(name) * self.amps(name))


def spectrum(time: Samples, values: Samples, hertz: float) -> tuple[tuple[float, float], ...]:
    """RMS of the harmonics of ``hertz`` in one cycle: pairs (Hz, RMS), the mean left out.

    The Fourier integral over the uneven samples, resampled evenly first.
    """
    count = 1024
    even = np.linspace(time[0], time[-1], count, endpoint=False)
    amplitudes = np.abs(np.fft.rfft(np.interp(even, time, values))) * np.sqrt(2) / count
    return tuple((hertz * k, float(amplitudes[k])) for k in range(1, HARMONICS + 1))


def window_rms(time: Samples, values: Samples, hertz: float) -> tuple[tuple[float, float], ...]:
    """Highest RMS over any window of each length in ``WINDOWS``: pairs (s, RMS).

    Beyond the run's end its last mains cycle is taken to go on.
    """
    period = 1.0 / hertz
    squares = np.diff(time) * (values[:-1] ** 2 + values[:-1] * values[1:] + values[1:] ** 2) / 3
    charge = np.concatenate(([0.0], np.cumsum(squares)))
    tail = (charge[-1] - float(np.interp(time[-1] - period, time, charge))) / period
    pairs = []
    for window in WINDOWS:
        ends = time + window
        reached = np.interp(np.minimum(ends, time[-1]), time, charge)
        beyond = np.maximum(ends - time[-1], 0.0) * tail
        pairs.append((window, float(np.sqrt(((reached + beyond - charge) / window).max()))))
    return tuple(pairs)


def i2t(time: Samples, values: Samples) -> float:
    """Integral of the square [A^2 s]."""
    return rms(time, values) ** 2 * float(time[-1] - time[0])
