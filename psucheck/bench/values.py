"""What stands at each test point in a condition, and what an ohmmeter shows there."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from psucheck.bench.names import CHASSIS
from psucheck.bench.ohms import ohms_between, plug_ohms
from psucheck.bench.points import Kind, Point, points, transformer_ohms
from psucheck.circuit.condition import Readings
from psucheck.figures.model import Figures, ValveFigures
from psucheck.supply.filled import FilledSupply, OutputLoad

CATHODE_OHMS = 1.0
"""The resistor in each cathode lead over which a fixed-bias stage's current is read [ohm]; 1 mV is 1 mA.
Common practice, no source. It is too small to stand in the runs."""


def values(filled: FilledSupply, readings: Readings, figures: Figures) -> dict[str, float]:
    """What a meter shows at each live point in a condition [SI]: point name -> value.

    Points that mean nothing there are left out: a cathode with the valves out.

    Parameters
    ----------
    readings
        Those the condition was run with: they say where the bias pot stands.
    """
    found = {}
    for point in points(filled):
        if not point.cold:
            value = _LIVE[point.kind](point, filled, readings, figures)
            if value is not None:
                found[point.name] = value
    return found


def cold_values(filled: FilledSupply) -> dict[str, float]:
    """What an ohmmeter shows at each cold point once the capacitors are charged through it [ohm].

    A diode between is taken as blocking, so a node's red lead stands for the pole at which it does.
    """
    between = ohms_between(filled)
    return {point.name: _COLD[point.kind](point, filled, between) for point in points(filled) if point.cold}


# --- what stands there ------------------------------------------------------------------------------------


def _mains_volts(point: Point, filled: FilledSupply, readings: Readings, figures: Figures) -> float | None:
    return figures.mains


def _mains_amps(point: Point, filled: FilledSupply, readings: Readings, figures: Figures) -> float | None:
    return figures.mains_supply.rms_current if figures.mains_supply else None


def _mains_watts(point: Point, filled: FilledSupply, readings: Readings, figures: Figures) -> float | None:
    return figures.mains_supply.watts if figures.mains_supply else None


def _node_dc(point: Point, filled: FilledSupply, readings: Readings, figures: Figures) -> float | None:
    return figures.nodes[point.of].dc


def _node_ac(point: Point, filled: FilledSupply, readings: Readings, figures: Figures) -> float | None:
    return figures.nodes[point.of].ripple_rms


def _winding_ac(point: Point, filled: FilledSupply, readings: Readings, figures: Figures) -> float | None:
    return figures.windings[point.of].section_volts[point.number - 1]


def _bias(point: Point, filled: FilledSupply, readings: Readings, figures: Figures) -> float | None:
    load = filled.outputs[point.of]
    if load.bias_node is None:
        return load.grid_volts
    return readings.grid_shares.get(point.of, 1.0) * figures.nodes[load.bias_node].dc


def _bias_end(point: Point, filled: FilledSupply, readings: Readings, figures: Figures) -> float | None:
    """The pot's end as described, which holds at the wall voltage of the readings, in proportion."""
    load = filled.outputs[point.of]
    assert load.bias_node is not None
    ends, share = filled.supply.filter[load.bias_node].range, readings.grid_shares.get(point.of)
    if ends is None or load.grid_volts is None or not share:
        return None
    end = (min if point.number == 1 else max)(ends)
    return share * figures.nodes[load.bias_node].dc * end / load.grid_volts


def _cathode_volts(load: OutputLoad, valves: ValveFigures) -> float:
    return load.cathode_ohms * valves.count * (valves.anode_current + valves.screen_current)


def _anode(point: Point, filled: FilledSupply, readings: Readings, figures: Figures) -> float | None:
    load, valves = filled.outputs[point.of], figures.valves.get(point.of)
    if valves is None:
        return figures.nodes[load.anodes].dc
    return valves.anode_volts + _cathode_volts(load, valves)


