"""First capacitor of a valve rectifier: what it charges directly against the largest its sheet allows.

What it checks
--------------
Every valve rectifier with a capacitor on its output. Capacitors of several nodes fed without a choke
between add up; of a doubler the larger of its two counts. The marked value is used. Behind a choke the
sheet's limit does not bind. Silicon has no such limit.

Why it matters
--------------
The larger the first capacitor, the shorter and taller the charging peaks, and the harder the surge when the
supply is switched on again with the rectifier hot. Both wear the cathode and end in a flash-over. A later
node behind a choke or a dropper may be as large as you like.

Limit
-----
The capacitor in the rectifier's data sheet. Up to 20 % more is marginal, beyond is over. The sheet ties the
capacitor to a resistance per anode: with more resistance more can be borne, which the peak current shows.

Source
------
The valve's data sheet, or the description. The 20 %: no more than the tolerance of an electrolytic; common
practice, no source.

What to change
--------------
A smaller first capacitor, with the rest of the capacitance behind the choke or the first dropper.

A passing example
-----------------
``reservoir = "50 uF 500 V"`` behind a GZ34, whose sheet allows 60 uF.

A failing example
-----------------
``reservoir = "100 uF 500 V"`` behind a GZ34, whose sheet allows 60 uF.
"""

from __future__ import annotations

from collections.abc import Iterator

from psucheck.checks import ratings
from psucheck.checks.case import Case
from psucheck.checks.described import first_capacitance
from psucheck.checks.finding import Finding
from psucheck.checks.judging import not_checked, share, shown
from psucheck.checks.limits import Limits
from psucheck.checks.ratings import DeviceRatings
from psucheck.supply.topology import choke_input

ID = "rectifier-first-capacitor"
TITLE = "First capacitor of a valve rectifier"


def judge(case: Case, limits: Limits) -> Iterator[Finding]:
    """One finding a valve rectifier."""
    for name, rectifier in case.supply.rectifiers.items():
        device = ratings.device(rectifier.device)
        if device.kind == "valve":
            yield _judged(case, limits, name, device)


def _judged(case: Case, limits: Limits, name: str, device: DeviceRatings) -> Finding:
    farads = first_capacitance(case.supply, name)
    if farads is None:
        why = "Choke input" if choke_input(case.supply, name) else "No capacitor stands on its output"
        return Finding(
            ID,
            name,
            None,
            "ok",
            why=f"{why}: the sheet's first capacitor does not bind.",
            source="by circuit",
        )
    rated = device.first_capacitor
    if rated is None:
        return not_checked(
            ID,
            name,
            why=f"It charges {shown(farads, 'F')}; the largest that {device.name} allows is not known.",
            measure=f"the largest first capacitor on the data sheet of {device.name}",
            figure=farads,
            unit="F",
        )
    finding = ratings.hold_upper(
        ID,
        name,
        None,
        farads,
        rated,
        "F",
        why=f"{shown(farads, 'F')} first capacitor; {device.name} allows {shown(rated.value, 'F')}.",
        change=f"Fit {shown(rated.value, 'F')} or less first, the rest behind the choke or dropper.",
    )
    allowed = limits.value(f"{ID}.tolerated")
    if finding.verdict == "over" and farads <= allowed * rated.value * (1 + 1e-9):
        return ratings.softened(finding, f"within {share(allowed - 1)} over, the tolerance of such a part")
    return finding
