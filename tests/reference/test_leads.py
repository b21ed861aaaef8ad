"""What stands in the leads of a winding carries all that is drawn there: heaters, rectifiers of any polarity.

References: closed forms where only resistances hang on the winding; scipy where a rectifier does. The heaters
beside a bridge are a divider with the resistance before them (Thevenin), so that the bridge's current stays
explicit in the volts over its arms.
"""

from __future__ import annotations

import math

import pytest

from psucheck.circuit.condition import Condition
from psucheck.circuit.faults import HEATER_SHORT_OHMS, Fault, Lead
from psucheck.conditions.faults import run_faults
from psucheck.engine.here import Here
from psucheck.figures.faults import FaultCurrents
from psucheck.figures.measure_faults import measure_fault
from psucheck.supply.filled import FilledSupply
from tests.engine_runs import figures_of, outcomes_of
from tests.reference.comparing import (
    DIODE,
    HERTZ,
    LEAKAGE,
    MAINS,
    check_arm,
    check_node,
    crest,
    diode,
    idle,
    supply,
)
from tests.reference.shooting import Array, settled
from tests.tolerances import within

HEATED = """
[windings]
ht = "300-0-300 V off load at 230 V, 60 + 60 ohm"
low = "6.9 V off load at 230 V, 0.08 ohm"
[rectifiers.rail]
circuit = "centre-tapped"
winding = "ht"
device = {{ kind = "valve", drop = "20 V at 150 mA", heater = "6.3 V 2 A" }}
heater = "low"
[filter.node]
from = "rectifiers.rail"
capacitor = "16 uF 500 V"
[loads.all]
node = "node"
resistance = "10k"
{more}
"""
FUSE_OHMS, COPPER, HEATER_OHMS = 0.03, 0.08, 6.3 / 2.0
FUSED = '[fuses]\n"winding low" = { rating = "T5AL250V", resistance = "0.03 ohm" }\n'
SHARED = """
[rectifiers.low]
circuit = "bridge"
winding = "low"
{device}
[filter.dc]
from = "rectifiers.low"
capacitor = {{ value = "4700 uF", voltage = "16 V", esr = "0 ohm" }}
[loads.dc]
node = "dc"
resistance = "10 ohm"
"""


def test_a_fuse_before_heaters_and_a_rectifier_carries_both() -> None:
    filled = supply(HEATED.format(more=SHARED.format(device=DIODE) + FUSED))
    farads, load, before = 4700e-6, 10.0, COPPER + FUSE_OHMS
    share, source = HEATER_OHMS / (before + HEATER_OHMS), before * HEATER_OHMS / (before + HEATER_OHMS)
    arms = diode(filled, "low", source, in_series=2)

    def bridge(t: float, x: Array) -> float:
        return arms(abs(share * crest(6.9, t)) - x[0])

    def at_heaters(t: float, x: Array) -> float:
        e = crest(6.9, t)
        return share * e - math.copysign(source * bridge(t, x), e)

    def lead(t: float, x: Array) -> float:
        return (crest(6.9, t) - at_heaters(t, x)) / before

    def flow(t: float, x: Array) -> list[float]:
        return [(bridge(t, x) - x[0] / load - LEAKAGE * farads * x[0]) / farads]

    cycle = settled(flow, [6.0], HERTZ)
    figures = idle(filled)
    check_node(figures.nodes["dc"], cycle, cycle.states[0], quantity="dc-small")
    fuse, winding, amps = figures.places["winding low"], figures.windings["low"], cycle.each(lead)
    assert fuse.rms_current == within("rms-current", cycle.rms(amps))
    assert fuse.rms_current == within("rms-current", winding.rms_current[0])
    assert fuse.peak_current == within("peak-current", float(amps.max()))
    assert winding.heater_volts == within("dc-small", cycle.rms(cycle.each(at_heaters)))
    there = cycle.each(lambda t, x: crest(6.9, t) - COPPER * lead(t, x))
    assert winding.volts == within("dc-small", cycle.rms(there))
    # The rectifier alone would have looked well below what the fuse carries.
    assert cycle.rms(cycle.each(bridge)) < 0.6 * fuse.rms_current


