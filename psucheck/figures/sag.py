"""How far and how fast the rails fall when the output stage is driven, and how they recover."""

from __future__ import annotations

import numpy as np

from psucheck.circuit.condition import BURST
from psucheck.circuit.network import Network
from psucheck.engine.waveforms import Samples
from psucheck.figures.model import Sag
from psucheck.figures.trace import Trace

_DOWN = 1 - np.exp(-1)
_BACK = 0.05


def sags(network: Network, trace: Trace) -> dict[str, Sag]:
    """The sag of every node, from a run with a burst of full output."""
    period = 1.0 / network.hertz
    return {
        name: node_sag(trace.time, np.abs(trace.waveforms.node(node)), period)
        for name, node in network.layout.nodes.items()
    }


def running_mean(time: Samples, values: Samples, period: float, at: Samples) -> Samples:
    """Mean over the period that ends at each time of ``at``."""
    steps = np.diff(time) * (values[:-1] + values[1:]) / 2
    area = np.concatenate(([0.0], np.cumsum(steps)))
    return (np.interp(at, time, area) - np.interp(at - period, time, area)) / period


def node_sag(time: Samples, volts: Samples, period: float) -> Sag:
    """Sag of one node's voltage ``volts`` over ``time``, averaged over ``period`` [s]."""
    start, end = BURST
    at = np.arange(start, time[-1], period / 4)
    mean = running_mean(time, volts, period, at)
    idle = float(mean[0])
    during = at <= end
    lowest = float(mean[during].min())
    depth = idle - lowest
    down = _first(at[during], mean[during] <= idle - _DOWN * depth, start)
    back = _first(at[~during], mean[~during] >= idle - _BACK * depth, end)
    return Sag(idle, lowest, down, back)


def _first(at: Samples, true: np.ndarray, since: float) -> float | None:
    """Seconds from ``since`` to the first time at which something is so."""
    return float(at[np.argmax(true)] - since) if true.any() else None
