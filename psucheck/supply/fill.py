"""Fill in the supply: every value that a circuit needs, with a note of each one that was not given."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Literal

from psucheck.parts import in_force, library
from psucheck.parts.mains import MainsSystem
from psucheck.supply import guesses
from psucheck.supply.assumptions import Assumption, Notes, take
from psucheck.supply.carry import carried_currents, carried_outputs
from psucheck.supply.fill_core import fill_core
from psucheck.supply.fill_currents import fill_currents
from psucheck.supply.fill_filter import fill_capacitor, fill_choke
from psucheck.supply.fill_fixed import fill_relays, fixed_loads
from psucheck.supply.fill_limiter import fill_limiter
from psucheck.supply.fill_loads import fill_heaters, fill_output
from psucheck.supply.fill_rectifiers import fill_device
from psucheck.supply.fill_transformer import expected_amps, fill_copper, fill_ratios
from psucheck.supply.fill_warm_up import fill_cold_heaters, fill_warm_ups
from psucheck.supply.fill_zener import fill_zener
from psucheck.supply.filled import (
    CurrentLoad,
    FilledCapacitor,
    FilledMains,
    FilledNode,
    FilledSupply,
    FilledWinding,
    OutputLoad,
)
from psucheck.supply.model import Capacitor, Fuse, Rectifier, Resistor, Supply, Zener
from psucheck.supply.topology import below, is_negative, parents, rectifier_of, root_of


def fill(
    supply: Supply, loads_of: FilledSupply | None = None, supposed: Mapping[str, float] | None = None
) -> FilledSupply:
    """Complete ``supply``.

    Parameters
    ----------
    supply
        As described.
    loads_of
        The supply as found, when ``supply`` is a proposed one: the readings, and so the loads and the bias
        network that were derived from them, are those of the supply in which they were taken.
    supposed
        Values to take in place of guesses, by the assumption's key.
    """
    with in_force(supply.library):
        return _filled(supply, loads_of, Notes(supposed))


def _filled(supply: Supply, loads_of: FilledSupply | None, notes: Notes) -> FilledSupply:
    mains = _fill_mains(supply, notes)
    heaters = fill_heaters(supply, notes)
    relays = fill_relays(supply, notes)
    if loads_of is None:
        outputs = {
            name: fill_output(name, load, supply, notes) for name, load in supply.loads.items() if load.valves
        }
        currents = fill_currents(supply, outputs, notes)
    else:
        outputs = carried_outputs(supply, loads_of, notes)
        currents = carried_currents(supply, loads_of) | fixed_loads(supply, notes)
        known = {note.key for note in notes}
        carried = [note for note in loads_of.assumptions if note.key.startswith(("loads.", "filter."))]
        notes += [note for note in carried if note.key not in known]
    dc_amps = _dc_per_winding(supply, outputs, currents)
    amps = expected_amps(supply, heaters, dc_amps)
    primary_ohms, copper = fill_copper(supply, amps, notes)
    windings = fill_ratios(supply, primary_ohms, copper, amps, notes)
    feeds, pairs = {}, {}
    for name, rectifier in supply.rectifiers.items():
        if isinstance(rectifier.feed, Capacitor):
            feeds[name] = fill_capacitor(f"rectifiers.{name}.feed", rectifier.feed, notes)
        if rectifier.capacitors is not None:
            upper, lower = (
                fill_capacitor(f"rectifiers.{name}.capacitors.{k}", c, notes)
                for k, c in enumerate(rectifier.capacitors)
            )
            pairs[name] = (upper, lower)
    return FilledSupply(
        supply=supply,
        mains=mains,
        primary_ohms=primary_ohms,
        core=fill_core(supply, amps, notes),
        windings=windings,
        devices={name: fill_device(r.device) for name, r in supply.rectifiers.items()},
        clamps={name: fill_device(r.clamp) for name, r in supply.rectifiers.items() if r.clamp},
        pairs=pairs,
        feeds=feeds,
        nodes=_fill_nodes(supply, mains, windings, feeds, outputs, currents, loads_of, notes),
        heaters=heaters,
        currents=currents,
        outputs=outputs,
        place_ohms=_fill_places(supply, notes),
        limiters={
            place: fill_limiter(f"limiters.{place}", limiter, notes)
            for place, limiter in supply.limiters.items()
        },
        relays=relays,
        zeners={
            place: fill_zener(f"series.{place}", standing, notes)
            for place, standing in supply.series.items()
            if isinstance(standing, Zener)
        },
        warm_ups=fill_warm_ups(supply, notes),
        cold_heaters=fill_cold_heaters(
            notes, any_heaters=bool(heaters) or any(load.heats for load in currents.values())
        ),
        assumptions=tuple(dict.fromkeys(notes)),
    )


def _fill_mains(supply: Supply, notes: list[Assumption]) -> FilledMains:
    given = supply.mains
    system = library().mains_system(given.system) if given.system else None
    low, high = given.low, given.high
    if low is None:
        low = _in_proportion(system, given.voltage, "low") if system else 0.9 * given.voltage
        notes.append(_mains_note("low", low, system.voltage.citation if system else None))
    if high is None:
        high = _in_proportion(system, given.voltage, "high") if system else 1.1 * given.voltage
        notes.append(_mains_note("high", high, system.voltage.citation if system else None))
    ohms = given.impedance
    if ohms is None:
        if system is not None:
            ohms, source = system.impedance.value.ohms, system.impedance.citation
            notes.append(Assumption("mains.impedance", ohms, "ohm", "default", "its resistive part", source))
        elif given.voltage >= 200:
            reference = library().reference_impedance
            ohms, source = reference.value.ohms, reference.citation
            notes.append(Assumption("mains.impedance", ohms, "ohm", "default", "its resistive part", source))
        else:
            ohms = take(notes, guesses.MAINS_OHMS_LOW.assume("mains.impedance", "not given"))
    return FilledMains(given.voltage, low, high, given.wall, given.frequency, ohms, given.flat_top or 0.0)


def _in_proportion(system: MainsSystem, nominal: float, end: Literal["low", "high"]) -> float:
    """An end of the system's range, in proportion where the nominal voltage is not near the system's own."""
    voltage = system.voltage.value
    if abs(nominal - voltage.nominal) <= 0.1 * voltage.nominal:
        return voltage.low if end == "low" else voltage.high
    return (voltage.low if end == "low" else voltage.high) * nominal / voltage.nominal


def _mains_note(end: str, volts: float, cited: str | None) -> Assumption:
    if cited:
        return Assumption(f"mains.{end}", volts, "V", "default", "range of the mains system", cited)
    source = "IEC 60038: within 10 % of nominal (second-hand)"
    return Assumption(f"mains.{end}", volts, "V", "default", "no mains system named", source)


def _dc_per_winding(
    supply: Supply, outputs: dict[str, OutputLoad], currents: dict[str, CurrentLoad]
) -> dict[str, float]:
    """DC that the rectifiers on each winding deliver at full output [A], for guesses of copper only."""
    drawn: dict[str, float] = {}
    draws = [(load.node, _about_amps(supply, load)) for load in currents.values()]
    for output in outputs.values():
        full = output.full_anode_amps + output.full_screen_amps
        draws.append((output.anodes, max(full, output.anode_amps + output.screen_amps)))
    for node, amps in draws:
        winding = supply.rectifiers[rectifier_of(supply, node)].winding
        drawn[winding] = drawn.get(winding, 0.0) + amps
    return drawn


def _about_amps(supply: Supply, load: CurrentLoad) -> float:
    """What a load draws [A]; a resistance at the crest of its winding."""
    if load.ohms is None:
        return load.amps
    winding = supply.windings[supply.rectifiers[rectifier_of(supply, load.node)].winding]
    return math.sqrt(2) * max(winding.volts) / max(load.ohms, 1.0)


def _fill_nodes(
    supply: Supply,
    mains: FilledMains,
    windings: dict[str, FilledWinding],
    feeds: dict[str, FilledCapacitor],
    outputs: dict[str, OutputLoad],
    currents: dict[str, CurrentLoad],
    loads_of: FilledSupply | None,
    notes: list[Assumption],
) -> dict[str, FilledNode]:
    nodes = {}
    bias_nodes = {output.bias_node for output in outputs.values()}
    for name, source in parents(supply).items():
        node = supply.filter[name]
        key = f"filter.{name}"
        through = _full_amps_through(supply, name, outputs, currents)
        bias_load = None
        back_bias = root_of(supply, name).kind == "place"
        biasing = name in bias_nodes or node.range is not None or node.set is not None
        if biasing and not back_bias:  # what a back bias feeds but the grids is its bleeder, if it has one
            found = loads_of.nodes.get(name) if loads_of is not None else None
            if found is not None and found.bias_load_ohms is not None:
                bias_load = found.bias_load_ohms
            else:
                bias_load = _bias_load(supply, name, mains, windings, feeds, notes)
        nodes[name] = FilledNode(
            source=source,
            choke=fill_choke(f"{key}.choke", node.choke, through, notes) if node.choke else None,
            resistor_ohms=node.resistor.value if node.resistor else None,
            capacitor=fill_capacitor(f"{key}.capacitor", node.capacitor, notes) if node.capacitor else None,
            bleeder_ohms=node.bleeder.value if node.bleeder else None,
            was=node.was,
            bias_load_ohms=bias_load,
            zener=fill_zener(f"{key}.zener", node.zener, notes) if node.zener else None,
        )
    return nodes


def _full_amps_through(
    supply: Supply, node: str, outputs: dict[str, OutputLoad], currents: dict[str, CurrentLoad]
) -> float:
    """Current through what leads to ``node`` at full output [A]."""
    branch = set(below(supply, node))
    amps = sum(load.amps for load in currents.values() if load.node in branch)
    for output in outputs.values():
        amps += output.full_anode_amps if output.anodes in branch else 0.0
        amps += output.full_screen_amps if output.screens in branch else 0.0
    return amps


def _bias_load(
    supply: Supply,
    name: str,
    mains: FilledMains,
    windings: dict[str, FilledWinding],
    feeds: dict[str, FilledCapacitor],
    notes: list[Assumption],
) -> float:
    """Resistance of the pot and its padding, so that the node gives what was read there.

    Through a feed resistor R a half-wave rectifier holds V on a large capacitor when
    V/Rload = Vpk/(pi R) (sqrt(1 - a^2) - a arccos a), a = V/Vpk: the mean over a cycle of
    (Vpk sin - V)/R while positive. Through a feed capacitor C with a clamp diode each cycle brings
    C (2 Vpk - V): V/Rload = f C (2 Vpk - V); where a bridge stands on the winding too, which keeps its ends
    from going below the chassis, C (Vpk - V). Diode drops are neglected; the reference run corrects for them.
    """
    node = supply.filter[name]
    rectifier_name = rectifier_of(supply, name)
    rectifier = supply.rectifiers[rectifier_name]
    key = f"filter.{name}.load"
    held = node.was or (max(node.range, key=abs) if node.range else node.set)
    peak = math.sqrt(2) * (mains.wall or mains.nominal) * _end_ratio(supply, rectifier_name, windings)
    ohms = None
    if held is not None and isinstance(rectifier.feed, Resistor) and abs(held) < peak:
        a = abs(held) / peak
        amps = peak / (math.pi * rectifier.feed.value) * (math.sqrt(1 - a * a) - a * math.acos(a))
        ohms = abs(held) / amps
    elif (
        held is not None
        and rectifier_name in feeds
        and abs(held) < (swing := peak * _swing(supply, rectifier))
    ):
        amps = mains.hertz * feeds[rectifier_name].farads * (swing - abs(held))
        ohms = abs(held) / amps
    if ohms is None or not is_negative(supply, name):
        return take(notes, guesses.BIAS_LOAD.assume(key, "not given"))
    series = _resistance_before(supply, name)
    ohms = max(ohms - series, 100.0)
    notes.append(Assumption(key, ohms, "ohm", "derived", f"so that {held:g} V stands there, as read"))
    return ohms


def _swing(supply: Supply, rectifier: Rectifier) -> float:
    """From lowest to highest of a winding's end against chassis, in its crest [1]."""
    bridged = any(
        other.circuit == "bridge" and other.winding == rectifier.winding
        for other in supply.rectifiers.values()
    )
    return 1.0 if bridged else 2.0


