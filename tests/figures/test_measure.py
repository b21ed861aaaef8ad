"""Figures of a whole supply whose answer can be worked out by hand."""

from __future__ import annotations

import math

import pytest

from psucheck.circuit.condition import Condition
from psucheck.figures.model import Figures
from tests.engine_runs import described, figures_of
from tests.tolerances import within

NOMINAL = 230.0
TEXT = """
title = "By hand"
[mains]
voltage = "230 V"
frequency = "50 Hz"
impedance = "0 ohm"
[transformer]
primary = "230 V, 0 ohm"
core = "ideal"
[windings]
ht = "300 V off load at 230 V, 40 ohm"
[rectifiers.ht]
circuit = "bridge"
winding = "ht"
device = "1N4007"
[filter.reservoir]
capacitor = { value = "47 uF", voltage = "350 V", in_series = 2, balancing = "220k 1 W", esr = "1 ohm" }
[filter.preamp]
resistor = "10k 2 W"
capacitor = "22 uF 450 V"
bleeder = "220k 1 W"
[loads.all]
node = "reservoir"
resistance = "4k"
[loads.preamp]
node = "preamp"
resistance = "40k"
"""
LEAKAGE = 0.002


@pytest.fixture(scope="module")
def figures() -> list[Figures]:
    """Idle, valves out, and the decay from there."""
    filled = described(TEXT)
    return figures_of(
        filled,
        Condition("idle", "nominal", NOMINAL),
        Condition("valves out", "high", NOMINAL),
        Condition("switch-off, valves out", "high", NOMINAL),
    )


def test_currents_follow_from_the_volts(figures: list[Figures]) -> None:
    idle = figures[0]
    reservoir, preamp = idle.nodes["reservoir"].dc, idle.nodes["preamp"].dc
    below = 1 / (1 / 40e3 + 1 / 220e3 + LEAKAGE * 22e-6)
    assert preamp == within("dc", reservoir * below / (below + 10e3))
    string = 2 / (1 / 220e3 + LEAKAGE * 47e-6)
    drawn = reservoir / 4e3 + preamp / below + reservoir / string
    rectifier = idle.rectifiers["ht"]
    assert rectifier.mean_current == within("mean-current", drawn)
    assert rectifier.arm_mean_current == within("mean-current", drawn / 2)
    assert idle.windings["ht"].rms_current[0] == within(
        "rms-current", math.sqrt(2) * rectifier.arm_rms_current
    )
    charging = math.sqrt(idle.windings["ht"].rms_current[0] ** 2 - drawn**2)
    assert idle.capacitors["reservoir"].ripple_current == within("rms-current", charging)


def test_resistors(figures: list[Figures]) -> None:
    idle = figures[0]
    reservoir, preamp = idle.nodes["reservoir"].dc, idle.nodes["preamp"].dc
    assert idle.resistors["preamp dropper"].watts == within("ripple", (reservoir - preamp) ** 2 / 10e3)
    assert idle.resistors["preamp bleeder"].watts == within("ripple", preamp**2 / 220e3)
    assert idle.resistors["reservoir balancing"].watts == within("ripple", (reservoir / 2) ** 2 / 220e3)


def test_a_series_string_shares_equally(figures: list[Figures]) -> None:
    capacitor = figures[0].capacitors["reservoir"]
    assert len(capacitor.unit_max_volts) == 2
    assert capacitor.unit_max_volts[0] == pytest.approx(capacitor.unit_max_volts[1], rel=1e-4)
    assert sum(capacitor.unit_max_volts) == pytest.approx(capacitor.max_volts, rel=0.005)
    assert capacitor.energy == within("energy", 2 * 0.5 * 47e-6 * (capacitor.max_volts / 2) ** 2)


def test_the_mains_give_what_is_dissipated(figures: list[Figures]) -> None:
    idle = figures[0]
    mains = idle.mains_supply
    assert mains is not None
    amps = idle.windings["ht"].rms_current[0]
    assert mains.rms_current == within("rms-current", amps * 300.0 / NOMINAL)
    assert mains.volt_amperes == pytest.approx(mains.rms_current * mains.volts, rel=1e-6)
    volts = idle.nodes["reservoir"].dc
    in_load = volts * idle.rectifiers["ht"].mean_current
    # Two diodes of 0.8 V in the loop, and the winding's copper.
    expected = in_load + 40.0 * amps**2 + 2 * 0.8 * idle.rectifiers["ht"].mean_current
    assert mains.watts == within("rms-current", expected)


def test_reverse_voltage_of_a_bridge(figures: list[Figures]) -> None:
    """Each blocking arm stands against the whole output, and no more."""
    idle = figures[0]
    assert idle.rectifiers["ht"].reverse_voltage == within("closed-form-limit", idle.nodes["reservoir"].max)


def test_discharge_with_the_valves_out(figures: list[Figures]) -> None:
    """Loads that are resistors stay on: the slow root of the two-node ladder brings both nodes down."""
    out, off = figures[1], figures[2]
    assert off.kind == "transient"
    for name, discharge in off.discharge.items():
        assert discharge.bled
        # It starts where the cycle does, somewhere on the ripple.
        assert out.nodes[name].min <= discharge.start_volts <= out.nodes[name].max
    first, second = 47e-6 / 2, 22e-6
    g_first = 1 / 4e3 + 1 / (2 / (1 / 220e3 + LEAKAGE * 47e-6))
    g_second = 1 / 40e3 + 1 / 220e3 + LEAKAGE * 22e-6
    trace = -(g_first + 1e-4) / first - (g_second + 1e-4) / second
    determinant = ((g_first + 1e-4) * (g_second + 1e-4) - 1e-8) / (first * second)
    slow = (trace + math.sqrt(trace**2 - 4 * determinant)) / 2
    preamp = off.discharge["preamp"]
    assert preamp.seconds_to_60_v is not None
    fast_bound = math.log(preamp.start_volts / 60.0) / -slow
    assert 0.8 * fast_bound < preamp.seconds_to_60_v < 1.3 * fast_bound


def test_the_step_leaves_little_open(figures: list[Figures]) -> None:
    idle = figures[0]
    assert idle.uncertainty["nodes.reservoir.dc"] < 0.001 * idle.nodes["reservoir"].dc
    assert idle.uncertainty["rectifiers.ht.peak_current"] < 0.02 * idle.rectifiers["ht"].peak_current
