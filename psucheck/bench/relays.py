"""In which step a relay pulls in."""

from __future__ import annotations

from collections.abc import Iterator

from psucheck.bench.names import STEPS
from psucheck.bench.plan import Plan
from psucheck.checks.judging import shown

_ORDER = tuple(STEPS)


def relay_notes(plan: Plan, step: str) -> Iterator[str]:
    """What to expect of each relay at a step: that it has pulled in, or that it has not yet."""
    taken = [name for name in _ORDER if name in plan.steps and name != "bias"]
    for name, relay in plan.filled.relays.items():
        reached = [
            each
            for each in taken
            if abs(plan.up.values[plan.setting(each)][f"{relay.node} DC"]) >= relay.pull_in
        ]
        volts = shown(abs(plan.up.values[plan.setting(step)][f"{relay.node} DC"]), "V")
        if reached and reached[0] == step:
            yield (
                f"Relay {name} pulls in on the way here, at {shown(relay.pull_in, 'V')} on {relay.node} "
                f"(here {volts}); just below that it chatters. What it switches comes with it."
            )
        elif step not in reached and step != "bias":
            yield (
                f"Relay {name} has not pulled in yet ({volts} of {shown(relay.pull_in, 'V')}): what "
                f"it switches "
                "is right to be dead."
            )
