"""What was not given: each value derived, taken as a default, or guessed, with its reason and range."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal


@dataclass(frozen=True, slots=True)
class Assumption:
    """One value that the description does not state.

    Attributes
    ----------
    key
        Dotted path of the description's key it stands for (``"windings.heaters.resistance"``).
    value, unit
        The value taken, SI.
    kind
        ``derived`` from facts in the description, a ``default`` that has a source, or a ``guess``.
    why
        One clause: what it was taken from.
    source
        Source of a default.
    low, high
        For a guess: the range in which the truth is expected.
    """

    key: str
    value: float
    unit: str
    kind: Literal["derived", "default", "guess"]
    why: str
    source: str = ""
    low: float | None = None
    high: float | None = None


class Notes(list[Assumption]):
    """The assumptions made so far; some values may be supposed to be others, to see what hangs on them."""

    def __init__(self, supposed: Mapping[str, float] | None = None) -> None:
        super().__init__()
        self.supposed = dict(supposed or {})


def take(notes: list[Assumption], assumption: Assumption) -> float:
    """Note ``assumption`` and return the value to go on with: its own, unless another is supposed."""
    if isinstance(notes, Notes) and assumption.key in notes.supposed:
        assumption = replace(assumption, value=notes.supposed[assumption.key])
    notes.append(assumption)
    return assumption.value
