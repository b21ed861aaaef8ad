"""What conducts one way is turned the right way at each place; what is pulled or tired shows in figures."""

from __future__ import annotations

import pytest

from psucheck.circuit.condition import Condition
from psucheck.circuit.network import Diode, ValveDiode, Zener
from psucheck.figures.model import Figures
from tests.engine_runs import described, figures_of, network_of
from tests.tolerances import within

HEAD = """
title = "One way"
valves = "4 x EL84"
[mains]
voltage = "230 V"
frequency = "50 Hz"
impedance = "0.5 ohm"
[transformer]
primary = "230 V, 6 ohm"
core = "ideal"
[windings]
ht = "280-0-280 V off load at 230 V, 50 + 50 ohm"
heaters = "6.6 V off load at 230 V, 0.05 ohm, 4 A"
"""
RECTIFIER = """
[rectifiers.ht]
circuit = "centre-tapped"
winding = "ht"
device = {device}
"""
LADDER = """
[filter]
reservoir = "47 uF 450 V"
screens = "1k 5 W, 47 uF 450 V"
"""
BIAS = """
[rectifiers.bias]
circuit = "half-wave"
polarity = "negative"
winding = "ht"
feed = "47k 2 W"
device = "1N4007"
[filter.first]
from = "rectifiers.bias"
capacitor = "47 uF 150 V"
bleeder = "33k 2 W"
[filter.second]
from = "first"
resistor = "1k"
capacitor = "47 uF 150 V"
bleeder = "33k 2 W"
"""
LOAD = '[loads.all]\nnode = "screens"\nresistance = "6k"\n'
IDLE = Condition("idle", "nominal", 230.0)
VALVE = '{ kind = "valve", drop = "20 V at 150 mA" }'


def _idle(*parts: str, device: str = '"1N4007"') -> Figures:
    text = "".join((HEAD, RECTIFIER.format(device=device), LADDER, *parts))
    return figures_of(described(text), IDLE)[0]


@pytest.mark.parametrize(
    "place",
    ["centre tap ht", "each winding ht", "before reservoir", "after reservoir", "before screens"],
)
def test_a_zener_lowers_the_rail_behind_it_by_its_volts(place: str) -> None:
    plain = _idle(LOAD)
    zener = '[series]\n"{}" = {{ zener = "40 V", resistance = "0.1 ohm" }}\n'
    figures = _idle(LOAD, zener.format(place))
    assert figures.nodes["screens"].dc < plain.nodes["screens"].dc - 30.0
    standing = figures.resistors[place]
    assert standing.max_volts == pytest.approx(40.0, abs=0.5)
    behind = place in ("after reservoir", "before screens")
    drop = figures.nodes["reservoir"].dc - figures.nodes["screens"].dc
    resistor = 1000.0 * figures.nodes["screens"].dc / 6000.0
    if behind:
        assert drop - resistor == pytest.approx(40.0, abs=1.5)
    # Forty volts at the mean of what flows, in each of two leads half of it.
    amps = figures.rectifiers["ht"].mean_current / (2 if place.startswith("each") else 1)
    assert standing.watts == pytest.approx(40.0 * amps, rel=0.02)


@pytest.mark.parametrize("place", ["after first", "before second"])
def test_in_a_negative_rail_it_is_turned_the_other_way(place: str) -> None:
    plain = _idle(LOAD, BIAS)
    figures = _idle(LOAD, BIAS, f'[series]\n"{place}" = {{ zener = "20 V", resistance = "0.1 ohm" }}\n')
    assert plain.nodes["second"].dc < -20.0
    apart = figures.nodes["second"].dc - figures.nodes["first"].dc
    assert apart == pytest.approx(20.0 - figures.nodes["second"].dc / 33e3 * 1e3, abs=0.5)


def test_a_zener_for_too_many_volts_passes_nothing() -> None:
    figures = _idle(LOAD, '[series]\n"before screens" = { zener = "900 V", resistance = "10 ohm" }\n')
    assert abs(figures.nodes["screens"].dc) < 5.0


def test_silicon_stands_in_each_arm_before_its_anode() -> None:
    text = HEAD + RECTIFIER.format(device='{ type = "GZ34", backup = "1N4007" }') + LADDER + LOAD
    network = network_of(described(text), IDLE)
    valves = [element for element in network.elements if isinstance(element, ValveDiode)]
    diodes = {element.minus: element for element in network.elements if isinstance(element, Diode)}
    assert len(valves) == len(diodes) == 2
    layout = network.layout.rectifiers["ht"]
    assert layout.arms == tuple(valve.name for valve in valves)
    assert layout.ends == tuple((diodes[valve.plus].plus, valve.minus) for valve in valves)


def test_a_valve_and_its_silicon_share_the_reverse_volts_of_the_arm() -> None:
    backed = _idle(LOAD, device=VALVE.replace("}", ', backup = "1N4007" }'))
    alone = _idle(LOAD, device=VALVE)
    assert backed.rectifiers["ht"].reverse_voltage == pytest.approx(
        alone.rectifiers["ht"].reverse_voltage, rel=0.01
    )
    assert backed.nodes["reservoir"].dc == pytest.approx(alone.nodes["reservoir"].dc - 0.8, abs=0.4)


