"""What the rules on chokes share: the inductance taken, and the frequency of a rectifier's ripple."""

from __future__ import annotations

from psucheck.checks.case import Case
from psucheck.supply.model import Rectifier

PULSES: dict[str, int] = {
    "centre-tapped": 2,
    "bridge": 2,
    "full-wave doubler": 2,
    "half-wave": 1,
    "cascade doubler": 1,
}
"""Charging pulses in a mains cycle, by circuit."""


def inductance(case: Case, node: str) -> float | None:
    """Inductance of the choke before ``node`` [H]: as described, else as assumed; None where neither is."""
    choke = case.supply.filter[node].choke
    if choke is not None and choke.inductance is not None:
        return choke.inductance
    key = f"filter.{node}.choke.inductance"
    return next((taken.value for taken in case.assumptions if taken.key == key), None)


def inductance_guessed(case: Case, node: str) -> bool:
    """Whether that inductance was guessed."""
    return case.guessed(f"filter.{node}.choke.inductance")


def ripple_hertz(case: Case, rectifier: Rectifier) -> float:
    """Frequency of the ripple behind a rectifier [Hz]."""
    return PULSES[rectifier.circuit] * case.supply.mains.frequency
