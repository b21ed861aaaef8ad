"""The same supply with some of its parts off: what each key of a tolerance changes, and nothing else."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from psucheck.supply.filled import (
    FilledDevice,
    FilledNode,
    FilledSupply,
    FilledTap,
    FilledWinding,
    OutputLoad,
)
from psucheck.supply.model import Resistor
from psucheck.supply.tolerances import UnknownKey, tolerances

_Change = Callable[[FilledSupply, str, float], FilledSupply]
"""Supply, name of the part, factor -> supply."""


def varied(filled: FilledSupply, factors: Mapping[str, float]) -> FilledSupply:
    """``filled`` with each value of ``factors`` at so many times its own.

    Parameters
    ----------
    factors
        Key of a :class:`~psucheck.supply.tolerances.Tolerance` -> factor [1].

    Returns
    -------
    FilledSupply
        What was read stays as it was read, on the supply as it was: readings are placed on ``filled``, not on
        what comes back. Rectifier drop: at every current so many times the volts. Iron: loss and magnetising
        current. Winding volts: all sections and taps of it.

    Raises
    ------
    UnknownKey
        If the supply has no such value.
    """
    for key, factor in factors.items():
        if factor == 1.0:
            continue
        change, name = _change_of(key)
        try:
            filled = change(filled, name, factor)
        except LookupError:
            raise UnknownKey(key, [one.key for one in tolerances(filled)]) from None
    return filled


def _change_of(key: str) -> tuple[_Change, str]:
    """What a key changes, and the name of the part in it, which may have dots of its own."""
    room, _, rest = key.partition(".")
    name, _, value = rest.rpartition(".")
    return _CHANGES.get(f"{room}.{value}" if rest else key, _unknown), name


def _unknown(filled: FilledSupply, name: str, factor: float) -> FilledSupply:
    raise KeyError(name)


# --- mains and transformer --------------------------------------------------------------------------------


def _mains(filled: FilledSupply, name: str, factor: float) -> FilledSupply:
    mains = filled.mains
    wall = mains.wall * factor if mains.wall is not None else None
    volts = {"nominal": mains.nominal * factor, "low": mains.low * factor, "high": mains.high * factor}
    return replace(filled, mains=replace(mains, wall=wall, **volts))


def _impedance(filled: FilledSupply, name: str, factor: float) -> FilledSupply:
    return replace(filled, mains=replace(filled.mains, ohms=filled.mains.ohms * factor))


def _primary(filled: FilledSupply, name: str, factor: float) -> FilledSupply:
    return replace(filled, primary_ohms=filled.primary_ohms * factor)


def _iron(filled: FilledSupply, name: str, factor: float) -> FilledSupply:
    core = filled.core
    if core is None:
        raise KeyError(name)
    return replace(
        filled,
        core=replace(core, loss_ohms=core.loss_ohms / factor, rated_amps=core.rated_amps * factor),
    )


def _leakage(filled: FilledSupply, name: str, factor: float) -> FilledSupply:
    if filled.core is None:
        raise KeyError(name)
    core = replace(filled.core, leakage_henries=filled.core.leakage_henries * factor)
    return replace(filled, core=core)


def _winding_volts(filled: FilledSupply, name: str, factor: float) -> FilledSupply:
    winding = filled.windings[name]
    taps = {tap: FilledTap(at.ratio * factor, at.ohms) for tap, at in winding.taps.items()}
    changed = FilledWinding(tuple(ratio * factor for ratio in winding.ratios), winding.ohms, taps)
    return replace(filled, windings={**filled.windings, name: changed})


def _winding_ohms(filled: FilledSupply, name: str, factor: float) -> FilledSupply:
    winding = filled.windings[name]
    taps = {tap: FilledTap(at.ratio, at.ohms * factor) for tap, at in winding.taps.items()}
    changed = FilledWinding(winding.ratios, tuple(ohm * factor for ohm in winding.ohms), taps)
    return replace(filled, windings={**filled.windings, name: changed})


def _heaters(filled: FilledSupply, name: str, factor: float) -> FilledSupply:
    if all(load.winding != name for load in filled.heaters):
        raise KeyError(name)
    heaters = tuple(
        replace(load, amps=load.amps * factor, pulled_amps=load.pulled_amps * factor)
        if load.winding == name
        else load
        for load in filled.heaters
    )
    return replace(filled, heaters=heaters)


# --- rectifiers -------------------------------------------------------------------------------------------


def _drop(filled: FilledSupply, name: str, factor: float) -> FilledSupply:
    return replace(filled, devices={**filled.devices, name: _dropping(filled.devices[name], factor)})


def _dropping(device: FilledDevice, factor: float) -> FilledDevice:
    """The device with ``factor`` times the volts at every current.

    Valve: i = K v^1.5, so K goes with factor^-1.5. Silicon: v = N Vt ln(1 + i/Is) + i Rs, so N and Rs go with
    it. Silicon behind a valve stays.
    """
    if device.kind == "valve":
        return replace(device, perveance=device.perveance / factor**1.5)
    return replace(device, emission=device.emission * factor, series_ohms=device.series_ohms * factor)


def _of_rectifier(field: str) -> _Change:
    """A resistor that the description alone holds."""

    def change(filled: FilledSupply, name: str, factor: float) -> FilledSupply:
        rectifier = filled.supply.rectifiers[name]
        part = getattr(rectifier, field)
        if not isinstance(part, Resistor):
            raise KeyError(name)
        rectifiers = {
            **filled.supply.rectifiers,
            name: rectifier.model_copy(update={field: _resistor(part, factor)}),
        }
        return _described(filled, rectifiers=rectifiers)

    return change


def _of_rectifier_capacitor(field: str) -> _Change:
    """A value of one of a doubler's two capacitors (``"ht.capacitors.0"``), or of a feed capacitor."""

    def change(filled: FilledSupply, name: str, factor: float) -> FilledSupply:
        if name.endswith(".feed"):
            name = name.removesuffix(".feed")
            feed = filled.feeds[name]
            return replace(
                filled, feeds={**filled.feeds, name: replace(feed, **_scaled(feed, field, factor))}
            )
        name, _, number = name.rpartition(".capacitors.")
        upper, lower = filled.pairs[name]
        if number == "0":
            upper = replace(upper, **_scaled(upper, field, factor))
        else:
            lower = replace(lower, **_scaled(lower, field, factor))
        return replace(filled, pairs={**filled.pairs, name: (upper, lower)})

    return change