def test_a_tired_anode_brings_the_mains_frequency_into_the_ripple() -> None:
    even, tired = (
        dict(_idle(LOAD, device=device).capacitors["reservoir"].ripple_spectrum)[50.0]
        for device in (VALVE, VALVE.replace("}", ', unequal = "30 %" }'))
    )
    assert even < 1e-4
    assert tired > 20 * even


VALVES = """
[loads.output]
valves = "4 x EL84"
anodes = "reservoir"
screens = "screens"
bias = "-10 V"
idle = {{ anode = "30 mA", screen = "3 mA", at = "340 V" }}
output_transformer = "60 + 60 ohm"
screen_resistors = "470 ohm 1 W"
{missing}
"""


@pytest.mark.parametrize("state", ["idle", "full output"])
def test_pulled_valves_draw_nothing_and_the_others_more_as_the_rail_rises(state: str) -> None:
    condition = Condition(state, "nominal", 230.0)  # type: ignore[arg-type]
    figures = {}
    for missing in ("", "missing = 2"):
        text = HEAD + RECTIFIER.format(device='"1N4007"') + LADDER + VALVES.format(missing=missing)
        figures[missing] = figures_of(described(text), condition)[0]
    whole, half = figures[""], figures["missing = 2"]
    assert (whole.valves["output"].count, half.valves["output"].count) == (4, 2)
    assert half.nodes["reservoir"].dc > whole.nodes["reservoir"].dc + 5.0
    more = half.valves["output"].anode_current / whole.valves["output"].anode_current
    assert 1.0 < more < 1.5
    # The resistors of the valves that are in carry what those draw.
    amps = half.valves["output"].screen_current
    assert half.resistors["output screen resistor"].watts == pytest.approx(470.0 * amps**2, rel=0.01)
    rectified = 4 * whole.valves["output"].anode_current + 4 * whole.valves["output"].screen_current
    assert whole.rectifiers["ht"].mean_current == within("mean-current", rectified)
    volts = [f.windings["heaters"].volts for f in (whole, half)]
    assert volts[1] > volts[0] + 0.05


def test_what_was_read_was_read_with_all_valves_in() -> None:
    text = HEAD + RECTIFIER.format(device='"1N4007"') + LADDER + VALVES.format(missing="missing = 2")
    filled = described(text)
    as_read = network_of(filled, Condition("idle", "nominal", 230.0, as_read=True))
    idle = network_of(filled, IDLE)
    assert as_read.layout.valves["output"].count == 4
    assert idle.layout.valves["output"].count == 2


def test_the_zener_is_one_element_with_its_own_place() -> None:
    text = HEAD + RECTIFIER.format(device='"1N4007"') + LADDER + LOAD
    network = network_of(described(text + '[series]\n"centre tap ht" = "zener 40 V 10 W"\n'), IDLE)
    (zener,) = (element for element in network.elements if isinstance(element, Zener))
    assert network.layout.resistors["centre tap ht"].elements == (zener.name,)


BACK_BIAS = """
[series]
"centre tap ht" = "150 ohm 5 W"
[filter.grids]
from = "centre tap ht"
resistor = "47k 0.5 W"
capacitor = "10 uF 50 V"
{bleeder}
"""


@pytest.mark.parametrize("bleeder", ["", 'bleeder = "100k"'])
def test_a_back_bias_drains_itself_but_not_the_rail_above_it(bleeder: str) -> None:
    text = HEAD + RECTIFIER.format(device='"1N4007"') + LADDER + LOAD + BACK_BIAS.format(bleeder=bleeder)
    filled = described(text)
    assert network_of(filled, IDLE).layout.bled == {"reservoir": False, "screens": False, "grids": True}
    grids = figures_of(filled, IDLE)[0]
    dropped = 150.0 * grids.rectifiers["ht"].mean_current
    share = 100e3 / 147e3 if bleeder else 1.0
    # The smoothing resistor carries what the capacitor leaks, besides: 20 nA a volt.
    assert grids.nodes["grids"].dc == pytest.approx(-dropped * share, rel=0.005)


def test_a_bleeder_does_not_drain_what_stands_before_a_zener() -> None:
    ladder = LADDER.replace(
        'screens = "1k 5 W, 47 uF 450 V"', 'screens = "1k 5 W, 47 uF 450 V, bleeder 220k 1 W"'
    )
    text = HEAD + RECTIFIER.format(device='"1N4007"') + ladder + LOAD
    plain = network_of(described(text), IDLE)
    behind = network_of(described(text + '[series]\n"before screens" = "zener 40 V 5 W"\n'), IDLE)
    assert plain.layout.bled == {"reservoir": True, "screens": True}
    assert behind.layout.bled == {"reservoir": False, "screens": True}
