"""Rectifier reverse voltage: the highest volts in reverse over each anode or diode against its rating.

What it checks
--------------
Every rectifier, in the state and at the mains voltage where its busiest arm sees most in reverse. Devices
in series in one arm are taken to share equally; only sharing resistors make sure of that.

Why it matters
--------------
A diode beyond its reverse voltage breaks down and shorts, and takes the winding or the fuse with it. A
rectifier valve arcs over between anode and cathode. With a capacitor behind it, each arm of a centre-tapped
rectifier sees nearly 2.83 times the RMS volts of its half, with nothing drawing.

Limit
-----
Silicon: the repetitive reverse voltage of its data sheet, at the worst mains; more than 80 % of it is
marginal, since spikes on the mains come on top. A rectifier valve: the peak inverse voltage of its data
sheet. Its table of operating conditions runs right up to that at nominal mains, so above it there is over;
above it at high mains only is marginal, and no share is held back.

Source
------
The part's data sheet, or the description. The share of 80 %: common practice, no source. That a valve's
rating already allows for the usual spread of the mains: Mullard's articles of 1960 on design-centre
ratings.

What to change
--------------
A diode of a higher reverse voltage, or two in series in each arm with sharing resistors. Of a valve, a type
of a higher rating, or a winding of fewer volts.

A passing example
-----------------
``device = "1N4007"`` in a bridge on a 345 V winding: 560 V in reverse at high mains, 1000 V allowed.

A failing example
-----------------
``device = "1N4007"`` on ``"390-0-390 V off load at 230 V"``: 1210 V in reverse at high mains, 1000 V
allowed.
"""

from __future__ import annotations

from collections.abc import Iterator

from psucheck.checks import ratings
from psucheck.checks.case import Case
from psucheck.checks.described import LASTING, STARTS
from psucheck.checks.finding import Finding
from psucheck.checks.judging import LEVELS, highest, not_checked, shown, worst
from psucheck.checks.limits import Limits
from psucheck.checks.ratings import DeviceRatings, Rated
from psucheck.figures.model import Figures

ID = "rectifier-reverse-voltage"
TITLE = "Rectifier reverse voltage"


def judge(case: Case, limits: Limits) -> Iterator[Finding]:
    """One finding a rectifier."""
    for name, rectifier in case.supply.rectifiers.items():
        yield _judged(case, limits, name, ratings.device(rectifier.device))


def _judged(case: Case, limits: Limits, name: str, device: DeviceRatings) -> Finding:
    def volts(figures: Figures) -> float | None:
        found = figures.rectifiers.get(name)
        return None if found is None else found.reverse_voltage / device.in_series

    found = highest(case, (*LASTING, *STARTS), LEVELS, volts)
    if found is None:
        return not_checked(
            ID, name, why="No run gave its reverse voltage.", measure="AC volts of the winding, off load"
        )
    if device.reverse_voltage is None or device.kind is None:
        return not_checked(
            ID,
            name,
            why=f"It sees {shown(found[1], 'V')} in reverse; what {device.name} allows is not known.",
            measure=f"the reverse voltage (VRRM, or peak inverse) on the data sheet of {device.name}",
            condition=found[0].name,
            figure=found[1],
            unit="V",
        )
    if device.kind == "silicon":
        share = limits.value(f"{ID}.silicon-practice")
        return _held(name, device, device.reverse_voltage, found, practice=share, certain=True)
    nominal = highest(case, LASTING, ("nominal",), volts)
    held = [_held(name, device, device.reverse_voltage, found, practice=None, certain=False)]
    if nominal is not None:
        held.append(_held(name, device, device.reverse_voltage, nominal, practice=None, certain=True))
    return worst(held)


def _held(
    name: str,
    device: DeviceRatings,
    rated: Rated,
    found: tuple[Figures, float],
    *,
    practice: float | None,
    certain: bool,
) -> Finding:
    figures, volts = found
    what = "anode" if device.kind == "valve" else "diode"
    shared = f" if the {device.in_series} in series share equally" if device.in_series > 1 else ""
    finding = ratings.hold_upper(
        ID,
        name,
        figures.name,
        volts,
        rated,
        "V",
        why=f"Each {what} sees {shown(volts, 'V')} in reverse{shared}; {device.name} allows "
        f"{shown(rated.value, 'V')}.",
        practice=practice,
        change=_change(device),
    )
    if certain or finding.verdict != "over":
        return finding
    return ratings.softened(finding, "the data sheet allows for some spread of the mains")


def _change(device: DeviceRatings) -> str:
    if device.kind == "valve":
        return "Take a rectifier valve of a higher inverse voltage, or a winding of fewer volts."
    if device.in_series > 1:
        return "Add a diode to each series string, with sharing resistors."
    return (
        "Put two in series in each arm, with sharing resistors, or take a diode of a higher reverse voltage."
    )