# --- filter -----------------------------------------------------------------------------------------------


def _scaled(part: Any, field: str, factor: float) -> dict[str, Any]:
    """The changed field; KeyError where the part has no such value."""
    value = getattr(part, field)
    if value is None:
        raise KeyError(field)
    return {field: value * factor}


def _of_node(field: str) -> _Change:
    def change(filled: FilledSupply, name: str, factor: float) -> FilledSupply:
        node = filled.nodes[name]
        return _with_node(filled, name, replace(node, **_scaled(node, field, factor)))

    return change


def _of_node_part(part: str, field: str) -> _Change:
    """A value of the choke or the capacitor of a node."""

    def change(filled: FilledSupply, name: str, factor: float) -> FilledSupply:
        held = getattr(filled.nodes[name], part)
        if held is None:
            raise KeyError(name)
        changed: dict[str, Any] = {part: replace(held, **_scaled(held, field, factor))}
        return _with_node(filled, name, replace(filled.nodes[name], **changed))

    return change


def _with_node(filled: FilledSupply, name: str, node: FilledNode) -> FilledSupply:
    return replace(filled, nodes={**filled.nodes, name: node})


# --- loads ------------------------------------------------------------------------------------------------


def _of_current(field: str) -> _Change:
    def change(filled: FilledSupply, name: str, factor: float) -> FilledSupply:
        load = filled.currents[name]
        changed = replace(load, **_scaled(load, field, factor))
        return replace(filled, currents={**filled.currents, name: changed})

    return change


def _dc_heaters(filled: FilledSupply, name: str, factor: float) -> FilledSupply:
    return _of_current("ohms")(filled, name, 1.0 / factor)


