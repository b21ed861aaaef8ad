"""Loads that are resistances: DC heaters, relay coils, and what is described as ohms."""

from __future__ import annotations

import math

from psucheck.supply import guesses
from psucheck.supply.assumptions import Assumption, take
from psucheck.supply.fill_loads import heater_watts
from psucheck.supply.filled import CurrentLoad, FilledRelay
from psucheck.supply.model import Load, Supply, ValveCount
from psucheck.supply.topology import rectifier_of
from psucheck.supply.valve_types import load_valve

_DIODES_VOLTS = 1.5
"""What a bridge of silicon takes off a low-voltage rail [V]; only to tell 6.3 V from 12.6 V."""


def fixed_loads(supply: Supply, notes: list[Assumption]) -> dict[str, CurrentLoad]:
    """Every load that is a resistance, by name."""
    loads = {}
    for name, load in supply.loads.items():
        if load.node is None:
            continue
        if load.heaters is not None:
            loads[name] = _heaters(name, load, load.node, load.heaters, supply, notes)
        elif load.resistance is not None:
            loads[name] = CurrentLoad(load.node, ohms=load.resistance)
        elif load.relay is not None and load.relay.resistance is not None:
            loads[name] = CurrentLoad(load.node, ohms=load.relay.resistance)
    return loads


def _heaters(
    name: str, load: Load, node: str, line_up: tuple[ValveCount, ...], supply: Supply, notes: list[Assumption]
) -> CurrentLoad:
    """Heaters on a DC node. However they are wired, in series or parallel, they take the same watts."""
    volts = heater_volts(load, supply)
    if load.at is None:
        why = "the heater voltage nearest to what the node gives, halves or heaters in series counted"
        notes.append(Assumption(f"loads.{name}.at", volts, "V", "derived", why))
    amps = heater_watts(line_up) / volts
    notes.append(Assumption(f"loads.{name}.heater_amps", amps, "A", "derived", "the heaters of its valves"))
    return CurrentLoad(node, ohms=volts / amps, heats=True)


def heater_volts(load: Load, supply: Supply) -> float:
    """Nominal volts of the heaters on a DC node: as given, else one heater's, or two in series [V]."""
    if load.at is not None:
        return load.at
    assert load.node is not None  # the reader asks for it
    assert load.heaters  # it is called for such loads
    valve = load_valve(load.heaters[0].type)
    single = valve.heater.value.volts if valve is not None else 6.3
    winding = supply.windings[supply.rectifiers[rectifier_of(supply, load.node)].winding]
    doubled = 2 if supply.rectifiers[rectifier_of(supply, load.node)].circuit.endswith("doubler") else 1
    usual = doubled * math.sqrt(2) * max(winding.volts) - _DIODES_VOLTS
    about = supply.filter[load.node].was or max(usual, single)
    return min((single, 2 * single), key=lambda volts: abs(math.log(about / volts)))


def fill_relays(supply: Supply, notes: list[Assumption]) -> dict[str, FilledRelay]:
    """The relays: their node, and the volts at which they pull in."""
    relays = {}
    for name, load in supply.loads.items():
        if load.relay is None or load.node is None:
            continue
        pull_in = load.relay.pull_in
        if pull_in is None:
            assert load.relay.voltage is not None  # the model asks for one of the two
            usual = guesses.RELAY_PULL_IN.value * load.relay.voltage
            why = f"{guesses.RELAY_PULL_IN.value:.0%} of its nominal volts"
            pull_in = take(notes, guesses.RELAY_PULL_IN.assume(f"loads.{name}.relay.pull_in", why, usual))
        relays[name] = FilledRelay(load.node, pull_in, load.relay.holds)
    return relays
