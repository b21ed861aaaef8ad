"""Words that sheets and readings share: the chassis, and the steps on the way up."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from psucheck.circuit.condition import State

CHASSIS = "chassis"


@dataclass(frozen=True, slots=True)
class StepKind:
    """A step on the way up.

    Attributes
    ----------
    state
        What the amplifier is doing; None with the plug out.
    share
        Volts at the amplifier as a share of what the wall has; None for the highest at which no capacitor is
        over with the valves out, which hangs on the supply.
    """

    state: State | None
    share: float | None = 1.0


STEPS: Mapping[str, StepKind] = {
    "cold": StepKind(None),
    "a tenth": StepKind("valves out", 0.10),
    "a quarter": StepKind("valves out", 0.25),
    "a half": StepKind("valves out", 0.50),
    "three quarters": StepKind("valves out", 0.75),
    "valves-out limit": StepKind("valves out", None),
    "bias": StepKind("valves out", None),
    "valves out": StepKind("valves out"),
    "full wall": StepKind("idle"),
    "full output": StepKind("full output"),
    "soak": StepKind("idle"),
}
"""The steps at which something is read against a number, by their names. ``valves out`` is none of the
sheet's: readings taken with the valves out at the whole wall voltage, or at what ``mains volts`` says."""

PLUG_IN = " with silicon"
"""What a step's name ends with where silicon is plugged in for the rectifier valve."""


def split_step(name: str) -> tuple[str, bool]:
    """A step's name without ``PLUG_IN``, and whether that was there."""
    plain = name.removesuffix(PLUG_IN)
    return plain, plain != name
