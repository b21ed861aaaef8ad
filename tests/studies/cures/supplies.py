"""Small invented supplies with one thing wrong in each."""

from __future__ import annotations

TEXT = """\
title = "{title}"
valves = "2 x EL84, 2 x ECC83"
[mains]
voltage = "230 V"
frequency = "50 Hz"
system = "EU"
{mains}
[transformer]
primary = "230 V, {primary}"
core = "{core}"
power = "120 VA"
{taps}
[windings]
ht = "{ht}"
heaters = "{heaters}"
{windings}
[rectifiers.ht]
circuit = "centre-tapped"
winding = "ht"
device = "{device}"
{heater}
[filter]
reservoir = "{reservoir}"
screens = "{screens}"
preamp = "{preamp}"
[loads.output]
valves = "2 x EL84"
anodes = "reservoir"
screens = "screens"
bias = "cathode"
cathode_resistor = "{cathode}"
idle = "{idle}"
output_transformer = "100 + 100 ohm"
[loads.preamp]
node = "preamp"
current = "3 mA"
{more}
"""

SOUND = {
    "title": "Combo",
    "mains": "",
    "primary": "14 ohm",
    "core": "ideal",
    "taps": "",
    "ht": "240-0-240 V off load at 230 V, 60 + 60 ohm, 200 mA",
    "heaters": "6.3 V 4 A, 0.05 ohm",
    "windings": "",
    "device": "1N4007",
    "heater": "",
    "reservoir": "47 uF 450 V",
    "screens": "1k 3 W, 47 uF 450 V",
    "preamp": "22k 2 W, 22 uF 450 V",
    "cathode": "150 ohm 5 W",
    "idle": "38 mA each at the cathode",
    "more": "",
}
"""Nothing over, nothing marginal."""

VALVE_RECTIFIER = {
    "device": "5Y3GT",
    "heater": 'heater = "rect"',
    "windings": 'rect = "5 V 2.5 A, 0.1 ohm"',
    "ht": "260-0-260 V off load at 230 V, 90 + 90 ohm, 200 mA",
}
FUSED = {"core": "laminated", "primary": "10 ohm", "ht": "240-0-240 V off load at 230 V, 40 + 40 ohm, 400 mA"}


def supply(**wrong: str) -> str:
    """The sound supply with something wrong."""
    return TEXT.format(**{**SOUND, **wrong})


def fuse(marking: str) -> str:
    """A mains fuse."""
    return f'[fuses]\nmains = "{marking}"'
