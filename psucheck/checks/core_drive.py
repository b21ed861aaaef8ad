"""Core drive: whether the core is driven beyond its design on this tap, mains and frequency.

What it checks
--------------
The peak flux of the core at idle, at nominal mains and at the wall voltage, as a share of the flux at the
tap's rated volts and the design frequency.

Why it matters
--------------
Flux goes with volts over frequency. On too low a tap, or on 50 Hz with a transformer made for 60 Hz, the
core saturates at every crest: the magnetising current multiplies, the transformer hums and gets hot with
nothing drawing, and the mains fuse carries it all.

Limit
-----
Above 1.06 of the design's flux is marginal, above 1.15 over.

Source
------
1.06: EN 61558-1 lets the heating test be made at 1.06 times the primary's rated volts (second-hand). 1.15:
common practice, no source.

What to change
--------------
A higher primary tap; for a 60 Hz transformer on 50 Hz another transformer.

A passing example
-----------------
A 230 V tap at 230 V 50 Hz, the wall at 243 V: 106 %.

A failing example
-----------------
A transformer made for 120 V 60 Hz (``design_frequency = "60 Hz"``) on 120 V 50 Hz: 120 %.
"""

from __future__ import annotations

from collections.abc import Iterator

from psucheck.checks.case import Case
from psucheck.checks.finding import Finding
from psucheck.checks.judging import against_upper, highest, not_checked
from psucheck.checks.limits import Limits

ID = "core-drive"
TITLE = "Core drive"


def judge(case: Case, limits: Limits) -> Iterator[Finding]:
    """One finding, of the transformer."""
    if case.supply.transformer.core == "ideal":
        return
    driven = highest(
        case, ("idle",), ("nominal", "wall"), lambda figures: figures.core.flux if figures.core else None
    )
    if driven is None:
        yield not_checked(ID, "transformer", why="No run gave its flux.", measure="the primary tap in use")
        return
    figures, flux = driven
    over, marginal = limits[f"{ID}.over"], limits[f"{ID}.marginal"]
    rated = case.supply.transformer.primary.voltage
    yield against_upper(
        ID,
        "transformer",
        figures.name,
        100 * flux,
        100 * over.value,
        "%",
        why=f"{figures.mains:.0f} V {case.supply.mains.frequency:g} Hz on the {rated:g} V tap drives the "
        f"core to {100 * flux:.0f} % of its design.",
        source=f"{marginal.cited}; {over.cited}",
        practice=marginal.value / over.value,
        change="Take a higher primary tap; on the wrong frequency, another transformer.",
    )
