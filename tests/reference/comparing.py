"""A described supply, run by psucheck, beside what the reference says of it."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

import numpy as np

from psucheck.circuit.condition import Condition
from psucheck.figures.model import Figures, NodeFigures, RectifierFigures
from psucheck.supply.changes import changed
from psucheck.supply.fill import fill
from psucheck.supply.filled import FilledSupply
from psucheck.supply.reader import parse_description
from tests.accuracy import Accuracy
from tests.engine_runs import described, figures_of
from tests.reference.laws import silicon_amps
from tests.reference.shooting import Array, Cycle
from tests.tolerances import within

MAINS = 230.0
HERTZ = 50.0
HEAD = """
title = "Reference"
[mains]
voltage = "230 V"
frequency = "50 Hz"
impedance = "0 ohm"
[transformer]
primary = "230 V, {primary}"
core = "ideal"
"""
DIODE = 'device = { kind = "silicon", drop = "1 V at 1 A", reverse_voltage = "1000 V" }'
LEAKAGE = 0.002
"""Leakage that psucheck takes by default: I = 0.002 C U, a resistance of 1/(0.002 C)."""


def supply(text: str, changes: Mapping[str, object] | None = None, *, primary: str = "0 ohm") -> FilledSupply:
    """A supply from the part of its description that is its own; a proposal, if there are ``changes``."""
    found = described(HEAD.format(primary=primary) + text)
    if not changes:
        return found
    description = parse_description(HEAD.format(primary=primary) + text, "test")
    proposed = changed(description, changes, beside=True).proposed
    assert proposed is not None
    return fill(proposed, loads_of=found)


def idle(filled: FilledSupply) -> Figures:
    """Its figures at idle, from the mains crest on."""
    return figures_of(filled, Condition("idle", "nominal", MAINS))[0]


def crest(volts: float, t: float) -> float:
    """Off-load voltage of a winding of ``volts`` [V RMS] at time t, starting at the crest [V]."""
    return math.sqrt(2) * volts * math.cos(2 * math.pi * HERTZ * t)


def diode(filled: FilledSupply, name: str, ohms: float, in_series: int = 1) -> Callable[[float], float]:
    """Current [A] of the arm of a rectifier over the volts across it, ``ohms`` and ``in_series`` of it."""
    device = filled.devices[name]
    emission, own = device.emission * in_series, device.series_ohms * in_series
    return lambda volts: silicon_amps(volts, ohms + own, device.saturation_amps, emission)


SOURCE = "independent integration with scipy"
TOGETHER = "these circuits"
Rows = tuple[Accuracy, str]
"""For docs/accuracy.md: what records, and the case."""


def record(
    rows: Rows, quantity: str, expected: float, value: float, unit: str, tolerance: str, group: str = ""
) -> None:
    """Record a row of docs/accuracy.md, asserting it."""
    accuracy, case = rows
    accuracy(SOURCE, case, quantity, expected, value, unit, tolerance, "computed", group=group)


def check_node(
    figures: NodeFigures, cycle: Cycle, volts: Array, quantity: str = "dc", rows: Rows | None = None
) -> None:
    """Compare a node's DC, ripple and extremes; ``rows`` records the first two, the ripple among
    that of all circuits.
    """
    dc = cycle.mean(volts)
    if rows is not None:
        record(rows, "DC", dc, figures.dc, "V", quantity)
        record(rows, "ripple p-p", float(np.ptp(volts)), figures.ripple_pp, "V", "ripple", TOGETHER)
    assert figures.dc == within(quantity, dc)
    assert figures.ripple_pp == within("ripple", float(np.ptp(volts)))
    assert figures.ripple_rms == within("ripple", cycle.rms(volts - dc))
    assert figures.min == within(quantity, float(volts.min()))
    assert figures.max == within(quantity, float(volts.max()))


def check_arm(figures: RectifierFigures, cycle: Cycle, amps: Array, rows: Rows | None = None) -> None:
    """Compare the current of a rectifier's arm; ``rows`` records its RMS and peak, among those of
    all circuits.
    """
    if rows is not None:
        record(rows, "RMS of an arm", cycle.rms(amps), figures.arm_rms_current, "A", "rms-current", TOGETHER)
        record(rows, "peak of an arm", float(amps.max()), figures.peak_current, "A", "peak-current", TOGETHER)
    assert figures.arm_mean_current == within("mean-current", cycle.mean(amps))
    assert figures.arm_rms_current == within("rms-current", cycle.rms(amps))
    assert figures.peak_current == within("peak-current", float(amps.max()))
