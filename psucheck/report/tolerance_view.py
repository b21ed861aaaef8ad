"""What a study of sets of parts amounts to, for tables and JSON alike."""

from __future__ import annotations

from dataclasses import dataclass

from psucheck.checks.finding import Finding
from psucheck.circuit.condition import Level, State
from psucheck.figures.kept import Quantity, quantity_of
from psucheck.supply.tolerances import Tolerance


@dataclass(frozen=True, slots=True)
class Driver:
    """A tolerance that moves a figure: its key, and the rank correlation of the two (Spearman's, -1 to 1)."""

    key: str
    correlation: float


@dataclass(frozen=True, slots=True)
class Spreading:
    """One figure over the sets [SI].

    ``nominal``; ``lowest`` and ``highest`` with every part at that end which moves it so (the corners, each
    simulated); ``p5`` and ``p95``, between which nine sets of ten lie; what drives it, first the most.
    """

    state: State
    path: str
    nominal: float
    lowest: float
    p5: float
    p95: float
    highest: float
    drivers: tuple[Driver, ...]

    @property
    def named(self) -> tuple[str, str, Quantity]:
        """Group, part and quantity."""
        return quantity_of(self.path)


@dataclass(frozen=True, slots=True)
class Held:
    """One limit over the sets.

    ``nominal`` is what is found of the nominal supply; ``over`` in how many sets the limit is broken;
    ``worst`` what is found with every part at the end that brings it nearest, None where that is not known;
    ``accepted`` why it stands so, where the file accepts it. ``drivers`` go with how near the limit is.
    """

    nominal: Finding
    over: int
    worst: Finding | None
    broken_at_worst: bool
    drivers: tuple[Driver, ...]
    accepted: str | None = None


@dataclass(frozen=True)
class ToleranceReport:
    """How figures and verdicts hold over the tolerances of the parts.

    Attributes
    ----------
    asked, done, failed
        Sets that were asked for; that were run and judged; that were run and not solved.
    why_failed
        The simulator's words for the first of those.
    over
        Sets in which any limit is broken that is not accepted.
    level
        The mains at which all was run, where they were held; else None: they were drawn over their range.
    stopped
        Why not all sets were run; None: all were.
    """

    title: str
    asked: int
    done: int
    failed: int
    why_failed: str | None
    corners: int
    seed: int
    level: Level | None
    states: tuple[State, ...]
    tolerances: tuple[Tolerance, ...]
    figures: tuple[Spreading, ...]
    limits: tuple[Held, ...]
    over: int
    cautions: tuple[str, ...]
    stopped: str | None = None

    @property
    def anything_over(self) -> bool:
        """Whether any limit that is not accepted is broken, in a set or with the parts at their worst."""
        return any((one.over or one.broken_at_worst) and one.accepted is None for one in self.limits)
