"""The defaults and guesses that stand for what a description does not say, each with its source and range.

A guess is a value whose truth is expected between ``low`` and ``high`` times it; whatever rests on one says
so.
"""

from __future__ import annotations

from dataclasses import dataclass

from psucheck.supply.assumptions import Assumption


@dataclass(frozen=True, slots=True)
class Guess:
    """A default: its value, where it comes from, and between which multiples of it the truth is expected."""

    value: float
    unit: str
    source: str
    low: float
    high: float

    def assume(self, key: str, why: str, value: float | None = None) -> Assumption:
        """The assumption of ``value`` (the guess itself, if not given) for ``key``."""
        taken = self.value if value is None else value
        return Assumption(
            key, taken, self.unit, "guess", why, self.source, low=taken * self.low, high=taken * self.high
        )


PRACTICE = "common practice, no source"

WINDING_SHARE = Guess(0.05, "ohm", f"{PRACTICE}: 10 % regulation, half of it in the secondary", 0.5, 1.6)
"""Share of a winding's volts that its own copper drops at its rated current."""
HEATER_WINDING_SHARE = Guess(
    0.04, "ohm", f"{PRACTICE}: 8 % regulation, half of it in the secondary", 0.4, 1.8
)
PRIMARY_SHARE = Guess(0.05, "ohm", f"{PRACTICE}: 10 % regulation, half of it in the primary", 0.5, 1.6)
DISSIPATION_FACTOR = Guess(
    0.075,
    "ohm",
    "half the maximum tan delta of 0.15 at 120 Hz of 350 to 500 V snap-in capacitors (Lelon LSG sheet, 2014)",
    0.6,
    2.0,
)
LEAKAGE = Guess(
    0.002,
    "ohm",
    "leakage of 0.002 C U uA after 5 minutes, C in uF, U in V (Vishay 038 RSU sheet, doc 28309)",
    0.2,
    5.0,
)
CHOKE_HENRIES = Guess(10.0, "H", f"{PRACTICE}: a smoothing choke of an amplifier is 5 to 20 H", 0.4, 2.0)
CHOKE_KNEE = 2.0
"""Knee of saturation over rated current; a guess without a source."""
PREAMP_AMPS_PER_SECTION = Guess(
    1.0e-3, "A", f"{PRACTICE}: about 1 mA for each half of a small valve", 0.5, 2.0
)
BIAS_LOAD = Guess(50e3, "ohm", f"{PRACTICE}: bias pot and padding", 0.4, 3.0)
NO_LOAD_SHARE = {
    "laminated": Guess(
        0.08,
        "A",
        f"{PRACTICE}; a maker of laminated transformers states 11 to 23 % of the rated current as the most "
        "(Hammond 290AX, 370AX, 370FX sheets, second-hand)",
        0.4,
        2.5,
    ),
    "toroidal": Guess(
        0.034,
        "A",
        "42 mA of 1.25 A, a 300 VA toroid at 240 V (measurement by R. Elliott, second-hand)",
        0.3,
        2.0,
    ),
}
"""No-load current as a share of the rated primary current."""
CORE_LOSS_SHARE = {
    "laminated": Guess(
        0.05, "W", f"{PRACTICE}; 12 % of 350 VA was measured at the knee (R. Elliott, second-hand)", 0.4, 2.4
    ),
    "toroidal": Guess(0.0096, "W", "2.88 W of 300 VA (measurement by R. Elliott, second-hand)", 0.6, 2.0),
}
"""Core loss as a share of the rated volt-amperes."""
RESIDUAL_FLUX = {
    "laminated": Guess(0.5, "1", "from memory: 0.2 to 0.8 of the rated flux; no source opened", 0.0, 1.6),
    "toroidal": Guess(0.7, "1", "from memory: up to 0.8 of the rated flux; no source opened", 0.0, 1.2),
}
"""Residual flux as a share of the rated."""
LEAKAGE_SHARE = {
    "laminated": Guess(0.0095, "H", "0.95 % of a 200 VA transformer (R. Elliott, second-hand)", 0.5, 3.0),
    "toroidal": Guess(0.003, "H", "0.30 % of an 80 VA toroid (R. Elliott, second-hand)", 0.5, 2.0),
}
"""Leakage reactance at the mains frequency, per unit of the rated impedance."""
CORE_EXPONENT = {"laminated": 9, "toroidal": 15}
"""Power of the saturating part of the magnetising current; a guess without a source. It sets the saturated
inductance: at twice the rated flux some millihenries for a transformer of 150 VA."""
CORE_LINEAR_SHARE = {"laminated": 0.5, "toroidal": 0.12}
"""Linear part of the magnetising current at rated flux. Toroidal: from 42 mA at 240 V and 7.3 mA at 120 V of
one 300 VA toroid, loss taken off (R. Elliott, second-hand). Laminated: a guess without a source."""
HEATER_COLD_SHARE = Guess(
    0.2,
    "1",
    "cold heaters draw 2.7 to 7.2 times their current (gammaelectronics.xyz, audioXpress 9/2004)",
    0.7,
    1.9,
)
"""Cold over hot resistance of a heater."""
HEATER_SECONDS = Guess(
    2.9,
    "s",
    "90 % of its temperature after 6.7 s on constant volts (J. Harper, Kindness to Filaments)",
    0.5,
    3.0,
)
"""Time constant of a heater's resistance."""
FUSE_VOLT_AMPS = Guess(
    0.13, "ohm", "cold resistance of 0.14 ohm at 1 A and 0.0545 ohm at 2 A (Eaton S505 sheet)", 0.5, 3.0
)
FUSE_EXPONENT = 1.35
"""Cold resistance falls with the rated current to this power between those two points of the sheet."""
OUTPUT_EFFICIENCY = Guess(0.60, "A", f"{PRACTICE}: audio watts over anode watts in class AB", 0.85, 1.15)
SCREEN_RISE = Guess(2.5, "A", f"{PRACTICE}: screen current at full output over idle", 0.6, 1.6)
SCREEN_SHARE = Guess(0.1, "A", f"{PRACTICE}: screen over anode current at idle", 0.5, 1.6)
HT_LOAD_FACTOR = 1.6
"""RMS of a winding over its DC where no guide speaks of its circuit (common practice, no source)."""
MAINS_OHMS_LOW = Guess(0.2, "ohm", f"{PRACTICE}: 0.1 to 0.3 ohm on 100 to 127 V mains", 0.5, 1.5)
SILICON_EMISSION = 1.8
"""Emission coefficient of a rectifier diode's law; the drop point then settles the rest."""
SILICON_SERIES_SHARE = 0.04
"""Share of the sheet's drop that is ohmic."""
ZENER_SHARE = Guess(
    0.02,
    "ohm",
    "from memory: 1 to 3 % for zeners of 1 to 10 W from 20 V up at their test current; no data sheet opened",
    0.4,
    4.0,
)
"""Differential resistance of a zener, as a share of its volts over its test current, which is taken as a
quarter of its rated power over its volts."""
ZENER_WATTS = 5.0
"""Rated power that is taken for that where none is given [W]; a guess without a source."""
NTC_BETA = Guess(
    3000.0, "K", "2817 to 3058 K (TDK B57236S0100 and Ametherm SL10 10003 sheets, second-hand)", 0.9, 1.2
)
NTC_SECONDS = Guess(
    50.0, "s", "30 and 70 s (Ametherm SL10 10003 and TDK B57236S0100 sheets, second-hand)", 0.5, 2.0
)
WARM_UP_DIRECT = Guess(
    7.0,
    "s",
    "full current after 7 s (Emission Labs 5U4G-Mesh data sheet, of that make)",
    0.5,
    2.0,
)
"""Time to full emission of a directly heated rectifier valve."""
WARM_UP_INDIRECT = Guess(
    22.0,
    "s",
    "EZ41 about 22 s, EZ40 about 35 s (tubeofile.com, EZ41 page, second-hand); for others without a source",
    0.45,
    1.6,
)
"""Time to full emission of an indirectly heated rectifier valve."""
WARM_UP_VALVES = Guess(
    11.0, "s", f"{PRACTICE}: 11 s is the trade's figure for heaters of controlled warm-up", 0.7, 2.3
)
"""Time to full emission of output and small valves."""
WARM_UP_STARTS = {"direct": 2.0 / 7.0, "indirect": 0.5}
"""When emission starts, as a share of the time to full emission. Direct: 2 of 7 s (Emission Labs 5U4G-Mesh
data sheet). Indirect: a guess without a source."""
RELAY_PULL_IN = Guess(0.7, "V", f"{PRACTICE}: relays pull in at 60 to 80 % of their volts", 0.85, 1.15)
"""Volts at which a relay pulls in, as a share of its nominal ones."""
