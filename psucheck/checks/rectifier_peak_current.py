"""Rectifier peak current: the charging peaks per anode, and the first surge through silicon.

What it checks
--------------
A rectifier valve: the repeated peak through one anode in every steady state. Silicon: the peak whenever
the supply is charged at a stroke: at switch-on with the capacitors empty, at a hot restart, when an inrush
limiter is still warm, and when a standby switch closes. The surge through a valve that is switched on again
while hot is a rule of its own.

Why it matters
--------------
A reservoir that is too large, or a winding of too little resistance, packs the charge into short tall
peaks. A valve's cathode is stripped by them and flashes over. A diode fails short at the first switch-on.

Limit
-----
A valve: the peak anode current of its data sheet. A real winding has leakage inductance, which lowers the
peaks; makers' own operating points come out up to 28 % above their peak rating without it. So a breach
within 25 % is marginal, unless the description gives the leakage inductance. Silicon: one half sine of the
surge current of its data sheet, stated at 60 Hz and scaled to the half cycle of this mains at equal I²t.

Source
------
The part's data sheet, or the description. The 25 %: derived from the makers' operating points, computed
without leakage inductance. The scaling: derived.

What to change
--------------
A smaller first capacitor, or a resistor in each anode lead. Of silicon, a diode of a higher surge rating or
an inrush limiter in the primary.

A passing example
-----------------
``device = "GZ34"`` with 32 uF behind a winding of 75 ohm a side: 520 mA peak, 750 mA allowed.

A failing example
-----------------
``device = "EZ81"`` with 100 uF behind a winding of 60 ohm a side: 910 mA peak, 500 mA allowed.
"""

from __future__ import annotations

from collections.abc import Iterator

from psucheck.checks import ratings
from psucheck.checks.case import Case
from psucheck.checks.described import LASTING, SURGES, winding_guessed
from psucheck.checks.finding import Finding
from psucheck.checks.judging import LEVELS, highest, not_checked, shown
from psucheck.checks.limits import Limits
from psucheck.checks.ratings import DeviceRatings, Rated
from psucheck.figures.model import Figures
from psucheck.parts.rectifiers import Diode

ID = "rectifier-peak-current"
TITLE = "Rectifier peak current"


def judge(case: Case, limits: Limits) -> Iterator[Finding]:
    """One finding a rectifier."""
    for name, rectifier in case.supply.rectifiers.items():
        device = ratings.device(rectifier.device)
        if device.kind == "valve":
            yield _valve(case, limits, name, device)
        elif device.kind == "silicon":
            yield _silicon(case, limits, name, device)
        else:
            yield not_checked(
                ID,
                name,
                why=f"{device.name} is not in the part library.",
                measure=f"the peak and surge current on the data sheet of {device.name}",
            )


def _highest_peak(
    case: Case, name: str, device: DeviceRatings, *, surge: bool
) -> tuple[Figures, float] | None:
    def amps(figures: Figures) -> float | None:
        found = figures.rectifiers.get(name)
        return None if found is None else found.peak_current / device.in_parallel

    return highest(case, SURGES if surge else LASTING, LEVELS, amps)


def _valve(case: Case, limits: Limits, name: str, device: DeviceRatings) -> Finding:
    found, rated = _highest_peak(case, name, device, surge=False), device.peak_current
    if found is None:
        return not_checked(ID, name, why="No run gave its peak current.", measure="the winding's resistance")
    figures, amps = found
    if rated is None:
        return not_checked(
            ID,
            name,
            why=f"{shown(amps, 'A')} peak per anode; what {device.name} allows is not known.",
            measure=f"the peak anode current on the data sheet of {device.name}",
            condition=figures.name,
            figure=amps,
            unit="A",
        )
    finding = ratings.hold_upper(
        ID,
        name,
        figures.name,
        amps,
        rated,
        "A",
        why=f"Peak {shown(amps, 'A')} per anode; {device.name} allows {shown(rated.value, 'A')}.",
        hopeful=_hopeful(case, limits, name, amps),
        change="Fit a smaller first capacitor, or add a resistor in each anode lead.",
    )
    band = limits.value(f"{ID}.without-leakage")
    if finding.verdict == "over" and case.supply.transformer.leakage is None and amps <= band * rated.value:
        return ratings.softened(finding, "the winding's leakage inductance is not given and would lower it")
    return finding


def _silicon(case: Case, limits: Limits, name: str, device: DeviceRatings) -> Finding:
    found = _highest_peak(case, name, device, surge=True)
    if found is None:
        return not_checked(
            ID,
            name,
            why="Neither switch-on nor what else charges it was simulated, so the surge is not known.",
            measure="a check with switch-on included",
        )
    figures, amps = found
    rated = _surge(case, device)
    if rated is None:
        return not_checked(
            ID,
            name,
            why=f"{shown(amps, 'A')} peak {_when(figures)}; what {device.name} allows is not known.",
            measure=f"the surge current (IFSM) on the data sheet of {device.name}",
            condition=figures.name,
            figure=amps,
            unit="A",
        )
    return ratings.hold_upper(
        ID,
        name,
        figures.name,
        amps,
        rated,
        "A",
        why=f"Peak {shown(amps, 'A')} through one diode {_when(figures)}; {device.name} stands "
        f"{shown(rated.value, 'A')} for one half cycle.",
        hopeful=_hopeful(case, limits, name, amps),
        change="Take a diode of a higher surge rating, or fit an inrush limiter in the primary.",
    )


def _when(figures: Figures) -> str:
    return {"hot restart": "at a hot restart", "standby closes": "when standby closes"}.get(
        figures.state, "at switch-on"
    )


def _surge(case: Case, device: DeviceRatings) -> Rated | None:
    """Surge current for half a cycle of this mains [A]; one that the description states is taken as it is."""
    rated = device.surge_current
    if rated is None or rated.source == ratings.GIVEN or not isinstance(device.part, Diode):
        return rated
    half_cycle = 0.5 / case.supply.mains.frequency
    return Rated.held(device.part.surge, device.part.surge_current(half_cycle))


def _hopeful(case: Case, limits: Limits, name: str, amps: float) -> float | None:
    """The peak at the favourable end of a guessed winding resistance [A]; None where it was measured."""
    guessed = winding_guessed(case, case.supply.rectifiers[name])
    return amps * limits.value(f"{ID}.guess-share") if guessed else None
