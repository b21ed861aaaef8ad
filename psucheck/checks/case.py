"""What a rule may read: the supply, what was assumed, the figures of each condition, and the part ratings."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Protocol

from psucheck.checks.finding import Finding
from psucheck.checks.limits import Limits
from psucheck.figures.faults import FaultCourse
from psucheck.figures.model import Figures, Level, State
from psucheck.supply.assumptions import Assumption
from psucheck.supply.model import Supply


@dataclass(frozen=True)
class Case:
    """One supply with everything known of it.

    Attributes
    ----------
    supply
        As described (the proposed one, where the file has both).
    figures
        Condition name -> figures.
    assumptions
        What was derived, defaulted or guessed, each with the key it stands for.
    faults
        What each fault that a fuse is there for comes to; None where faults were not run.
    """

    supply: Supply
    figures: Mapping[str, Figures]
    assumptions: tuple[Assumption, ...] = ()
    faults: tuple[FaultCourse, ...] | None = None

    def select(self, states: Iterable[State], levels: Iterable[Level]) -> Iterator[Figures]:
        """Figures of the conditions in any of ``states`` at any of ``levels``, in order."""
        wanted_states, wanted_levels = tuple(states), tuple(levels)
        for figures in self.figures.values():
            if figures.state in wanted_states and figures.level in wanted_levels:
                yield figures

    def guessed(self, *keys: str) -> bool:
        """Whether any of the description's ``keys`` (dotted paths or their beginnings) was guessed."""
        return any(
            assumption.kind == "guess" and assumption.key.startswith(key)
            for assumption in self.assumptions
            for key in keys
        )


class Rule(Protocol):
    """A rule is a module with these names; its docstring is its manual page."""

    ID: str
    TITLE: str

    def judge(self, case: Case, limits: Limits) -> Iterator[Finding]:
        """Yield a finding per subject, ``ok`` ones too."""
        ...
