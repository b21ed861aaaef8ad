"""What carries over from the supply as found to the proposed one: whatever follows from readings."""

from __future__ import annotations

from dataclasses import replace

from psucheck.supply.assumptions import Assumption
from psucheck.supply.fill_currents import given_current
from psucheck.supply.fill_loads import fill_output
from psucheck.supply.filled import CurrentLoad, FilledSupply, OutputLoad
from psucheck.supply.model import Load, Supply

_READ = ("valves", "idle", "full", "full_screen", "power", "anodes", "screens")
"""Keys of output valves that tell what they draw. One that is said anew in a proposal says all of it anew."""


def carried_outputs(supply: Supply, found: FilledSupply, notes: list[Assumption]) -> dict[str, OutputLoad]:
    """The output valves of a proposed supply, drawing as they were read in the supply as found.

    Their resistors and the output transformer are the proposed ones, and so is what is missing and the volts
    of a fixed bias; the law of the valves still passes through the point that was read with the old ones.
    """
    return {
        name: _carried(name, load, supply, found, notes) for name, load in supply.loads.items() if load.valves
    }


def _carried(
    name: str, load: Load, supply: Supply, found: FilledSupply, notes: list[Assumption]
) -> OutputLoad:
    read, before = found.outputs.get(name), found.supply.loads.get(name)
    if read is None or before is None or _is_anew(load, before):
        return fill_output(name, load, supply, notes)
    now = fill_output(name, load, supply, [])
    carried = replace(
        read,
        missing=load.missing or 0,
        cathode_ohms=now.cathode_ohms,
        screen_ohms=now.screen_ohms,
        anode_path_ohms=now.anode_path_ohms,
        grid_volts=now.grid_volts if load.bias != before.bias else read.grid_volts,
    )
    if _law(carried) == _law(read):
        return carried
    return replace(carried, told_on=read.told_on or read)


def _law(output: OutputLoad) -> tuple[float | None, ...]:
    """What the law of the valves is told on."""
    return output.cathode_ohms, output.screen_ohms, output.grid_volts


def _is_anew(load: Load, before: Load) -> bool:
    if any(getattr(load, key) != getattr(before, key) for key in _READ):
        return True
    both_fixed = isinstance(load.bias, float) and isinstance(before.bias, float)
    return load.bias != before.bias and not both_fixed


def carried_currents(supply: Supply, found: FilledSupply) -> dict[str, CurrentLoad]:
    """The currents drawn in a proposed supply: as read, or as the proposal itself gives them.

    A resistance is a part and may be another one: it is not among them.
    """
    before = found.supply.loads
    drawn = {
        name: load
        for name, load in found.currents.items()
        if load.ohms is None and supply.loads.get(name) == before.get(name)
    }
    for name, load in supply.loads.items():
        given = given_current(load, found.supply)
        if given is not None and load != before.get(name):
            drawn[name] = given
    return drawn
