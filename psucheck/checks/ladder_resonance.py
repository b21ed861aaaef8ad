"""Ladder resonance: where each choke and the capacitor behind it resonate.

What it checks
--------------
Every choke of the filter with a capacitor behind it: their resonance 1/(2 pi sqrt(L C)) against the
frequency of the ripple. How sharp it is, is told with it: 1/Q = R/Z + Z/Rload, with Z = sqrt(L/C), R the
choke's copper and Rload what the node feeds at idle. The rectifier's own resistance damps it further, so Q
is the most it can be.

Why it matters
--------------
A choke and capacitor that resonate near the ripple's frequency pass it, or raise it. Far below, in the 2 to
10 Hz at which amplifiers motor-boat, a sharp resonance lets the rail swing after every loud note.

Limit
-----
A resonance above a third of the ripple's frequency is marginal: the section then takes off less than the
eighth that an inductance and a capacitance leave there.

Source
------
The resonance is a closed form (M. Jones, Valve Amplifiers, 4th edition, chapter 5). The third: common
practice, no source.

What to change
--------------
A larger capacitor behind the choke; for a sharp resonance near 5 Hz, a smaller one, or a choke of more
resistance.

A passing example
-----------------
``choke 10 H 110 ohm`` with 50 uF on 50 Hz mains: 7.1 Hz against 33 Hz.

A failing example
-----------------
``choke 1 H 60 ohm`` with 8 uF on 50 Hz mains: 56 Hz.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from psucheck.checks.case import Case
from psucheck.checks.chokes import inductance, inductance_guessed, ripple_hertz
from psucheck.checks.finding import Finding
from psucheck.checks.judging import LEVELS, against_upper, shown
from psucheck.checks.limits import Limits
from psucheck.supply import topology

ID = "ladder-resonance"
TITLE = "Ladder resonance"


def judge(case: Case, limits: Limits) -> Iterator[Finding]:
    """One finding a choke with a known inductance and a capacitor behind it."""
    for name, node in case.supply.filter.items():
        henries = inductance(case, name)
        if node.choke is not None and node.capacitor is not None and henries is not None:
            farads = node.capacitor.string_value
            yield _judged(case, limits, name, henries, farads, node.choke.resistance)


def quality(henries: float, farads: float, ohms: float, load_ohms: float) -> float:
    """Q of an L-C section [1] with ``ohms`` in series with the choke and ``load_ohms`` over the capacitor."""
    impedance = math.sqrt(henries / farads)
    return 1 / (ohms / impedance + impedance / load_ohms)


def _judged(case: Case, limits: Limits, name: str, henries: float, farads: float, copper: float) -> Finding:
    resonance = 1 / (2 * math.pi * math.sqrt(henries * farads))
    rectifier = case.supply.rectifiers[topology.rectifier_of(case.supply, name)]
    ripple = ripple_hertz(case, rectifier)
    entry = limits[f"{ID}.ripple"]
    band = resonance_band(limits, resonance)
    held = against_upper(
        ID,
        name,
        None,
        resonance,
        entry.value * ripple,
        "Hz",
        why=f"{shown(henries, 'H')} and {shown(farads, 'F')} resonate at {shown(resonance, 'Hz')}"
        f"{band}{_sharpness(case, name, henries, farads, copper)}; the ripple is at {shown(ripple, 'Hz')}.",
        source=entry.cited,
        guessed=inductance_guessed(case, name),
        change="Fit a larger capacitor behind the choke.",
    )
    return replace(held, verdict="marginal") if held.verdict == "over" else held


def resonance_band(limits: Limits, hertz: float) -> str:
    """What is said of a resonance that lies where amplifiers motor-boat; nothing elsewhere."""
    low, high = limits.value(f"{ID}.motor-boat-low"), limits.value(f"{ID}.motor-boat-high")
    return ", where amplifiers motor-boat," if low <= hertz <= high else ""


def _sharpness(case: Case, name: str, henries: float, farads: float, copper: float) -> str:
    for figures in case.select(("idle",), LEVELS):
        choke, node = figures.chokes.get(name), figures.nodes.get(name)
        if choke is not None and node is not None and choke.dc and node.dc:
            q = quality(henries, farads, copper, abs(node.dc / choke.dc))
            return f" with a Q of {q:.2g} at most"
    return ""
