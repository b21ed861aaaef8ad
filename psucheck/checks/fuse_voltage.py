"""Fuse voltage: what every fuse may have to interrupt against the voltage on its cap.

What it checks
--------------
Every fuse. On the AC side, the RMS volts of the circuit it stands in, at nominal mains; in a DC rail, the
highest DC there in any state at any mains. Fuses of an AC rating in DC rails are told of once, together.

Why it matters
--------------
A fuse that opens has to put out an arc. On AC the current passes zero a hundred times a second; on DC it
does not, and a rail of 450 V can keep an arc burning in a 250 V AC fuse, or burst it.

Limit
-----
The mains fuse: its marked voltage against the nominal mains, whose usual spread the marking allows for. A
fuse at a winding: its marked voltage; up to twice that is marginal, since most amplifiers with a fused HT
winding are built so, and beyond is over. A fuse in a DC rail: the maker's DC rating, if given; else it is
unrated there, which is marginal; up to 60 V DC, as in a bias supply, it is no finding.

Source
------
The marking: IEC 60127 states 250 V AC and says nothing of DC (lawsonfuses.eu, fuse voltage rating). That
250 V fuses are used in windings and rails of 300 to 500 V: common practice, no source, and no rating.

What to change
--------------
A fuse with a DC rating above the highest B+ in the rail, or a fuse on the AC side, in each winding lead or
the centre tap. A mains fuse rated for the mains.

A passing example
-----------------
``mains = "T2AL250V"`` on 230 V mains; ``"before reservoir"`` with ``dc_voltage = "500 V"`` at 440 V.

A failing example
-----------------
``"before reservoir" = { rating = "T500mAL250V", dc_voltage = "400 V" }`` in a rail of 551 V.
"""

from __future__ import annotations

from collections.abc import Iterator

from psucheck.checks import ratings
from psucheck.checks.case import Case
from psucheck.checks.described import LASTING, STARTS
from psucheck.checks.finding import Finding
from psucheck.checks.judging import LEVELS, against_upper, highest, not_checked, shown
from psucheck.checks.limits import Limits
from psucheck.figures.model import SAFE_VOLTS, Figures, Level
from psucheck.supply.model import Fuse

ID = "fuse-voltage"
TITLE = "Fuse voltage"

_MARKED = "marking of the fuse, as given in the description"
_ON_THE_MAINS = "Fit a fuse rated for the mains."
_IN_A_RAIL = (
    "Fit a fuse with a DC rating above the rail, or fuse the AC side: each winding lead or the centre tap."
)


def judge(case: Case, limits: Limits) -> Iterator[Finding]:
    """One finding a fuse, under its place; one for all fuses in DC rails that have no DC rating."""
    unrated: list[tuple[str, Figures, float, Fuse]] = []
    for place, fuse in case.supply.fuses.items():
        if place == "mains":
            yield _on_the_mains(case, place, fuse)
            continue
        direct = any(figures.places[place].dc for figures in case.figures.values() if place in figures.places)
        found = _volts(case, place, LEVELS if direct else ("nominal",))
        if found is None:
            yield not_checked(
                ID, place, why="No run gave the volts there.", measure="AC or DC volts to chassis at the fuse"
            )
        elif not direct:
            yield _at_a_winding(limits, place, fuse, *found)
        elif fuse.dc_voltage is not None:
            yield _in_a_rail(place, fuse.dc_voltage, *found)
        elif fuse.voltage is not None and found[1] <= min(SAFE_VOLTS, fuse.voltage):
            yield _in_a_low_rail(place, fuse.voltage, *found)
        else:
            unrated.append((place, *found, fuse))
    if unrated:
        yield _unrated(unrated)


def _volts(case: Case, place: str, levels: tuple[Level, ...]) -> tuple[Figures, float] | None:
    def volts(figures: Figures) -> float | None:
        found = figures.places.get(place)
        return None if found is None else abs(found.volts)

    return highest(case, (*LASTING, *STARTS), levels, volts)


def _no_marking(place: str, volts: float) -> Finding:
    return not_checked(
        ID,
        place,
        why=f"It may have to interrupt {shown(volts, 'V')}; its voltage is not given.",
        measure="the volts marked on the fuse's cap",
        figure=volts,
        unit="V",
    )


def _on_the_mains(case: Case, place: str, fuse: Fuse) -> Finding:
    volts = case.supply.mains.voltage
    if fuse.voltage is None:
        return _no_marking(place, volts)
    return against_upper(
        ID,
        place,
        None,
        volts,
        fuse.voltage,
        "V",
        why=f"A fuse of {shown(fuse.voltage, 'V')} AC on {shown(volts, 'V')} mains.",
        source=_MARKED,
        change=_ON_THE_MAINS,
    )


def _at_a_winding(limits: Limits, place: str, fuse: Fuse, figures: Figures, volts: float) -> Finding:
    if fuse.voltage is None:
        return _no_marking(place, volts)
    finding = against_upper(
        ID,
        place,
        figures.name,
        volts,
        fuse.voltage,
        "V",
        why=f"A fuse of {shown(fuse.voltage, 'V')} AC where it may have to interrupt {shown(volts, 'V')} AC.",
        source=_MARKED,
        change="Fit a fuse of a higher AC voltage.",
    )
    times = limits.value(f"{ID}.winding-practice")
    if finding.verdict == "over" and volts <= times * fuse.voltage:
        return ratings.softened(finding, "most fused windings are built so, outside the maker's rating")
    return finding


def _in_a_rail(place: str, rated: float, figures: Figures, volts: float) -> Finding:
    return against_upper(
        ID,
        place,
        figures.name,
        volts,
        rated,
        "V",
        why=f"A fuse of {shown(rated, 'V')} DC in a rail of {shown(volts, 'V')}.",
        source="DC rating of the fuse, as given in the description",
        change=_IN_A_RAIL,
    )


def _in_a_low_rail(place: str, marked: float, figures: Figures, volts: float) -> Finding:
    """The finding on an AC fuse where the DC is too low to feed an arc."""
    return Finding(
        rule=ID,
        subject=place,
        condition=figures.name,
        verdict="ok",
        why=f"A fuse of {shown(marked, 'V')} AC in a rail of {shown(volts, 'V')} DC, below {SAFE_VOLTS:g} V.",
        source="common practice, no source",
        figure=volts,
        unit="V",
    )


def _unrated(found: list[tuple[str, Figures, float, Fuse]]) -> Finding:
    """One finding for all fuses in DC rails whose makers state no DC rating."""
    _, figures, volts, fuse = max(found, key=lambda one: one[2])
    places = ", ".join(place for place, *_ in found)
    marked = "without a marked voltage" if fuse.voltage is None else f"of {shown(fuse.voltage, 'V')} AC"
    return Finding(
        rule=ID,
        subject=places,
        condition=figures.name,
        verdict="marginal",
        why=f"A fuse {marked} in a rail of {shown(volts, 'V')} DC: its maker gives no rating for that.",
        source="IEC 60127 marking, which is for AC (lawsonfuses.eu, fuse voltage rating)",
        figure=volts,
        unit="V",
        change=_IN_A_RAIL,
    )
