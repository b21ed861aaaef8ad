"""Relays: whether each pulls in at the lowest mains, and holds at full output there.

What it checks
--------------
The DC on the node of each relay at low mains, at idle and at full output, against the volts at which it pulls
in; and, where the description says down to what it holds, the lowest instant at full output against that. The
mains voltage at which it pulls in stands among the figures.

Why it matters
--------------
A relay for muting, for the B+ or for channel switching that does not quite pull in chatters, burns its
contacts, or leaves the amplifier dead at one house and working at the next.

Limit
-----
Less than it needs to pull in is over; less than 10 % more is marginal. So is it for what it needs to hold.

Source
------
The relay's own volts as given; where only its nominal ones are, 70 % of them (60 to 80 %): common practice,
no source, and a guess. The tenth: common practice, no source.

What to change
--------------
More volts on its rail: a smaller dropper, a doubler, another winding; or a relay for fewer volts.

A passing example
-----------------
``relay = { pull_in = "8.4 V", resistance = "360 ohm" }`` on a rail of 11.8 V at low mains: 40 % in hand.

A failing example
-----------------
The same relay on a rail of 7.9 V at full output at low mains: it does not pull in.
"""

from __future__ import annotations

from collections.abc import Iterator

from psucheck.checks.case import Case
from psucheck.checks.finding import Finding
from psucheck.checks.judging import against_lower, not_checked, shown, worst
from psucheck.checks.limits import Limits
from psucheck.supply.model import Relay

ID = "relay-pull-in"
TITLE = "Relay pull-in"

_CHANGE = "Give its rail more volts, or fit a relay for fewer."
_GIVEN = "volts of the relay, as given in the description"


def judge(case: Case, limits: Limits) -> Iterator[Finding]:
    """One finding a relay."""
    for name, load in case.supply.loads.items():
        if load.relay is not None and load.node is not None:
            yield _judged(case, limits, name, load.node, load.relay)


def _judged(case: Case, limits: Limits, name: str, node: str, relay: Relay) -> Finding:
    runs = [f for f in case.select(("idle", "full output"), ("low",)) if node in f.nodes]
    if not runs:
        return not_checked(
            ID, name, why="No run gave its volts at low mains.", measure="DC on its coil at low mains"
        )
    needed, guess = _pull_in(case, name, relay)
    lowest = min(runs, key=lambda figures: abs(figures.nodes[node].dc))
    volts = abs(lowest.nodes[node].dc)
    practice = limits[f"{ID}.practice"]
    found = [
        against_lower(
            ID,
            name,
            lowest.name,
            volts,
            needed,
            "V",
            why=f"{shown(volts, 'V')} on a relay that pulls in at {shown(needed, 'V')}.",
            source=practice.cited if guess else _GIVEN,
            practice=practice.value,
            guessed=guess is not None,
            hopeful=None if guess is None else volts * guess,
            change=_CHANGE,
        )
    ]
    if relay.holds is not None:
        dip = min(min(abs(f.nodes[node].min), abs(f.nodes[node].max)) for f in runs)
        holds = shown(relay.holds, "V")
        found.append(
            against_lower(
                ID,
                name,
                lowest.name,
                dip,
                relay.holds,
                "V",
                why=f"{shown(dip, 'V')} at the lowest on a relay that holds down to {holds}.",
                source=_GIVEN,
                practice=practice.value,
                change=_CHANGE,
            )
        )
    return worst(found)


def _pull_in(case: Case, name: str, relay: Relay) -> tuple[float, float | None]:
    """Volts at which it pulls in, and where they are a guess how many times they may be too high."""
    if relay.pull_in is not None:
        return relay.pull_in, None
    note = next(one for one in case.assumptions if one.key == f"loads.{name}.relay.pull_in")
    return note.value, note.value / (note.low or note.value)
