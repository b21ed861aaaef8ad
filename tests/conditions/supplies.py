"""Small supplies, one for each rectifier circuit and each way to make bias, with little else to them."""

from __future__ import annotations

_HEAD = """\
title = "{title}"
valves = "2 x EL34, 2 x ECC83"
[mains]
voltage = "230 V"
frequency = "50 Hz"
system = "EU"
wall = "236 V"
[transformer]
primary = "230 V, 8 ohm"
[windings]
heaters = "6.8 V off load at 236 V, 5 A"
ht = "{winding}"
{windings}
[rectifiers.ht]
circuit = "{circuit}"
winding = "ht"
device = "1N4007"
{rectifier}
[filter]
{filter}
[loads.output]
valves = "2 x EL34"
anodes = "reservoir"
screens = "screens"
{bias}
idle = "36 mA each at the cathode"
output_transformer = "50 + 50 ohm"
[loads.preamp]
node = "preamp"
current = "4 mA"
{more}
"""

_CENTRE_TAPPED = "300-0-300 V off load at 236 V, 40 + 42 ohm, 250 mA"
_DOUBLED = "160 V off load at 236 V, 12 ohm, 450 mA"
_PAIR = 'capacitors = ["220 uF 350 V", "220 uF 350 V"]'
_BIAS = """\
[rectifiers.bias]
circuit = "half-wave"
polarity = "negative"
winding = "ht"
device = "1N4007"
{rectifier}
[filter.bias]
from = "rectifiers.bias"
capacitor = "22 uF 100 V"
{node}
range = ["-28 V", "-50 V"]
set = "-36 V"
"""

RESERVOIR = 'reservoir = "100 uF 500 V"'
SCREENS = 'screens = "choke 5 H 90 ohm 200 mA, 47 uF 500 V"'
PREAMP = 'preamp = "10k 1 W, 22 uF 450 V"'
LADDER = (RESERVOIR, SCREENS, PREAMP)


def describe(
    title: str,
    winding: str = _CENTRE_TAPPED,
    circuit: str = "centre-tapped",
    ladder: tuple[str, ...] = LADDER,
    *,
    rectifier: str = "",
    windings: str = "",
    bias: str = 'bias = "-36 V"',
    more: str = "",
) -> str:
    """The text of a description."""
    return _HEAD.format(
        title=title, winding=winding, circuit=circuit, filter="\n".join(ladder), rectifier=rectifier,
        windings=windings, bias=bias, more=more,
    )  # fmt: skip


def _with_bias(title: str, rectifier: str, node: str = "", winding: str = _CENTRE_TAPPED) -> str:
    return describe(title, winding, bias='bias = "bias"', more=_BIAS.format(rectifier=rectifier, node=node))


_SMALL_SERIES = 'reservoir = "10 ohm 2 W, 100 uF 500 V"'

SUPPLIES: dict[str, str] = {
    "centre-tapped": describe("centre-tapped"),
    "bridge": describe("bridge", "300 V off load at 236 V, 40 ohm, 250 mA", "bridge"),
    "bridge with centre tap": describe(
        "bridge, its centre tap on the joint of two capacitors",
        "150-0-150 V off load at 236 V, 20 + 20 ohm, 250 mA",
        "bridge",
        ('reservoir = "2 x 100 uF 350 V in series with 220k 1 W each"', SCREENS, PREAMP),
        rectifier='centre_tap = "reservoir middle"',
    ),
    "half-wave": describe("half-wave", "300 V off load at 236 V, 40 ohm, 250 mA", "half-wave"),
    "full-wave doubler": describe(
        "full-wave doubler", _DOUBLED, "full-wave doubler", (_SMALL_SERIES, SCREENS, PREAMP), rectifier=_PAIR
    ),
    "full-wave doubler, middle tapped": describe(
        "full-wave doubler with the screens on its middle",
        _DOUBLED,
        "full-wave doubler",
        (
            _SMALL_SERIES,
            'screens = { from = "rectifiers.ht middle", resistor = "100 ohm", capacitor = "47 uF 500 V" }',
            'preamp = { from = "reservoir", resistor = "10k 1 W", capacitor = "22 uF 450 V" }',
        ),
        rectifier=_PAIR,
    ),
    "cascade doubler": describe(
        "cascade doubler", _DOUBLED, "cascade doubler", (_SMALL_SERIES, SCREENS, PREAMP), rectifier=_PAIR
    ),
    "choke input": describe(
        "choke input",
        "420-0-420 V off load at 236 V, 40 + 42 ohm, 250 mA",
        ladder=(
            'reservoir = "choke 10 H 90 ohm 250 mA, 100 uF 700 V, bleeder 22k 10 W"',
            SCREENS.replace("500 V", "700 V"),
            PREAMP,
        ),
    ),
    "cathode bias": describe("cathode bias", bias='bias = "cathode"\ncathode_resistor = "470 ohm 5 W"'),
    "two rails": describe(
        "two HT rails",
        ladder=(
            'reservoir = { from = "rectifiers.ht", capacitor = "100 uF 500 V" }',
            'screens = { from = "rectifiers.screens", capacitor = "47 uF 450 V" }',
            PREAMP,
        ),
        windings='screens = "250 V off load at 236 V, 60 ohm, 60 mA"',
        more='[rectifiers.screens]\ncircuit = "bridge"\nwinding = "screens"\ndevice = "1N4007"',
    ),
    "branch": describe(
        "two branches",
        ladder=(
            RESERVOIR,
            SCREENS,
            'splitter = "10k 1 W, 22 uF 450 V"',
            'preamp = { from = "screens", resistor = "22k 1 W", capacitor = "22 uF 450 V" }',
        ),
    ),
    "bias through a resistor": _with_bias("bias through a resistor", 'feed = "47k 2 W"'),
    "bias through a capacitor": _with_bias(
        "bias through a capacitor and a clamp", 'feed = "47 nF 1000 V"\nclamp = "1N4007"'
    ),
    "bias from a tap": _with_bias(
        "bias from a tap",
        'end = "bias"',
        'resistor = "1k 0.5 W"\nbleeder = "56k 0.5 W"',
        f"{_CENTRE_TAPPED}, tap bias 45 V",
    ),
    "standby": describe("standby switch", more='[switches]\nstandby = "before screens"'),
}
"""Name -> description."""