def _of_output(*fields: str) -> _Change:
    """Some of an output stage; its valves' law stays told on the parts with which it was read."""

    def change(filled: FilledSupply, name: str, factor: float) -> FilledSupply:
        load = filled.outputs[name]
        changes: dict[str, Any] = {field: getattr(load, field) * factor for field in fields}
        changed: OutputLoad = replace(load, **changes, told_on=load.told_on or load)
        return replace(filled, outputs={**filled.outputs, name: changed})

    return change


# --- places -----------------------------------------------------------------------------------------------


def _fuse(filled: FilledSupply, name: str, factor: float) -> FilledSupply:
    return replace(filled, place_ohms={**filled.place_ohms, name: filled.place_ohms[name] * factor})


def _limiter(filled: FilledSupply, name: str, factor: float) -> FilledSupply:
    limiter = filled.limiters[name]
    changed = replace(limiter, cold=limiter.cold * factor, hot=limiter.hot * factor)
    return replace(filled, limiters={**filled.limiters, name: changed})


def _zener(filled: FilledSupply, name: str, factor: float) -> FilledSupply:
    zener = filled.zeners[name]
    return replace(filled, zeners={**filled.zeners, name: replace(zener, volts=zener.volts * factor)})


def _series(filled: FilledSupply, name: str, factor: float) -> FilledSupply:
    part = filled.supply.series[name]
    if not isinstance(part, Resistor):
        raise KeyError(name)
    return _described(filled, series={**filled.supply.series, name: _resistor(part, factor)})


def _resistor(part: Resistor, factor: float) -> Resistor:
    return part.model_copy(update={"value": part.value * factor})


def _described(filled: FilledSupply, **changes: Any) -> FilledSupply:
    return replace(filled, supply=filled.supply.model_copy(update=changes))


_CHANGES: Mapping[str, _Change] = {
    "mains": _mains,
    "mains.impedance": _impedance,
    "transformer.resistance": _primary,
    "transformer.iron": _iron,
    "transformer.leakage": _leakage,
    "windings.volts": _winding_volts,
    "windings.resistance": _winding_ohms,
    "windings.heater_current": _heaters,
    "rectifiers.drop": _drop,
    "rectifiers.feed_resistor": _of_rectifier("feed"),
    "rectifiers.anode_resistors": _of_rectifier("anode_resistors"),
    "rectifiers.capacitance": _of_rectifier_capacitor("farads"),
    "rectifiers.esr": _of_rectifier_capacitor("esr"),
    "rectifiers.leakage": _of_rectifier_capacitor("leakage_ohms"),
    "rectifiers.balancing": _of_rectifier_capacitor("balancing_ohms"),
    "filter.capacitance": _of_node_part("capacitor", "farads"),
    "filter.esr": _of_node_part("capacitor", "esr"),
    "filter.leakage": _of_node_part("capacitor", "leakage_ohms"),
    "filter.balancing": _of_node_part("capacitor", "balancing_ohms"),
    "filter.inductance": _of_node_part("choke", "henries"),
    "filter.choke_knee": _of_node_part("choke", "knee_amps"),
    "filter.choke_resistance": _of_node_part("choke", "ohms"),
    "filter.resistor": _of_node("resistor_ohms"),
    "filter.bleeder": _of_node("bleeder_ohms"),
    "filter.load": _of_node("bias_load_ohms"),
    "loads.current": _of_current("amps"),
    "loads.resistance": _of_current("ohms"),
    "loads.heater_current": _dc_heaters,
    "loads.valves": _of_output("anode_amps", "screen_amps"),
    "loads.full": _of_output("full_anode_amps", "full_screen_amps"),
    "loads.screen_current": _of_output("screen_amps"),
    "loads.cathode_resistor": _of_output("cathode_ohms"),
    "loads.screen_resistors": _of_output("screen_ohms"),
    "fuses.resistance": _fuse,
    "limiters.resistance": _limiter,
    "series.volts": _zener,
    "series.resistance": _series,
}
"""Room and value of a key -> what it changes."""
