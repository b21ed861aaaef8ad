"""The loads' references: the nodes they draw from, their valves, their bias."""

from __future__ import annotations

import re

from psucheck import quantity
from psucheck.parts import library
from psucheck.quantity import QuantityError
from psucheck.supply import topology
from psucheck.supply.errors import listed, nearest, quoted
from psucheck.supply.model import Load, Relay, Supply, ValveCount
from psucheck.supply.referring import Referring
from psucheck.supply.toml_positions import Path
from psucheck.supply.validation import of_notation

_NEAR = 0.05
"""How far the nominal volts of heaters on a DC node may be from so many in series [share]."""
_NUMBER = re.compile(r"\s*[-+−–]?\s*[0-9.]")


def look_at_loads(refs: Referring) -> None:
    """Note every load that draws from nowhere, or that is described as two things at once."""
    for name, load in refs.supply.loads.items():
        if refs.draft.readable("loads", name):
            _look_at_load(refs, ("loads", name), load)


def _look_at_load(refs: Referring, path: Path, load: Load) -> None:
    if load.valves is None and load.node is None:
        said = 'a load has valves = "2 x EL34" and anodes, or a node and a current'
        refs.fault(path, said)
    elif load.valves is not None and load.node is not None:
        refs.fault((*path, "node"), "this load has valves, whose anodes and screens name their nodes")
    elif load.valves is not None:
        _look_at_valves(refs, path, load)
    else:
        _look_at_plain(refs, path, load)
    for key in ("node", "anodes", "screens"):
        node = getattr(load, key)
        if node is not None and refs.named("filter", node, (*path, key)) and _negative(refs, node) is True:
            refs.fault((*path, key), f'"{node}" is a bias node: no valve draws from it')
    if load.bias is not None:
        _look_at_bias(refs, path, load)


def _look_at_valves(refs: Referring, path: Path, load: Load) -> None:
    if load.anodes is None:
        refs.fault(
            path, 'the load lacks "anodes": the node that feeds its output transformer', missing="anodes"
        )
    if load.bias is None:
        said = 'the load lacks "bias": a node, "cathode" with cathode_resistor, or a voltage ("-37 V")'
        refs.fault(path, said, missing="bias")
    if load.idle is None:
        said = 'the load lacks "idle": idle = "38 mA each at the cathode"'
        refs.fault(path, said, missing="idle")
    for index, entry in enumerate(load.valves or ()):
        refs.part(library().load_valve, entry.type, (*path, "valves", index, "type"), "the valve")
    count = sum(entry.count for entry in load.valves or ())
    if load.missing is not None and load.missing >= count:
        said = f"{load.missing} of {count} valves missing leaves none: take the load out instead"
        refs.fault((*path, "missing"), said)
    for key in ("current", "resistance"):
        if getattr(load, key) is not None:
            refs.fault(
                (*path, key), f"{key} belongs to a load without valves; what valves draw is their idle"
            )
    for key in ("heaters", "at", "relay"):
        if getattr(load, key) is not None:
            refs.fault((*path, key), f"{key} belongs to a load of its own, on the node that feeds it")


def _look_at_plain(refs: Referring, path: Path, load: Load) -> None:
    for key in (
        "anodes",
        "screens",
        "bias",
        "idle",
        "cathode_resistor",
        "output_transformer",
        "screen_resistors",
        "missing",
    ):
        if getattr(load, key) is not None:
            refs.fault((*path, key), f"{key} belongs to a load with valves")
    if load.heaters is not None:
        _look_at_heaters(refs, path, load, load.heaters)
    elif load.at is not None:
        refs.fault((*path, "at"), 'at belongs to heaters on a DC node: heaters = "3 x ECC83"')
    if load.relay is not None and load.heaters is None:
        _look_at_relay(refs, path, load, load.relay)
    if load.current is not None and load.resistance is not None:
        refs.fault((*path, "resistance"), "a load is a current or a resistance: give one of them")
    if load.constant and load.current is None:
        refs.fault((*path, "constant"), "constant belongs to a load with a current")


