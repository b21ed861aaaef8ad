"""Output valves, their sockets, screens, bias and output transformer."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from psucheck.bench.amplifier import METER_OHMS, Amplifier
from psucheck.bench.causes.cause import VALVES_IN, Cause, Size
from psucheck.bench.causes.fuses import fuses_before
from psucheck.bench.causes.surgery import (
    add_ohms,
    open_resistors,
    scale_grid,
    scale_ohms,
    scale_valve,
    shift_grid,
    socket_of,
)
from psucheck.circuit.network import GROUND, Diode, Resistor
from psucheck.circuit.wiring import OPEN_OHMS
from psucheck.supply.filled import FilledSupply, OutputLoad

EMISSION = Size("{:.0%} of its current left", (0.1, 0.3, 0.55, 0.75), mild="high")
TIRED = Size("{:.0%} of their current left", (0.3, 0.5, 0.7), mild="high")
GRID = Size("{} on the grid", (1.5, 3.0, 6.0, 12.0), unit="V")
SCREEN = Size("{:.1f} times its value", (2.0, 5.0, 15.0))
SHUNTED = Size("{:.0%} of its value", (0.05, 0.3, 0.75), mild="high")
HIGH = Size("{:.1f} times its value", (1.3, 1.8, 3.0))
POT = Size("{:.0%} of the set bias", (0.75, 0.85, 0.93, 1.08, 1.2))
FEED = Size("{:.1f} times its value", (1.2, 1.5, 2.2, 3.5))
_SCREEN_ALONE = 3.0
"""What a screen takes when its anode has no volts, over what it takes at idle; a guess without a source."""
_VALVE_SHORT_OHMS = 50.0


def valve_causes(filled: FilledSupply) -> Iterator[Cause]:
    """What can be wrong around the output valves."""
    for name, load in filled.outputs.items():
        single = load.standing == 1
        for number in range(1, load.standing + 1):
            yield from _of_socket(filled, name, load, number, single=single)
        if not single:
            yield Cause(
                "valves tired", name, f"the {name} valves are all tired", 3.0,
                lambda amp, size, name=name: _tired(amp, name, size), TIRED, VALVES_IN,
            )  # fmt: skip
        yield from _of_output_transformer(filled, name, load)
        if load.bias == "cathode":
            yield from _of_cathode(name)
        if load.bias == "node":
            yield Cause(
                "bias set wrong", name, f"the {name} bias pot stands wrong or its wiper is poor", 2.0,
                lambda amp, size, name=name: scale_grid(amp, name, size), POT,
            )  # fmt: skip
            yield from _of_bias_supply(filled, name, load)


def _of_socket(
    filled: FilledSupply, name: str, load: OutputLoad, number: int, *, single: bool
) -> Iterator[Cause]:
    valve = f"the {name} valve" if single else f"{name} valve {number}"
    at, share = f"{name} {number}", 1.0 / load.standing
    yield Cause(
        "valve weak", at, f"{valve} is weak", 8.0 * share,
        lambda amp, size: scale_valve(amp, socket_of(amp, name, number), size, size), EMISSION, VALVES_IN,
    )  # fmt: skip
    yield Cause(
        "valve dead", at, f"{valve} is dead (heater, cathode or a pin)", 3.0 * share,
        lambda amp, size: scale_valve(amp, socket_of(amp, name, number), 0.0, 0.0), None, VALVES_IN,
    )  # fmt: skip
    yield Cause(
        "grid pulled up", at,
        f"the coupling capacitor of {valve} leaks, its grid resistor is open, or it draws grid current",
        7.0 * share,
        lambda amp, size: shift_grid(amp, name, number, size), GRID, VALVES_IN,
    )  # fmt: skip
    yield Cause(
        "valve shorted", at, f"{valve} has a short (anode or screen to cathode or grid)", 3.0 * share,
        lambda amp, size: _valve_short(amp, name, number), None, VALVES_IN,
        blows=fuses_before(filled, load.anodes),
    )  # fmt: skip
    if load.screen_ohms:
        yield Cause(
            "screen resistor open", at, f"the screen resistor of {valve} is open", 2.0 * share,
            lambda amp, size: _screen_open(amp, name, number),
        )  # fmt: skip
        yield Cause(
            "screen resistor high", at, f"the screen resistor of {valve} has drifted high", 1.5 * share,
            lambda amp, size: _screen_high(amp, name, number, size), SCREEN,
        )  # fmt: skip


def _valve_short(amp: Amplifier, name: str, number: int) -> Amplifier:
    socket = socket_of(amp, name, number)
    return add_ohms(amp, socket.anode, socket.cathode, _VALVE_SHORT_OHMS, f"short in {name} {number}")


def _screen_open(amp: Amplifier, name: str, number: int) -> Amplifier:
    """Without screen volts a pentode passes next to nothing; the meter holds the pin at chassis."""
    socket = socket_of(amp, name, number)
    assert socket.screen_resistor is not None
    assert socket.screen is not None
    amp = scale_valve(open_resistors(amp, (socket.screen_resistor,)), socket, 0.0, 0.0)
    return add_ohms(amp, socket.screen, GROUND, METER_OHMS, "meter on the screen pin")


def _screen_high(amp: Amplifier, name: str, number: int, factor: float) -> Amplifier:
    socket = socket_of(amp, name, number)
    assert socket.screen_resistor is not None
    return scale_ohms(amp, (socket.screen_resistor,), factor)


def _tired(amp: Amplifier, name: str, share: float) -> Amplifier:
    for socket in amp.of_load(name):
        amp = scale_valve(amp, socket, share, share)
    return amp


def _of_output_transformer(filled: FilledSupply, name: str, load: OutputLoad) -> Iterator[Cause]:
    halves = len(filled.supply.loads[name].output_transformer or (0.0,))
    for half in range(halves):
        which = (
            f"half {'ab'[half]} of the {name} output transformer"
            if halves == 2
            else f"the {name} output transformer"
        )
        yield Cause(
            "output transformer open", f"{name} {'ab'[half]}", f"{which} is open", 0.8 / halves,
            lambda amp, size, half=half: _half_open(amp, name, half),
        )  # fmt: skip


def _half_open(amp: Amplifier, name: str, half: int) -> Amplifier:
    """No volts on the anodes of that half; their screens take what the anodes did not, and glow."""
    assert amp.halves is not None
    amp = open_resistors(amp, (amp.halves[name][half],))
    for socket in [each for each in amp.of_load(name) if each.half == half]:
        amp = scale_valve(amp, socket, 0.0, _SCREEN_ALONE)
    assert amp.halves is not None
    anode = amp.element(amp.halves[name][half]).minus
    return add_ohms(amp, anode, GROUND, METER_OHMS, "meter on the anode pin")


def _scaled(amp: Amplifier, resistor: str, factor: float) -> Amplifier:
    return scale_ohms(amp, amp.network.layout.resistors[resistor].elements, factor)


def _of_cathode(name: str) -> Iterator[Cause]:
    resistor = f"{name} cathode resistor"
    yield Cause(
        "cathode resistor low", name,
        f"the {name} cathode bypass capacitor leaks or is shorted, or its resistor is low",
        3.0, lambda amp, size: _scaled(amp, resistor, size), SHUNTED, VALVES_IN,
    )  # fmt: skip
    yield Cause(
        "cathode resistor high", name, f"the {name} cathode resistor has drifted high", 1.5,
        lambda amp, size: _scaled(amp, resistor, size), HIGH, VALVES_IN,
    )  # fmt: skip


def _of_bias_supply(filled: FilledSupply, name: str, load: OutputLoad) -> Iterator[Cause]:
    """The rectifier and the feed that make the bias; a back bias has neither."""
    node = load.bias_node
    assert node is not None
    source = filled.nodes[node].source
    while source.kind == "node":
        source = filled.nodes[source.name].source
    if source.kind != "rectifier":
        return
    rectifier = source.name
    blows = fuses_before(filled, load.anodes)
    yield Cause(
        "bias lost", name, f"the {name} bias is lost: its diode, feed or pot is open", 2.0,
        lambda amp, size: _bias_open(amp, rectifier), blows=blows, blows_in=VALVES_IN,
    )  # fmt: skip
    yield Cause(
        "bias diode reversed", name, f"the diode of the {name} bias is in the wrong way round", 0.5,
        lambda amp, size: _bias_reversed(amp, rectifier), blows=blows, blows_in=VALVES_IN,
    )  # fmt: skip
    resistors = [f"{rectifier} feed", *(f"{each} dropper" for each in filled.nodes)]
    for feed in resistors:
        if feed.endswith(" dropper") and feed.removesuffix(" dropper") != node:
            continue
        if feed.endswith(" dropper") and filled.nodes[node].resistor_ohms is None:
            continue
        if feed.endswith(" feed") and not hasattr(filled.supply.rectifiers[rectifier].feed, "power"):
            continue
        yield Cause(
            "bias feed drifted", feed, f"the {feed} resistor has drifted high", 1.5,
            lambda amp, size, feed=feed: _scaled(amp, feed, size), FEED,
        )  # fmt: skip


def _bias_open(amp: Amplifier, rectifier: str) -> Amplifier:
    changed = {}
    for arm in amp.network.layout.rectifiers[rectifier].arms:
        element = amp.element(arm)
        changed[arm] = Resistor(arm, element.plus, element.minus, f"{element.says}, open", OPEN_OHMS)
    return amp.with_elements(changed)


def _bias_reversed(amp: Amplifier, rectifier: str) -> Amplifier:
    changed = {}
    for arm in amp.network.layout.rectifiers[rectifier].arms:
        element = amp.element(arm)
        if isinstance(element, Diode):
            changed[arm] = replace(element, plus=element.minus, minus=element.plus)
    return amp.with_elements(changed)
