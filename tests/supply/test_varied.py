"""The same supply with parts off: each key changes what it says, and nothing else."""

from dataclasses import asdict
from typing import Any

import pytest

from psucheck.circuit.build import build_network
from psucheck.circuit.condition import Condition, Readings
from psucheck.circuit.network import Law
from psucheck.circuit.spice import write_deck
from psucheck.supply.fill import fill
from psucheck.supply.filled import FilledDevice, FilledSupply
from psucheck.supply.reader import parse_description
from psucheck.supply.tolerances import UnknownKey, tolerances
from psucheck.supply.varied import varied
from tests.conditions.supplies import SUPPLIES, describe
from tests.supply.sketch import filled

_FULL = describe(
    "something of everything",
    ladder=(
        'reservoir = "2 x 100 uF 350 V in series with 220k 1 W each"',
        'screens = "choke 5 H 90 ohm 200 mA, 47 uF 500 V, bleeder 220k 1 W"',
        'preamp = "10k 1 W, 22 uF 450 V"',
    ),
    rectifier='anode_resistors = "47 ohm 5 W"',
    bias='bias = "bias"\nscreen_resistors = "1k 5 W"',
    more='[rectifiers.bias]\ncircuit = "half-wave"\npolarity = "negative"\nwinding = "ht"\n'
    'device = "1N4007"\nfeed = "47k 2 W"\n'
    '[filter.bias]\nfrom = "rectifiers.bias"\ncapacitor = "22 uF 100 V"\nrange = ["-28 V", "-50 V"]\n'
    'set = "-36 V"\n'
    '[limiters]\nmains = { cold = "10 ohm", hot = "0.4 ohm", current = "2 A" }\n'
    '[series]\n"before preamp" = "zener 20 V 5 W"\n"centre tap ht" = "10 ohm 5 W"\n'
    '[fuses]\nmains = "T2AH250V"\n',
)
_TEXTS = {"all": _FULL, "cathode": SUPPLIES["cathode bias"]} | {
    name: SUPPLIES[name] for name in ("full-wave doubler", "bias through a capacitor")
}


@pytest.fixture(scope="module")
def supplies() -> dict[str, FilledSupply]:
    return {name: fill(parse_description(text, name).found) for name, text in _TEXTS.items()}


def changed(before: Any, after: Any, path: str = "") -> dict[str, float]:
    """Path -> new over old value, of every number that differs."""
    if isinstance(before, dict):
        assert before.keys() == after.keys()
        return {k: v for key in before for k, v in changed(before[key], after[key], f"{path}.{key}").items()}
    if isinstance(before, list | tuple):
        pairs = enumerate(zip(before, after, strict=True))
        return {k: v for n, (a, b) in pairs for k, v in changed(a, b, f"{path}.{n}").items()}
    return {} if before == after else {path.lstrip("."): after / before}


def numbers(supply: FilledSupply) -> dict[str, Any]:
    whole = asdict(supply)
    described = supply.supply
    whole["supply"] = {
        "series": {k: v.model_dump() for k, v in described.series.items()},
        "rectifiers": {k: v.model_dump() for k, v in described.rectifiers.items()},
    }
    del whole["assumptions"]
    for output in whole["outputs"].values():
        del output["told_on"]
    return whole


@pytest.mark.parametrize("name", _TEXTS)
def test_at_one_nothing_changes(supplies: dict[str, FilledSupply], name: str) -> None:
    supply = supplies[name]
    assert varied(supply, {one.key: 1.0 for one in tolerances(supply)}) == supply


@pytest.mark.parametrize("name", _TEXTS)
def test_every_tolerance_changes_something(supplies: dict[str, FilledSupply], name: str) -> None:
    supply = supplies[name]
    for one in tolerances(supply):
        assert changed(numbers(supply), numbers(varied(supply, {one.key: 1.25}))), one.key


@pytest.mark.parametrize("name", _TEXTS)
def test_what_changes_reaches_the_netlist(supplies: dict[str, FilledSupply], name: str) -> None:
    supply = supplies[name]

    def lines(of: FilledSupply) -> list[str]:
        readings = Readings(dict.fromkeys(of.nodes, 300.0), dict.fromkeys(of.outputs, 1.0))
        volts = of.mains.nominal
        found: list[str] = []
        for state in ("idle", "full output"):
            network = build_network(of, Condition(state, "nominal", volts), readings)
            found += write_deck(network).lines
        return found

    before = lines(supply)
    for one in tolerances(supply):
        assert lines(varied(supply, {one.key: 1.25})) != before, one.key


