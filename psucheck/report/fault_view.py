"""What a fault hunt found, ready to be shown: plain data, made by ``bench.faultfind``."""

from __future__ import annotations

from dataclasses import dataclass

PRIORS = "How likely each was beforehand is common practice, a guess."


@dataclass(frozen=True, slots=True)
class CauseLine:
    """One cause: ``size`` in words (empty: it has none), ``prior`` and ``share`` as shares of one."""

    id: str
    at: str
    says: str
    size: str
    prior: float


@dataclass(frozen=True, slots=True)
class ReadingLine:
    """One reading beside what was to be expected of it, sound and with the likeliest cause [SI, ``unit``].

    ``off`` is its distance from the sound value in standard deviations of parts, meter and wall together.
    """

    step: str
    point: str
    unit: str
    value: float
    sound: float
    explained: float
    off: float
    wrong: bool


@dataclass(frozen=True, slots=True)
class GroupLine:
    """Causes that the readings do not tell apart, how likely they are together; none: nothing is wrong."""

    share: float
    causes: tuple[CauseLine, ...]


@dataclass(frozen=True, slots=True)
class StepLine:
    """What to do next: why, minutes, share of the doubt that it settles, what it shows for which cause."""

    says: str
    why: str
    minutes: float
    settles: float
    safety: str
    expect: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class FaultReport:
    """The whole answer."""

    title: str
    groups: tuple[GroupLine, ...]
    two: tuple[CauseLine, CauseLine] | None
    """Two causes that together explain what the likeliest one leaves unexplained."""
    unexplained: tuple[ReadingLine, ...]
    off: tuple[ReadingLine, ...]
    """The readings that lie farthest from a sound supply's."""
    steps: tuple[StepLine, ...]
    silent: int
    """How many causes would not show in these readings at all."""
    considered: int
    readings: int
    left_out: tuple[str, ...]
    """Readings that were not used, and why."""
    cautions: tuple[str, ...]

    @property
    def sound(self) -> bool:
        """Whether the likeliest is that nothing is wrong."""
        return not self.groups[0].causes and self.two is None
