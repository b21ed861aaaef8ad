"""A bring-up sheet with hand-made numbers: what the outputs are shown."""

from __future__ import annotations

import math

from psucheck.report.sheet_view import Expected, LampLine, LampView, Line, Sheet, Step

RAIL = Line(
    "reservoir DC",
    "reservoir",
    "chassis",
    "DC volts",
    (Expected("reservoir DC", "V", 41.1, 39.6, 42.7, 42.1, "reservoir", "chassis"),),
    stop="minus sign, or < 35 V",
    look="rectifier, first capacitor",
)
AC = Line(
    "reservoir AC",
    "reservoir",
    "chassis",
    "AC volts, RMS",
    (Expected("reservoir AC", "V", 0.0005, 0.0, 0.083),),
    stop="> 820 mV",
    look="a diode shorted",
)
HALVES = Line(
    "ht a, ht b",
    "ht winding, each end",
    "the centre tap",
    "ohms",
    (Expected("ht a ohms", "ohm", 36.0, 31.8, 40.3), Expected("ht b ohms", "ohm", 38.0, 33.6, 42.5)),
    stop="open",
    look="shorted turns",
)
CATHODES = Line(
    "output cathodes",
    "each cathode",
    "chassis",
    "DC millivolts",
    tuple(
        Expected(f"output cathode {n} mV", "V", 0.036, 0.025, 0.049, None, f"cathode {n}", "chassis")
        for n in (1, 2)
    ),
    said="1 mV is 1 mA",
    stop="creeping",
    look="that socket",
)
SHEET = Sheet(
    title="An invented head",
    wall=243.0,
    instruments=("Meter: 1 % + 3 counts.",),
    cautions=("Highest voltage: 421 V DC at reservoir.", "One hand."),
    stops=("A rising wattmeter.",),
    steps=(
        Step(
            "cold",
            "Cold",
            0.0,
            "no valves, plug out",
            (
                Line(
                    "earth pin",
                    "earth pin",
                    "chassis",
                    "ohms",
                    said="< 0.1 ohm",
                    stop="> 0.5 ohm",
                    look="cord",
                ),
                HALVES,
                Line(
                    "reservoir to chassis",
                    "reservoir",
                    "chassis",
                    "ohms",
                    (Expected("reservoir ohms", "ohm", None, 200e3, math.inf),),
                    look="lift the cans",
                ),
            ),
            "shorted turns",
            number=0,
        ),
        Step(
            "a tenth",
            "Valves out, a tenth",
            24.3,
            "no valves",
            (RAIL, AC),
            "an open diode",
            ("Standby switch closed.",),
            "at other volts: x volts / 24.3",
            1,
        ),
        Step(
            "valves in",
            "Valves in",
            None,
            "all valves",
            (Line("anodes", meter="eye", stop="a red plate"),),
            "any number",
            number=2,
        ),
        Step("full wall", "Full wall", 243.0, "all valves", (CATHODES,), "an hour", number=3),
    ),
    lamp=LampView(
        60.0,
        88.0,
        880.0,
        226.0,
        25.0,
        150.0,
        95.0,
        (LampLine("reservoir", 390.0, 350.0), LampLine("bias", 40.0, None)),
        ("It proves no short.",),
    ),
    remarks=("Bands are made of tolerances.",),
)