@pytest.mark.parametrize(
    ("name", "key", "expected"),
    [
        ("all", "mains", {f"mains.{end}": 1.25 for end in ("nominal", "low", "high", "wall")}),
        ("all", "mains.impedance", {"mains.ohms": 1.25}),
        ("all", "transformer.primary.resistance", {"primary_ohms": 1.25}),
        ("all", "transformer.iron", {"core.rated_amps": 1.25, "core.loss_ohms": 0.8}),
        ("all", "windings.ht.volts", {"windings.ht.ratios.0": 1.25, "windings.ht.ratios.1": 1.25}),
        ("all", "windings.ht.resistance", {"windings.ht.ohms.0": 1.25, "windings.ht.ohms.1": 1.25}),
        ("all", "windings.heaters.heater_current", {"heaters.0.amps": 1.25}),
        ("all", "rectifiers.ht.drop", {"devices.ht.emission": 1.25, "devices.ht.series_ohms": 1.25}),
        ("all", "rectifiers.ht.anode_resistors", {"supply.rectifiers.ht.anode_resistors.value": 1.25}),
        ("all", "rectifiers.bias.feed_resistor", {"supply.rectifiers.bias.feed.value": 1.25}),
        ("all", "filter.reservoir.capacitance", {"nodes.reservoir.capacitor.farads": 1.25}),
        ("all", "filter.reservoir.balancing", {"nodes.reservoir.capacitor.balancing_ohms": 1.25}),
        ("all", "filter.screens.inductance", {"nodes.screens.choke.henries": 1.25}),
        ("all", "filter.screens.choke_resistance", {"nodes.screens.choke.ohms": 1.25}),
        ("all", "filter.screens.bleeder", {"nodes.screens.bleeder_ohms": 1.25}),
        ("all", "filter.preamp.resistor", {"nodes.preamp.resistor_ohms": 1.25}),
        ("all", "filter.bias.load", {"nodes.bias.bias_load_ohms": 1.25}),
        ("all", "loads.preamp.current", {"currents.preamp.amps": 1.25}),
        (
            "all",
            "loads.output.valves",
            {"outputs.output.anode_amps": 1.25, "outputs.output.screen_amps": 1.25},
        ),
        (
            "all",
            "loads.output.full",
            {"outputs.output.full_anode_amps": 1.25, "outputs.output.full_screen_amps": 1.25},
        ),
        ("all", "loads.output.screen_resistors", {"outputs.output.screen_ohms": 1.25}),
        ("all", "fuses.mains.resistance", {"place_ohms.mains": 1.25}),
        ("all", "limiters.mains.resistance", {"limiters.mains.cold": 1.25, "limiters.mains.hot": 1.25}),
        ("all", "series.before preamp.volts", {"zeners.before preamp.volts": 1.25}),
        ("all", "series.centre tap ht.resistance", {"supply.series.centre tap ht.value": 1.25}),
        ("cathode", "loads.output.cathode_resistor", {"outputs.output.cathode_ohms": 1.25}),
        ("full-wave doubler", "rectifiers.ht.capacitors.1.capacitance", {"pairs.ht.1.farads": 1.25}),
        ("bias through a capacitor", "rectifiers.bias.feed.capacitance", {"feeds.bias.farads": 1.25}),
    ],
)  # fmt: skip
def test_each_key_changes_what_it_says(
    supplies: dict[str, FilledSupply], name: str, key: str, expected: dict[str, float]
) -> None:
    supply = supplies[name]
    assert changed(numbers(supply), numbers(varied(supply, {key: 1.25}))) == pytest.approx(expected)


def _valve_volts(device: FilledDevice, amps: float) -> float:
    return float((amps / device.perveance) ** (2 / 3))


def test_a_valves_drop_goes_with_the_factor_at_every_current() -> None:
    rectifiers = '[rectifiers.ht]\ncircuit = "centre-tapped"\nwinding = "ht"\ndevice = "GZ34"'
    supply = filled(rectifiers=rectifiers)
    off = varied(supply, {"rectifiers.ht.drop": 1.2})
    for amps in (0.02, 0.2, 1.0):
        ratio = _valve_volts(off.devices["ht"], amps) / _valve_volts(supply.devices["ht"], amps)
        assert ratio == pytest.approx(1.2)


@pytest.mark.parametrize("key", ["loads.output.valves", "loads.output.cathode_resistor"])
def test_the_law_of_the_valves_stays_as_it_was_read(supplies: dict[str, FilledSupply], key: str) -> None:
    supply = supplies["cathode"]
    readings = Readings(dict.fromkeys(supply.nodes, 300.0))
    condition = Condition("idle", "nominal", 230.0)

    def drives(of: FilledSupply) -> set[tuple[float, ...]]:
        network = build_network(of, condition, readings)
        laws = network.layout.valves["output"].anode_laws
        elements = [e for e in network.elements if isinstance(e, Law) and e.name in laws]
        return {(factor.offset, factor.scale) for element in elements for factor in element.factors}

    assert drives(varied(supply, {key: 1.2})) == drives(supply)


def test_several_at_once_and_twice_over(supplies: dict[str, FilledSupply]) -> None:
    supply = supplies["all"]
    twice = varied(
        varied(supply, {"filter.reservoir.capacitance": 0.8}), {"filter.reservoir.capacitance": 1.5}
    )
    at_once = varied(supply, {"filter.reservoir.capacitance": 1.2, "mains": 1.1})
    assert changed(numbers(supply), numbers(twice)) == pytest.approx(
        {"nodes.reservoir.capacitor.farads": 1.2}
    )
    assert at_once.mains.nominal == pytest.approx(253.0)
    assert at_once.nodes["reservoir"].capacitor != supply.nodes["reservoir"].capacitor


@pytest.mark.parametrize(
    "key", ["filter.reservior.capacitance", "filter.reservoir.inductance", "nonsense", "loads.output"]
)
def test_what_the_supply_has_not_is_refused(supplies: dict[str, FilledSupply], key: str) -> None:
    with pytest.raises(UnknownKey, match="this supply has no"):
        varied(supplies["all"], {key: 1.1})


def test_the_refusal_names_what_is_near(supplies: dict[str, FilledSupply]) -> None:
    with pytest.raises(UnknownKey, match=r"near it: filter\.reservoir\.capacitance"):
        varied(supplies["all"], {"filter.reservior.capacitance": 1.1})
