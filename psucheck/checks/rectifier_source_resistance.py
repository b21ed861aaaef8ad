"""Source resistance of a valve rectifier: what stands before each anode against the least its sheet demands.

What it checks
--------------
Every valve rectifier with a capacitor on its output: the resistance that one anode sees (its half of the
winding, the primary and the mains reflected through the turns, resistors in the anode leads). Behind a
choke the sheet's limit does not bind.

Why it matters
--------------
The resistance of the winding is all that limits the charging peaks. A modern transformer with thick wire,
or one meant for silicon, has too little of it for a small rectifier valve.

Limit
-----
The least resistance per anode in the data sheet at this winding's volts off load at nominal mains, read by
straight lines between its rows. Below its first row the first row's resistance is more than is needed: a
breach there is marginal. Above its last row nothing is stated, and the supply is not checked.

Source
------
The valve's data sheet, or the description. The reflected primary: valvewizard.co.uk/psu.html.

What to change
--------------
A resistor in each anode lead that makes up the difference, rated for the RMS current of its anode.

A passing example
-----------------
A GZ34 on 350-0-350 V that sees 92 ohm per anode: 75 ohm at least.

A failing example
-----------------
An EZ81 on 250-0-250 V that sees 116 ohm per anode: 150 ohm at least, 34 ohm are missing in each lead.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from psucheck.checks import ratings
from psucheck.checks.case import Case
from psucheck.checks.described import volts_per_anode, winding_guessed, winding_keys
from psucheck.checks.finding import Finding
from psucheck.checks.judging import not_checked, shown
from psucheck.checks.limits import Limits
from psucheck.checks.ratings import DeviceRatings
from psucheck.supply.model import Rectifier
from psucheck.supply.topology import choke_input

ID = "rectifier-source-resistance"
TITLE = "Source resistance of a valve rectifier"


def judge(case: Case, limits: Limits) -> Iterator[Finding]:
    """One finding a valve rectifier."""
    for name, rectifier in case.supply.rectifiers.items():
        device = ratings.device(rectifier.device)
        if device.kind != "valve":
            continue
        if choke_input(case.supply, name):
            why = "Choke input: the sheet's least resistance does not bind."
            yield Finding(ID, name, None, "ok", why=why, source="by circuit")
        else:
            yield _judged(case, name, rectifier, device)


def _judged(case: Case, name: str, rectifier: Rectifier, device: DeviceRatings) -> Finding:
    seen = [f.rectifiers[name].source_resistance for f in case.figures.values() if name in f.rectifiers]
    volts = volts_per_anode(case, name)
    if not seen or volts is None:
        return not_checked(
            ID,
            name,
            why="No run gave what its anodes see.",
            measure="the resistance of each half of the winding and of the primary",
        )
    # Valves in parallel share the winding: each sees its own part of the resistance so many times over.
    ohms = min(seen) * device.in_parallel
    least = device.source_resistance(volts)
    if least is None or (least[1] == "above" and ohms >= least[0].value):
        return not_checked(
            ID,
            name,
            why=f"Each anode sees {shown(ohms, 'ohm')}; what {device.name} needs at {shown(volts, 'V')} "
            "is not known.",
            measure=f"the least source resistance at {shown(volts, 'V')} on the data sheet of {device.name}",
            figure=ohms,
            unit="ohm",
        )
    rated, outside = least
    missing = math.ceil(rated.value - ohms)
    finding = ratings.hold_lower(
        ID,
        name,
        None,
        ohms,
        rated,
        "ohm",
        why=f"Each anode sees {shown(ohms, 'ohm')}; {device.name} needs {shown(rated.value, 'ohm')} "
        f"at {shown(volts, 'V')}.",
        hopeful=ohms * _guess_share(case, rectifier) if winding_guessed(case, rectifier) else None,
        change=f"Add {missing} ohm or more in each anode lead.",
    )
    if finding.verdict == "over" and outside == "below":
        return ratings.softened(finding, "the sheet's table begins at more volts than this")
    return finding


def _guess_share(case: Case, rectifier: Rectifier) -> float:
    """How much larger the resistance may be than simulated, by the ranges of what was guessed."""
    keys = winding_keys(rectifier)
    return max(
        (
            assumption.high / assumption.value
            for assumption in case.assumptions
            if assumption.kind == "guess" and assumption.high and assumption.key.startswith(keys)
        ),
        default=1.0,
    )