def _resistance_before(supply: Supply, name: str) -> float:
    """Series resistance between the rectifier and a bias node, which shares in the drop [ohm]."""
    node = supply.filter[name]
    return node.resistor.value if node.resistor else 0.0


def _end_ratio(supply: Supply, rectifier_name: str, windings: dict[str, FilledWinding]) -> float:
    """Volts per primary volt of the winding's part that a half-wave rectifier stands on."""
    rectifier = supply.rectifiers[rectifier_name]
    winding = windings[rectifier.winding]
    tap = winding.taps.get(rectifier.end or "")
    if tap is not None:
        return tap.ratio
    return float(winding.ratios[-1] if rectifier.end == "b" else winding.ratios[0])


def _fill_places(supply: Supply, notes: list[Assumption]) -> dict[str, float]:
    """Resistance of the fuses at each place [ohm]."""
    ohms: dict[str, float] = {}
    for place, fuse in supply.fuses.items():
        ohms[place] = ohms.get(place, 0.0) + _fuse_ohms(place, fuse, notes)
    return ohms


def _fuse_ohms(place: str, fuse: Fuse, notes: list[Assumption]) -> float:
    if fuse.resistance is not None:
        return fuse.resistance
    ohms = float(guesses.FUSE_VOLT_AMPS.value / fuse.current**guesses.FUSE_EXPONENT)
    return take(
        notes, guesses.FUSE_VOLT_AMPS.assume(f"fuses.{place}.resistance", "its cold resistance", ohms)
    )
