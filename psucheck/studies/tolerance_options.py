"""What may be asked of the study over tolerances, and what not."""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches

from psucheck.circuit.condition import Level, State

STATES: tuple[State, ...] = ("idle", "full output", "valves out")
"""What is run, unless told otherwise."""
STATES_ALLOWED: tuple[State, ...] = ("idle", "full output", "cold", "valves out")
MOST_SETS = 100_000


class BadOption(ValueError):
    """An option of the study cannot be used; the message names it, what was given and what is allowed."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked of the study: random sets, the seed, the states, the mains (None: over their range)."""

    sets: int = 1000
    seed: int = 1
    states: tuple[State, ...] = STATES
    level: Level | None = None
    only: tuple[str, ...] = ()
    """Patterns of the keys of what is off, ``"filter.*.capacitance"``; none: all."""

    def __post_init__(self) -> None:
        if not 1 <= self.sets <= MOST_SETS:
            raise BadOption(f"--sets {self.sets}: a whole number from 1 to {MOST_SETS} is wanted")
        if self.seed < 0:
            raise BadOption(f"--seed {self.seed}: a whole number from 0 up is wanted")


def states_of(text: str) -> tuple[State, ...]:
    """The states that ``"idle, valves out"`` names, each once.

    Raises
    ------
    BadOption
        For one that is not among them, and for none.
    """
    allowed = {state: state for state in STATES_ALLOWED}
    found = []
    for name in (part.strip() for part in text.split(",")):
        if name not in allowed:
            choice = ", ".join(f'"{state}"' for state in allowed)
            near = get_close_matches(name, list(allowed), n=1)
            hint = f' Did you mean "{near[0]}"?' if near else ""
            raise BadOption(f'--states "{name}": any of {choice} is wanted.{hint}')
        found.append(allowed[name])
    return tuple(dict.fromkeys(found))