def _screen(point: Point, filled: FilledSupply, readings: Readings, figures: Figures) -> float | None:
    load, valves = filled.outputs[point.of], figures.valves.get(point.of)
    assert load.screens is not None
    if valves is None:
        return figures.nodes[load.screens].dc
    return valves.screen_volts + _cathode_volts(load, valves)


def _cathode(point: Point, filled: FilledSupply, readings: Readings, figures: Figures) -> float | None:
    load, valves = filled.outputs[point.of], figures.valves.get(point.of)
    if valves is None:
        return None
    if load.cathode_ohms:
        return _cathode_volts(load, valves)
    return CATHODE_OHMS * (valves.anode_current + valves.screen_current)


def _transformer_drop(
    point: Point, filled: FilledSupply, readings: Readings, figures: Figures
) -> float | None:
    """Anode current of the valves on one half, through its copper."""
    valves, sections = figures.valves.get(point.of), transformer_ohms(filled, point.of)
    if valves is None:
        return None
    return valves.anode_current * valves.count / len(sections) * sections[point.number - 1]


def _screen_drop(point: Point, filled: FilledSupply, readings: Readings, figures: Figures) -> float | None:
    valves = figures.valves.get(point.of)
    if valves is None:
        return None
    return valves.screen_current * screen_resistor_ohms(filled, point.of)


def screen_resistor_ohms(filled: FilledSupply, load: str) -> float:
    """The resistor at one screen [ohm]; in the filled load all of them stand in parallel."""
    output = filled.outputs[load]
    return output.screen_ohms * output.count


_LIVE: Mapping[Kind, Callable[[Point, FilledSupply, Readings, Figures], float | None]] = {
    "mains volts": _mains_volts,
    "mains amps": _mains_amps,
    "mains watts": _mains_watts,
    "node DC": _node_dc,
    "node AC": _node_ac,
    "winding AC": _winding_ac,
    "bias": _bias,
    "bias end": _bias_end,
    "anode": _anode,
    "screen": _screen,
    "cathode": _cathode,
    "transformer drop": _transformer_drop,
    "screen drop": _screen_drop,
}


# --- cold -------------------------------------------------------------------------------------------------

Between = Callable[[str, str], float]
"""Ohms between two nodes of the filter, or a node and the chassis."""


def _plug(point: Point, filled: FilledSupply, between: Between) -> float:
    return plug_ohms(filled)


def _winding_ohms(point: Point, filled: FilledSupply, between: Between) -> float:
    return filled.windings[point.of].ohms[point.number - 1]


def _of_transformer(point: Point, filled: FilledSupply, between: Between) -> float:
    return transformer_ohms(filled, point.of)[point.number - 1]


def _choke_ohms(point: Point, filled: FilledSupply, between: Between) -> float:
    choke = filled.nodes[point.of].choke
    assert choke is not None
    return choke.ohms


def _dropper_ohms(point: Point, filled: FilledSupply, between: Between) -> float:
    node = filled.nodes[point.of]
    assert node.resistor_ohms is not None
    # In place it is read with all that stands beside it; from the rectifier's side nothing else is known.
    return between(node.source.name, point.of) if node.source.kind == "node" else node.resistor_ohms


def _screen_ohms(point: Point, filled: FilledSupply, between: Between) -> float:
    return screen_resistor_ohms(filled, point.of)


def _node_ohms(point: Point, filled: FilledSupply, between: Between) -> float:
    return between(point.of, CHASSIS)


_COLD: Mapping[Kind, Callable[[Point, FilledSupply, Between], float]] = {
    "plug ohms": _plug,
    "winding ohms": _winding_ohms,
    "transformer ohms": _of_transformer,
    "choke ohms": _choke_ohms,
    "dropper ohms": _dropper_ohms,
    "screen ohms": _screen_ohms,
    "node ohms": _node_ohms,
}
