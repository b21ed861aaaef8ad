"""From description and condition to a network: what stands at each place, what a switch cuts off, how it is
wired.
"""

from __future__ import annotations

import pytest

from psucheck.circuit.condition import Condition, State
from psucheck.circuit.network import GROUND, Law, Mains, Network, Resistor, Section
from psucheck.supply.filled import FilledSupply
from tests.engine_runs import described, figures_of, network_of

SUPPLY = """
title = "Wiring"
valves = "2 x EL84, 2 x ECC83"
[mains]
voltage = "230 V"
frequency = "50 Hz"
impedance = "0.5 ohm"
[transformer]
primary = "230 V, 10 ohm"
core = "ideal"
[windings]
ht = "280-0-280 V off load at 230 V, 70 + 74 ohm"
heaters = "6.6 V off load at 230 V, 0.05 ohm"
[rectifiers.ht]
circuit = "centre-tapped"
winding = "ht"
device = "1N4007"
[filter]
reservoir = "47 uF 450 V"
screens = "1k 5 W, 47 uF 450 V"
preamp = "10k 1 W, 22 uF 450 V"
[loads.output]
valves = "2 x EL84"
anodes = "reservoir"
screens = "screens"
bias = "cathode"
cathode_resistor = "130 ohm 5 W"
idle = "38 mA each at the cathode"
output_transformer = "100 + 110 ohm"
[loads.preamp]
node = "preamp"
current = "3 mA"
[fuses]
mains = "T1AL250V"
"each winding ht" = "T500mAL250V"
"centre tap ht" = "T500mAL250V"
"before reservoir" = "T250mAL250V"
"before screens" = "T100mAL250V"
[switches]
{switch}
"""
PLAIN = 'standby = "before screens"'
BYPASSED = 'standby = { place = "before screens", bypass = "47k 2 W" }'


def _filled(switch: str = PLAIN) -> FilledSupply:
    return described(SUPPLY.format(switch=switch))


def _network(state: State, switch: str = PLAIN) -> Network:
    return network_of(_filled(switch), Condition(state, "nominal", 230.0))


def test_every_place_carries_the_current_that_flows_there() -> None:
    network = _network("idle")
    places = network.layout.places
    assert set(places) == {"mains", "each winding ht", "centre tap ht", "before reservoir", "before screens"}
    assert len(places["each winding ht"].elements) == 2
    for name, place in places.items():
        assert place.dc == name.startswith("before")
        for element in place.elements:
            assert isinstance(network[element], Resistor)
    (figures,) = figures_of(_filled(), Condition("idle", "nominal", 230.0))
    dc = figures.rectifiers["ht"].mean_current
    current = {name: place.rms_current for name, place in figures.places.items()}
    assert current["before reservoir"] > dc
    # All of the HT's current returns through the centre tap, half of the charge through each half.
    assert current["centre tap ht"] == pytest.approx(current["before reservoir"], rel=0.01)
    # The half with less copper carries a little more than its half.
    assert 1.0 < current["each winding ht"] / (current["centre tap ht"] / 2**0.5) < 1.05
    assert current["before screens"] < dc
    assert figures.mains_supply is not None
    assert current["mains"] == pytest.approx(figures.mains_supply.rms_current, rel=1e-3)


def test_the_volts_that_a_place_would_interrupt() -> None:
    (figures,) = figures_of(_filled(), Condition("idle", "nominal", 230.0))
    places = figures.places
    assert places["before reservoir"].volts >= figures.nodes["reservoir"].max
    assert places["each winding ht"].volts == pytest.approx(
        max(figures.windings["ht"].section_volts), rel=0.02
    )
    assert places["mains"].volts == pytest.approx(230.0, rel=0.01)


