"""Rectifier hot switching: the peak that a hot rectifier valve meets on empty capacitors.

What it checks
--------------
The highest anode current of every rectifier valve when the mains come back after a second without, and when
the standby switch closes onto an empty reservoir: both with the cathode hot.

Why it matters
--------------
A cold rectifier valve charges the reservoir as it warms up. A hot one meets it at once: the cathode gives
all it has, and sparks or strips. It happens at every mains dip, and at every use of a standby switch that
stands before the reservoir.

Limit
-----
The hot-switching transient of the valve's sheet, per anode. Sheets that state none leave it not checked only
where the peak exceeds four times the steady peak rating.

Source
------
The valve's data sheet as the part library holds it. Four times the steady peak: common practice, no source
(where a sheet states both, the transient is four and a half to seven times the steady peak).

What to change
--------------
A resistor in each anode lead, a smaller first capacitor, or a standby switch that stands behind the
reservoir.

A passing example
-----------------
A 5U4GB (4.6 A) that meets 2.9 A.

A failing example
-----------------
A 5Y3GT (2.2 A) that meets 3.4 A.
"""

from __future__ import annotations

from collections.abc import Iterator

from psucheck.checks import ratings
from psucheck.checks.case import Case
from psucheck.checks.finding import Finding
from psucheck.checks.judging import LEVELS, highest, not_checked, shown
from psucheck.checks.limits import Limits
from psucheck.checks.ratings import Rated

ID = "rectifier-hot-switching"
TITLE = "Rectifier hot switching"

_CHANGE = "Add a resistor in each anode lead, or fit a smaller first capacitor."


def judge(case: Case, limits: Limits) -> Iterator[Finding]:
    """One finding a rectifier valve."""
    for name, rectifier in case.supply.rectifiers.items():
        device = ratings.device(rectifier.device)
        if device.kind == "valve":
            yield _judged(case, limits, name, device)


def _judged(case: Case, limits: Limits, name: str, device: ratings.DeviceRatings) -> Finding:
    met = highest(
        case,
        ("hot restart", "standby closes"),
        LEVELS,
        lambda f: f.rectifiers[name].peak_current if name in f.rectifiers else None,
    )
    if met is None:
        return not_checked(
            ID, name, why="No run switched it on hot.", measure="whether it sparks on a quick restart"
        )
    figures, peak = met
    parallel = case.supply.rectifiers[name].device.in_parallel
    each = peak / parallel
    why = f"{shown(each, 'A')} per anode in the first cycle onto hot cathodes"
    if device.transient_current is not None:
        return ratings.hold_upper(
            ID, name, figures.name, each, device.transient_current, "A", why=f"{why}.", change=_CHANGE
        )
    usual = None
    if device.peak_current is not None:
        usual = limits.value(f"{ID}.over-steady-peak") * device.peak_current.value
    if usual is not None and each <= usual:
        limit = Rated(usual, limits[f"{ID}.over-steady-peak"].cited)
        return ratings.hold_upper(
            ID, name, figures.name, each, limit, "A", why=f"{why}; its sheet states no limit.", change=_CHANGE
        )
    return not_checked(
        ID,
        name,
        why=f"{why}; its sheet states no limit for that.",
        measure="whether it sparks on a quick restart (hot-switching transient in its data sheet)",
        condition=figures.name,
        figure=each,
        unit="A",
    )