@pytest.mark.parametrize(("place", "leads"), [("winding low", 1), ("each winding low", 2)])
def test_a_resistor_in_a_heater_lead_takes_its_volts_from_the_heaters(place: str, leads: int) -> None:
    ohms = 0.2
    filled = supply(HEATED.format(more=f'[series]\n"{place}" = "{ohms} ohm 5 W"\n'))
    amps = 6.9 / (COPPER + leads * ohms + HEATER_OHMS)
    figures = idle(filled)
    assert figures.windings["low"].rms_current[0] == within("sampling", amps)
    assert figures.windings["low"].volts == within("sampling", 6.9 - COPPER * amps)
    assert figures.windings["low"].heater_volts == within("sampling", HEATER_OHMS * amps)
    assert figures.resistors[place].watts == within("sampling", ohms * amps**2)
    assert figures.places[place].rms_current == within("sampling", amps)
    assert figures.windings["ht"].heater_volts is None


def _shorted(filled: FilledSupply, *opened: Lead) -> FaultCurrents:
    (ready,) = outcomes_of(filled, Condition("idle", "nominal", MAINS))
    fault = Fault("shorted heaters", "low", HEATER_SHORT_OHMS, opened=frozenset(opened))
    return measure_fault(run_faults([(ready, fault)], Here())[0], filled.supply.fuses)


def test_shorted_heaters_draw_through_the_fuse_in_their_lead() -> None:
    filled = supply(HEATED.format(more=FUSED))
    fuse = Lead("winding low", 0)
    short = 1.0 / (1.0 / HEATER_SHORT_OHMS + 1.0 / HEATER_OHMS)
    amps = 6.9 / (COPPER + FUSE_OHMS + short)
    found = _shorted(filled)
    assert found.fuses[fuse] == within("fault-current", amps)
    assert found.windings["low"][0] == within("fault-current", amps)
    assert _shorted(filled, fuse).windings["low"][0] < 1e-3


BIAS = """
[windings]
bias = "50 V off load at 230 V, 12 ohm"
[rectifiers.bias]
circuit = "half-wave"
polarity = "negative"
winding = "bias"
end = "{end}"
{device}
[filter.bias]
from = "rectifiers.bias"
capacitor = {{ value = "47 uF", voltage = "100 V", esr = "0 ohm" }}
bleeder = "2k 5 W"
[fuses]
"{place}" = {{ rating = "T160mAL250V", resistance = "5 ohm" }}
"""


@pytest.mark.parametrize("end", ["a", "b"])
@pytest.mark.parametrize(("place", "leads"), [("winding bias", 1), ("each winding bias", 2)])
def test_a_bias_supply_on_a_winding_of_its_own_draws_through_its_fuse(
    place: str, leads: int, end: str
) -> None:
    filled = supply(BIAS.format(device=DIODE, place=place, end=end))
    farads, load, ohms = 47e-6, 2e3, 12.0 + 5.0 * leads
    amps = diode(filled, "bias", ohms)

    def arm(t: float, x: Array) -> float:
        return amps(crest(50.0, t) - x[0])

    def flow(t: float, x: Array) -> list[float]:
        return [(arm(t, x) - x[0] / load - LEAKAGE * farads * x[0]) / farads]

    cycle = settled(flow, [60.0], HERTZ)
    figures = idle(filled)
    charging = cycle.each(arm)
    assert figures.nodes["bias"].dc == within("dc", -cycle.mean(cycle.states[0]))
    check_arm(figures.rectifiers["bias"], cycle, charging)
    fuse = figures.places[place]
    assert fuse.rms_current == within("rms-current", cycle.rms(charging))
    assert fuse.volts == within("dc", figures.windings["bias"].volts)
    assert figures.rectifiers["bias"].source_resistance == pytest.approx(ohms, rel=1e-6)


def test_an_open_switch_in_the_lead_leaves_nothing_behind_it() -> None:
    switched = BIAS.split("[fuses]")[0].format(device=DIODE, end="a")
    filled = supply(switched + '[switches]\nstandby = "winding bias"\n')
    (opened,) = figures_of(filled, Condition("standby open", "nominal", MAINS))
    assert abs(opened.nodes["bias"].dc) < 0.1
