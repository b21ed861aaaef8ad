from __future__ import annotations

from dataclasses import replace

import pytest

from psucheck.circuit.condition import Condition, Readings
from psucheck.circuit.faults import Fault, Lead, ZeroBias, with_fault
from psucheck.circuit.network import Law, Network, Resistor
from psucheck.circuit.wiring import OPEN_OHMS
from tests.conditions.supplies import SUPPLIES
from tests.engine_runs import described, network_of

IDLE = Condition("idle", "nominal", 230.0)
FUSES = '[fuses]\n"each winding ht" = "T315mAL250V"\nmains = "T2AL250V"\n'
LAW = ZeroBias(0.5, 400.0)


def sound(name: str = "centre-tapped", more: str = FUSES) -> Network:
    filled = described(SUPPLIES[name] + more)
    readings = Readings(volts={"reservoir": 390.0, "screens": 385.0, "preamp": 340.0})
    return network_of(filled, IDLE, readings)


def short(network: Network, fault: Fault) -> Resistor:
    """The one element that a short adds."""
    faulted = with_fault(network, fault).network
    (added,) = (each for each in faulted.elements if each not in network.elements)
    assert isinstance(added, Resistor)
    return added


def test_each_short_is_one_resistor_where_it_belongs() -> None:
    network = sound()
    layout = network.layout
    arm = short(network, Fault("shorted rectifier", "ht"))
    assert (arm.plus, arm.minus) == layout.rectifiers["ht"].ends[0]
    reservoir = short(network, Fault("shorted reservoir", "reservoir"))
    assert (reservoir.plus, reservoir.minus, reservoir.ohms) == (layout.nodes["reservoir"], "0", 0.1)
    beyond = short(network, Fault("short beyond the choke", "screens"))
    assert beyond.plus == layout.nodes["screens"]
    valve = short(network, Fault("shorted output valve", "output", 50.1))
    assert (valve.plus, valve.minus, valve.ohms) == (layout.nodes["reservoir"], "0", 50.1)
    heaters = short(network, Fault("shorted heaters", "heaters", 0.01))
    assert (heaters.plus, heaters.minus) == layout.heater_ends["heaters"]


def test_a_shorted_valve_with_cathode_bias_leaves_the_cathode_resistor_in_series() -> None:
    network = sound("cathode bias", "")
    valve = short(network, Fault("shorted output valve", "output"))
    assert valve.minus == network.layout.valves["output"].cathode_node != "0"


def test_the_sound_network_stays_as_it_was() -> None:
    network = sound()
    before = list(network.elements)
    with_fault(network, Fault("shorted reservoir", "reservoir", opened=frozenset({Lead("mains", 0)})))
    assert network.elements == before


def test_a_fuse_that_has_opened_is_open_in_its_own_lead_only() -> None:
    network = sound()
    fault = Fault("shorted rectifier", "ht", opened=frozenset({Lead("each winding ht", 1)}))
    faulted = with_fault(network, fault).network
    first, second = network.layout.places["each winding ht"].elements
    opened = faulted[second]
    assert isinstance(opened, Resistor)
    assert opened.ohms == OPEN_OHMS
    assert faulted[first] == network[first]


def laws(network: Network, *parts: str) -> list[Law]:
    return [each for each in network.elements if isinstance(each, Law) and each.says.startswith(parts)]


@pytest.mark.parametrize("name", ["centre-tapped", "bias through a resistor"])
def test_without_bias_all_valves_follow_the_law_at_zero_grid_volts(name: str) -> None:
    network = sound(name)
    faulted = with_fault(network, Fault("lost bias", "output", zero_bias=LAW))
    found = laws(faulted.network, "output")
    assert len(found) == 2
    # Two valves; anode and screen share the current as at idle.
    assert sum(law.amps for law in found) == pytest.approx(2 * LAW.amps)
    before = laws(network, "output")
    assert found[0].amps / found[1].amps == pytest.approx(before[0].amps / before[1].amps)
    (factor,) = found[0].factors
    assert (factor.offset, factor.scale, factor.exponent) == (0.0, 400.0, 1.5)
    assert [weight for weight, _ in factor.terms] == [1.0]
    assert faulted.valves is not None
    assert faulted.valves.count == 2


def test_one_valve_without_bias_leaves_the_others_as_they_were() -> None:
    text = SUPPLIES["centre-tapped"].replace(
        'output_transformer = "50 + 50 ohm"',
        'output_transformer = "50 + 50 ohm"\nscreen_resistors = "1k 5 W"',
    )
    filled = described(text)
    network = network_of(filled, IDLE, Readings(volts={"reservoir": 390.0, "screens": 385.0}))
    faulted = with_fault(network, Fault("lost bias of one valve", "output", zero_bias=LAW))
    before, after = laws(network, "output anodes"), laws(faulted.network, "output anodes")
    assert after[0] == replace(before[0], amps=before[0].amps / 2)
    assert "grid at 0 V" in after[1].says
    ohms = [
        each.ohms
        for each in faulted.network.elements
        if isinstance(each, Resistor) and "screen resistor" in each.says
    ]
    # Two resistors of 1k stood as one of 500 ohm; each valve has its own now.
    assert sorted(ohms) == pytest.approx([1000.0, 1000.0])
    assert faulted.valves is not None
    assert faulted.valves.count == 1
    assert faulted.valves.screen_node != network.layout.valves["output"].screen_node


def test_a_fault_at_nothing_that_the_network_has() -> None:
    with pytest.raises(KeyError):
        with_fault(sound(), Fault("shorted reservoir", "nowhere"))