def test_an_open_standby_switch_leaves_nothing_behind_it() -> None:
    opened, closed = figures_of(
        _filled(), Condition("standby open", "nominal", 230.0), Condition("idle", "nominal", 230.0)
    )
    assert opened.nodes["reservoir"].dc > closed.nodes["reservoir"].dc
    assert abs(opened.nodes["screens"].dc) < 5.0
    assert abs(opened.nodes["preamp"].dc) < 5.0


def test_a_bypassed_standby_switch_keeps_the_rails_up() -> None:
    network = _network("standby open", BYPASSED)
    assert "standby bypass" in network.layout.resistors
    assert "standby bypass" not in _network("idle", BYPASSED).layout.resistors
    (opened,) = figures_of(_filled(BYPASSED), Condition("standby open", "nominal", 230.0))
    assert opened.nodes["screens"].dc > 20.0


@pytest.mark.parametrize(
    ("state", "draws", "heated"),
    [
        ("valves out", False, False),
        ("cold", False, True),
        ("idle", True, True),
        ("full output", True, True),
        ("switch-off, valves out", False, False),
    ],
)
def test_what_draws_in_which_state(state: State, draws: bool, heated: bool) -> None:
    network = _network(state)
    assert any(isinstance(element, Law) for element in network.elements) == draws
    assert any("heaters of the valves" in element.says for element in network.elements) == heated


def test_the_mains_are_off_in_switch_off() -> None:
    walls = {state: _wall(_network(state)).peak_volts for state in ("idle", "switch-off")}
    assert walls["switch-off"] == 0.0
    assert walls["idle"] == pytest.approx(230.0 * 2**0.5)


def _wall(network: Network) -> Mains:
    return next(element for element in network.elements if isinstance(element, Mains))


def test_source_resistance_is_one_halfs_copper_and_the_reflected_primary() -> None:
    """Rs = Rsec + Rpri n^2 of the lower half, with what stands in the leads (fuses) and the house's
    wiring.
    """
    filled = _filled()
    network = network_of(filled, Condition("idle", "nominal", 230.0))
    fuses = filled.place_ohms
    ratio = 280.0 / 230.0
    expected = (
        70.0 + ratio**2 * (10.0 + 0.5 + fuses["mains"]) + fuses["each winding ht"] + fuses["centre tap ht"]
    )
    assert network.layout.rectifiers["ht"].source_ohms == pytest.approx(expected, rel=1e-6)


SEEN = """
title = "Seen from an anode"
[mains]
voltage = "230 V"
frequency = "50 Hz"
impedance = "0.5 ohm"
[transformer]
primary = "230 V, 10 ohm"
core = "ideal"
[windings]
ht = "{winding} off load at 230 V, 60 {more} ohm, tap low 40 V 9 ohm"
[rectifiers.ht]
circuit = "{circuit}"
winding = "ht"
device = "1N4007"
{rectifier}
[filter.reservoir]
from = "rectifiers.ht"
capacitor = "47 uF 900 V"
[series]
"winding ht" = "3 ohm"
"each winding ht" = "5 ohm"
{tap}
"""
ANODES = 'anode_resistors = "20 ohm"'
PAIR = f'capacitors = ["47 uF 450 V", "47 uF 450 V"]\n{ANODES}'


