"""Waveforms of one run, sampled at the simulator's own, uneven times."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Samples = NDArray[np.float64]


@dataclass(frozen=True)
class Waveforms:
    """Times [s] and vectors by name: node voltages [V] under the node's name, currents [A] under ``v...``."""

    time: Samples
    vectors: Mapping[str, Samples]

    def node(self, name: str) -> Samples:
        """Voltage of a node against the chassis [V]."""
        return np.zeros_like(self.time) if name == "0" else self.vectors[name]

    def between(self, plus: str, minus: str) -> Samples:
        """Voltage from ``plus`` to ``minus`` [V]."""
        return self.node(plus) - self.node(minus)

    def window(self, start: float, end: float) -> Waveforms:
        """The part from ``start`` to ``end`` [s], the edges interpolated."""
        inside = (self.time > start) & (self.time < end)
        time = np.concatenate(([start], self.time[inside], [end]))
        return Waveforms(time, {name: np.interp(time, self.time, v) for name, v in self.vectors.items()})


def mean(time: Samples, values: Samples) -> float:
    """Time average by the trapezoidal rule."""
    return float(np.trapezoid(values, time) / (time[-1] - time[0]))


def rms(time: Samples, values: Samples) -> float:
    """Root of the mean square; the square of a piecewise-linear function integrated exactly."""
    a, b = values[:-1], values[1:]
    return float(np.sqrt(np.sum(np.diff(time) * (a * a + a * b + b * b) / 3) / (time[-1] - time[0])))
