"""Rectifier mean current: the DC that each rectifier delivers against its rating.

What it checks
--------------
Every rectifier. A two-anode valve is held against its DC output current, a diode against its mean forward
current; devices in parallel are taken to share equally.

Why it matters
--------------
The mean current times the drop is the heat in the rectifier. A valve beyond its DC rating wears out its
cathode and overheats its anodes; a diode gets too hot to hold off its reverse voltage.

Limit
-----
The DC rating of the data sheet for the input that this filter presents (capacitor or choke), at the
winding's volts where the sheet ties the two together. A diode with a capacitor behind it carries 80 % of
its rating where its sheet says so. Over at idle or with full output for a third of the time; marginal where
only continuous full output exceeds it.

Source
------
The part's data sheet, or the description. The third: common practice, no source.

What to change
--------------
A rectifier of a higher rating, or less current. Two valves in parallel need a resistor in each anode lead
to share.

A passing example
-----------------
``device = "GZ34"`` delivering 120 mA at idle and 215 mA at full output: 250 mA allowed.

A failing example
-----------------
``device = "EZ81"`` on 320-0-320 V, delivering 180 mA at idle: 153 mA allowed.
"""

from __future__ import annotations

from collections.abc import Iterator

from psucheck.checks import ratings
from psucheck.checks.case import Case
from psucheck.checks.described import volts_per_anode
from psucheck.checks.finding import Finding
from psucheck.checks.judging import LEVELS, highest, not_checked, shown
from psucheck.checks.limits import Limits
from psucheck.checks.ratings import DeviceRatings, Rated
from psucheck.figures.model import Figures
from psucheck.parts.rectifiers import RectifierValve
from psucheck.supply.topology import choke_input

ID = "rectifier-mean-current"
TITLE = "Rectifier mean current"


def judge(case: Case, limits: Limits) -> Iterator[Finding]:
    """One finding a rectifier."""
    for name, rectifier in case.supply.rectifiers.items():
        yield _judged(case, limits, name, ratings.device(rectifier.device))


def _judged(case: Case, limits: Limits, name: str, device: DeviceRatings) -> Finding:
    def amps(figures: Figures) -> float | None:
        found = figures.rectifiers.get(name)
        if found is None:
            return None
        # A valve's rating is that of both anodes together, a diode's its own.
        whole = found.arm_mean_current if device.kind == "silicon" else abs(found.mean_current)
        return whole / device.in_parallel

    idle = highest(case, ("idle",), LEVELS, amps)
    rated = _rating(case, name, device)
    if idle is None or rated is None:
        known = "" if idle is None else f"{shown(idle[1], 'A')} flows at idle; "
        return not_checked(
            ID,
            name,
            why=f"{known}what {device.name} allows is not known."
            if idle
            else "No run gave its current at idle.",
            measure=f"the mean (DC) current on the data sheet of {device.name}"
            if idle
            else "the idle currents",
            figure=None if idle is None else idle[1],
            unit="A",
        )
    what = "Each diode carries" if device.kind == "silicon" else "It delivers"
    return ratings.hold_duty(
        ID,
        name,
        idle,
        highest(case, ("full output",), LEVELS, amps),
        rated,
        limits,
        why=lambda figure: f"{what} {shown(figure, 'A')} DC; {device.name} allows {shown(rated.value, 'A')}",
        change="Take a rectifier of a higher DC rating, or draw less.",
    )


def _rating(case: Case, name: str, device: DeviceRatings) -> Rated | None:
    """The DC rating for this filter's input and this winding's volts."""
    if choke_input(case.supply, name):
        return device.mean_current_choke_input or device.mean_current
    rated = device.mean_current
    if rated is None or rated.source == ratings.GIVEN:
        return rated
    if device.capacitive_load_factor is not None:
        return rated.times(device.capacitive_load_factor.value)
    part, volts = device.part, volts_per_anode(case, name)
    if isinstance(part, RectifierValve) and part.mean_current_table is not None and volts is not None:
        return Rated.held(part.mean_current_table, part.mean_current_limit(volts).value)
    return rated
