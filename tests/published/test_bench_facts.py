"""What every technician expects of a supply.

Source: common practice, no source. Whole descriptions, through reading, filling in, network, engine and
figures.
"""

from __future__ import annotations

import math

import pytest

from psucheck.circuit.condition import Condition
from tests.accuracy import Accuracy, Known
from tests.engine_runs import described, figures_of
from tests.tolerances import within

PRACTICE: Known = "common practice, no source"
NOMINAL, TENTH = 230.0, 23.0

SUPPLY = """
title = "A bench supply"
[mains]
voltage = "230 V"
frequency = "50 Hz"
[transformer]
primary = "230 V, 6 ohm"
core = "ideal"
[windings]
ht = "{winding}"
low = "6.6 V off load at 230 V, 0.05 ohm"
[rectifiers.ht]
circuit = "{circuit}"
winding = "ht"
device = "1N4007"
{capacitors}
[filter]
reservoir = "{node}"
[loads.all]
node = "reservoir"
current = "100 mA"
"""

LABEL = """
title = "A label"
[mains]
voltage = "230 V"
frequency = "50 Hz"
impedance = "0 ohm"
[transformer]
primary = "230 V"
core = "ideal"
[windings]
ht = "250 V 100 mA"
low = "6.3 V 2 A"
[rectifiers.ht]
circuit = "bridge"
winding = "ht"
device = "1N4007"
[filter]
reservoir = "50 uF 500 V"
[loads.all]
node = "reservoir"
current = "60 mA"
"""
LOW, CAPACITORS = "150 V off load at 230 V, 15 ohm", 'capacitors = ["100 uF 250 V", "100 uF 500 V"]'
CIRCUITS = {
    "centre-tapped": ("300-0-300 V off load at 230 V, 40 + 42 ohm", "", "50 uF 500 V", 300.0, 1, 1),
    "bridge": ("300 V off load at 230 V, 40 ohm", "", "50 uF 500 V", 300.0, 1, 2),
    "half-wave": ("300 V off load at 230 V, 40 ohm", "", "50 uF 500 V", 300.0, 1, 1),
    "full-wave doubler": (LOW, CAPACITORS, "1k 1 W, 50 uF 500 V", 150.0, 2, 2),
    "cascade doubler": (LOW, CAPACITORS, "1k 1 W, 50 uF 500 V", 150.0, 2, 2),
}
"""Circuit -> winding, its capacitors, first node, volts RMS, times them, diode drops on the way."""


def _text(circuit: str) -> str:
    winding, capacitors, node, *_ = CIRCUITS[circuit]
    return SUPPLY.format(circuit=circuit, winding=winding, capacitors=capacitors, node=node)


@pytest.mark.parametrize("circuit", CIRCUITS)
def test_a_tenth_of_mains(circuit: str, accuracy: Accuracy) -> None:
    """With silicon a tenth of mains gives a tenth of B+ less the diodes' drops, and a tenth on every
    winding.
    """
    drops = CIRCUITS[circuit][5]
    whole, tenth = figures_of(
        described(_text(circuit)),
        Condition("valves out", "nominal", NOMINAL),
        Condition("valves out", "low", TENTH),
    )
    for name in whole.windings:
        accuracy(
            PRACTICE, f"{circuit}, a tenth of mains", f"AC of the winding {name}",
            whole.windings[name].volts / 10, tenth.windings[name].volts, "V", "bench-fact", PRACTICE,
        )  # fmt: skip
    # With nothing drawing a diode passes microamperes: it drops some 0.4 V, not the 0.7 V of a loaded one.
    expected = (whole.nodes["reservoir"].dc + 0.4 * drops) / 10 - 0.4 * drops
    accuracy(
        PRACTICE, f"{circuit}, a tenth of mains", "unloaded B+: a tenth less the drops", expected,
        tenth.nodes["reservoir"].dc, "V", "bench-fact", PRACTICE, f"{drops} of 0.4 V",
    )  # fmt: skip


@pytest.mark.parametrize("circuit", CIRCUITS)
def test_unloaded_rail_is_the_peak_of_the_winding(circuit: str, accuracy: Accuracy) -> None:
    """Unloaded B+ is about 1.4 times the winding's RMS (twice that behind a doubler)."""
    _, _, _, volts, times, _ = CIRCUITS[circuit]
    (figures,) = figures_of(described(_text(circuit)), Condition("valves out", "nominal", NOMINAL))
    ratio = figures.nodes["reservoir"].dc / figures.windings["ht"].volts
    ratio *= 2 if circuit == "centre-tapped" else 1
    accuracy(
        PRACTICE, circuit, "unloaded B+ over the unloaded winding's RMS", math.sqrt(2) * times, ratio, "",
        "bench-fact", PRACTICE, "of one half" if circuit == "centre-tapped" else "",
    )  # fmt: skip
    assert figures.nodes["reservoir"].dc == within("bench-fact", math.sqrt(2) * volts * times)


def test_a_heater_winding_reads_high_without_its_load(accuracy: Accuracy) -> None:
    """A 6.3 V winding reads 10 to 20 per cent high unloaded; of this transformer the label alone is known."""
    (figures,) = figures_of(described(LABEL), Condition("valves out", "nominal", NOMINAL))
    accuracy(
        PRACTICE, "6.3 V winding, label alone", "volts unloaded, 10 to 20 % high", (6.3 * 1.1, 6.3 * 1.2),
        figures.windings["low"].volts, "V", "bench-fact", PRACTICE,
        "psucheck supposes 9.5 % where no copper is given",
    )  # fmt: skip


@pytest.mark.parametrize("circuit", CIRCUITS)
def test_load_pulls_the_rail_down(circuit: str) -> None:
    out, idle = figures_of(
        described(_text(circuit)),
        Condition("valves out", "nominal", NOMINAL),
        Condition("idle", "nominal", NOMINAL),
    )
    assert 0.6 * out.nodes["reservoir"].dc < idle.nodes["reservoir"].dc < 0.97 * out.nodes["reservoir"].dc
    assert idle.rectifiers["ht"].mean_current == within("bench-fact", 0.100)