@pytest.mark.parametrize(
    ("circuit", "halved", "rectifier", "volts", "ohms"),
    [
        # Both arms of a bridge conduct: two anode resistors, and a part in each lead.
        ("bridge", False, ANODES, 300, 60 + 3 + 2 * 5 + 2 * 20),
        ("bridge", True, ANODES, 600, 60 + 66 + 3 + 2 * 5 + 2 * 20),
        # A doubler has one anode resistor, in the lead to its two arms.
        ("full-wave doubler", False, PAIR, 300, 60 + 3 + 2 * 5 + 20),
        ("cascade doubler", False, PAIR, 300, 60 + 3 + 2 * 5 + 20),
        ("half-wave", False, ANODES, 300, 60 + 3 + 2 * 5 + 20),
        ("half-wave", True, ANODES, 300, 60 + 3 + 5 + 7 + 20),
        ("half-wave", True, f'end = "b"\n{ANODES}', 300, 66 + 5 + 7 + 20),
        ("half-wave", False, 'end = "low"', 40, 9 + 5),
        # Half b has more copper, but nothing of what stands in the lead of end a.
        ("centre-tapped", True, ANODES, 300, min(60 + 3, 66) + 5 + 7 + 20),
    ],
)
def test_source_resistance_counts_what_a_half_passes(
    circuit: str, halved: bool, rectifier: str, volts: float, ohms: float
) -> None:
    text = SEEN.format(
        winding="300-0-300 V" if halved else "300 V",
        more="+ 66" if halved else "",
        circuit=circuit,
        rectifier=rectifier,
        tap='"centre tap ht" = "7 ohm"' if halved else "",
    )
    network = network_of(described(text), Condition("cold", "nominal", 230.0))
    reflected = (volts / 230.0) ** 2 * (10.0 + 0.5)
    assert network.layout.rectifiers["ht"].source_ohms == pytest.approx(ohms + reflected, rel=1e-6)


def test_names_are_generated_and_nodes_joined() -> None:
    network = _network("idle")
    names = [element.name for element in network.elements]
    assert len(set(names)) == len(names)
    ends: dict[str, int] = {}
    for element in network.elements:
        assert element.name.isalnum()
        for node in (element.plus, element.minus):
            ends[node] = ends.get(node, 0) + 1
    assert GROUND in ends
    # No node hangs on a single element, but for the last filter node's switchless end and the core's sensors.
    single = {node for node, count in ends.items() if count == 1}
    assert single <= {network.layout.nodes["preamp"], "core"}


TAPPED = """
title = "Tapped"
[mains]
voltage = "230 V"
frequency = "50 Hz"
[transformer]
primary = "230 V, 10 ohm"
core = "ideal"
[windings.ht]
volts = ["300 V", "300 V"]
off_load_at = "230 V"
resistance = ["60 ohm", "64 ohm"]
[windings.ht.taps]
bias = "50 V"
[rectifiers.ht]
circuit = "centre-tapped"
winding = "ht"
device = "1N4007"
[rectifiers.bias]
circuit = "half-wave"
polarity = "negative"
winding = "ht"
end = "bias"
device = "1N4007"
[filter.reservoir]
capacitor = "47 uF 500 V"
from = "rectifiers.ht"
[filter.bias]
from = "rectifiers.bias"
capacitor = "47 uF 100 V"
bleeder = "22k 1 W"
[loads.all]
node = "reservoir"
current = "80 mA"
"""


def test_a_tap_divides_the_first_section() -> None:
    filled = described(TAPPED)
    network = network_of(filled, Condition("idle", "nominal", 230.0))
    ratios = [element.ratio for element in network.elements if isinstance(element, Section)]
    assert ratios == pytest.approx([50 / 230, 250 / 230, 300 / 230])
    (figures,) = figures_of(filled, Condition("idle", "nominal", 230.0))
    assert figures.nodes["bias"].dc == pytest.approx(-50 * 2**0.5, rel=0.05)
    assert len(figures.windings["ht"].section_volts) == 2


SHARED = (
    TAPPED.replace('end = "bias"', "{end}")
    + """
[fuses]
"each winding ht" = "T500mAL250V"
"""
)


@pytest.mark.parametrize("end", ['end = "bias"', 'end = "a"\nfeed = "47k 2 W"'])
def test_a_bias_supply_beside_the_ht_passes_no_fuse_in_the_winding(end: str) -> None:
    filled = described(SHARED.replace("{end}", end))
    network = network_of(filled, Condition("idle", "nominal", 230.0))
    fuses = set(network.layout.places["each winding ht"].elements)
    behind = {network[fuse].minus for fuse in fuses}
    hanging = {element.name for element in network.elements if {element.plus, element.minus} & behind}
    assert hanging - fuses == set(network.layout.rectifiers["ht"].arms)