def _look_at_heaters(refs: Referring, path: Path, load: Load, line_up: tuple[ValveCount, ...]) -> None:
    """Heaters on a DC node: valves that are held, at volts that so many in series have, and nothing else."""
    found = len(refs.faults)
    for index, entry in enumerate(line_up):
        refs.part(library().load_valve, entry.type, (*path, "heaters", index, "type"), "the valve")
    for key in ("current", "resistance", "constant", "relay"):
        if getattr(load, key):
            refs.fault((*path, key), f"what heaters draw is their types': {key} belongs to another load")
    if len(refs.faults) > found or not line_up or load.at is None:
        return
    single = library().load_valve(line_up[0].type).heater.value.volts
    times = round(load.at / single)
    if not times or abs(load.at - times * single) > _NEAR * times * single:
        wanted = f"{quantity.show(single, 'V')}, or {quantity.show(2 * single, 'V')} for two in series"
        at = quantity.show(load.at, "V")
        said = f"heaters of {line_up[0].type} stand on {wanted}, and so on; not on {at}"
        refs.fault((*path, "at"), said)


def _look_at_relay(refs: Referring, path: Path, load: Load, relay: Relay) -> None:
    """A relay's coil needs its ohms, once, and lets go below the volts at which it pulls in."""
    given = [load.resistance, load.current, relay.resistance]
    if all(one is None for one in given):
        refs.fault(path, 'the relay lacks the ohms of its coil: relay = "12 V 360 ohm"')
    elif relay.resistance is not None and (load.resistance is not None or load.current is not None):
        refs.fault((*path, "relay", "resistance"), "the coil is given twice: give its ohms once")
    pull_in = relay.pull_in if relay.pull_in is not None else relay.voltage
    if relay.holds is not None and pull_in is not None and relay.holds >= pull_in:
        said = f"a relay lets go below the {quantity.show(pull_in, 'V')} at which it pulls in"
        refs.fault((*path, "relay", "holds"), said)


def _look_at_bias(refs: Referring, path: Path, load: Load) -> None:
    path = (*path, "bias")
    bias = load.bias
    if isinstance(bias, float):
        if bias >= 0:
            refs.fault(path, f"a fixed bias is negative: -{quantity.show(bias, 'V')}")
    elif bias == "cathode":
        if load.cathode_resistor is None:
            refs.fault(path, 'cathode bias needs its resistor: cathode_resistor = "270 ohm 5 W"')
    elif bias is not None and bias not in refs.supply.filter and _NUMBER.match(bias):
        _look_at_number(refs, path, bias)
    elif bias is not None and not refs.draft.readable("filter"):
        return
    elif bias is not None and bias not in refs.supply.filter:
        names = [*refs.supply.filter, "cathode"]
        said = f'{quoted(bias)} is no node of the filter, no voltage ("-37 V") and not "cathode"'
        refs.fault(path, said, read=bias, allowed=listed(names), nearest=nearest(bias, names), about="filter")
    elif bias is not None:
        node = refs.supply.filter[bias]
        if node.range is None and node.set is None and _negative(refs, bias) is False:
            said = f'"{bias}" is no bias node: its rectifier is positive, and it has no range and no set'
            refs.fault(path, said)


def _look_at_number(refs: Referring, path: Path, text: str) -> None:
    try:
        quantity.read(text, "V", allow_negative=True)
    except QuantityError as error:
        refs.fault(path, of_notation(error), read=text, column=error.column)


def _negative(refs: Referring, node: str) -> bool | None:
    """Whether a node stands below the chassis; None where that cannot be told."""
    supply: Supply = refs.supply
    if not refs.draft.feeds_known:
        return None
    try:
        rectifier = topology.rectifier_of(supply, node)
    except (topology.TopologyError, KeyError):
        return None
    return topology.is_negative(supply, node) if refs.draft.sound("rectifiers", rectifier) else None
