"""Supplies on the bench, each wound up once in a process."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from psucheck.bench.plan import Plan, make_plan
from psucheck.bench.runs import Setting, figures_at
from psucheck.bench.values import values
from psucheck.circuit.condition import Readings, State
from psucheck.engine.here import Here
from psucheck.figures.model import Figures
from psucheck.supply.filled import FilledSupply
from tests.conditions.supplies import SUPPLIES, describe
from tests.engine_runs import described, readings_of

HUNDRED_WATTS = """\
title = "Four-EL34 head of a hundred watts"
valves = "4 x EL34, 3 x ECC83"
meter = "0.5 % + 2"
[mains]
voltage = "240 V"
frequency = "50 Hz"
wall = "240 V"
[transformer]
primary = "240 V, 3.2 ohm"
[windings]
ht = "350-0-350 V off load at 240 V, 18 + 19 ohm, 400 mA"
heaters = "3.5-0-3.5 V off load at 240 V, 0.02 + 0.02 ohm, 8 A"
[rectifiers.ht]
circuit = "centre-tapped"
winding = "ht"
device = "2 x 1N4007 in series"
[filter]
reservoir = "100 uF 550 V"
screens = "choke 5 H 60 ohm 250 mA, 50 uF 550 V"
splitter = "10k 2 W, 32 uF 550 V"
preamp = "10k 1 W, 32 uF 550 V"
[loads.output]
valves = "4 x EL34"
anodes = "reservoir"
screens = "screens"
bias = "bias"
idle = "36 mA each at the cathode"
output_transformer = "22 + 24 ohm"
screen_resistors = "1k 5 W"
[loads.preamp]
node = "preamp"
current = "5 mA"
[rectifiers.bias]
circuit = "half-wave"
polarity = "negative"
winding = "ht"
feed = "47k 3 W"
device = "1N4007"
[filter.bias]
from = "rectifiers.bias"
capacitor = "10 uF 160 V"
range = ["-34 V", "-52 V"]
set = "-42 V"
[fuses]
mains = "T3.15AH250V"
"""
"""Silicon, HT near 500 V unloaded, 240 V mains, 6.3 V centre-tapped heaters."""

VALVE = describe(
    "a rectifier valve",
    rectifier='heater = "rectifier heater"',
    windings='"rectifier heater" = "5 V 2 A"',
).replace('device = "1N4007"', 'device = "GZ34"', 1)


TEXTS = {"valve": VALVE, "hundred watts": HUNDRED_WATTS, **SUPPLIES}


@dataclass(frozen=True)
class Wound:
    """A supply, its readings, and the figures of some settings."""

    filled: FilledSupply
    readings: Readings
    figures: dict[Setting, Figures]

    def at(self, state: State, volts: float) -> dict[str, float]:
        """What a meter shows at each test point."""
        return values(self.filled, self.readings, self.figures[Setting(state, volts)])


@cache
def wound(name: str, *settings: tuple[State, float]) -> Wound:
    """A supply of :data:`TEXTS` at ``settings``."""
    filled = described(TEXTS[name])
    readings = readings_of(filled)
    wanted = [Setting(*each) for each in settings]
    return Wound(filled, readings, figures_at(filled, readings, wanted, Here()))


@cache
def plan(name: str) -> Plan:
    """A supply of :data:`TEXTS` wound up as the sheet wants it."""
    filled = described(TEXTS[name])
    return make_plan(filled, readings_of(filled), filled.mains.wall or filled.mains.nominal, Here())
