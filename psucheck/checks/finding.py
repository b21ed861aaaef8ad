"""A finding: what one rule says of one subject. The same object feeds tables, JSON and HTML."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

Verdict = Literal["over", "marginal", "ok", "not checked", "accepted"]


@dataclass(frozen=True, slots=True)
class Move:
    """What a cure moves beside what it mends: a figure before and after, in ``unit`` (SI)."""

    what: str
    before: float
    after: float
    unit: str


@dataclass(frozen=True, slots=True)
class Cure:
    """The smallest change that was found to mend a finding, or that none was found.

    Attributes
    ----------
    changes
        (path, value) each, as the description would hold it, None where something is taken out; empty if no
        cure was found.
    says
        The change for the technician; if none was found, what was looked at.
    verdict, figure, limit, unit
        What a check with the change in says of the same thing.
    moved
        What else moved by it.
    also
        Other findings that it mends, by ``rule subject``.
    as_for
        The finding, by ``rule subject``, for which it was looked for, where that is another one.
    marginal
        Findings that become marginal by it, by ``rule subject``.
    note
        What has to be known with it, a clause; empty if nothing.
    tried
        (change, why it is no cure) for every change that was run and not taken.
    """

    changes: tuple[tuple[str, str | None], ...]
    says: str
    verdict: Verdict | None = None
    figure: float | None = None
    limit: float | None = None
    unit: str = ""
    moved: tuple[Move, ...] = ()
    also: tuple[str, ...] = ()
    as_for: str = ""
    marginal: tuple[str, ...] = ()
    note: str = ""
    tried: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Finding:
    """One judgement.

    Attributes
    ----------
    rule, subject, condition
        Rule id, part or node in the description's words, condition's name (None where none applies).
    verdict
        See docs/rules.md; ``not checked`` carries ``measure``.
    figure, limit, unit
        The figure and the limit it was held against, in ``unit`` (SI, or "%").
    margin
        Share of the limit left: (limit - figure)/limit for an upper limit, negative when broken.
    why
        One sentence for the technician: what is wrong, with this supply's numbers.
    source
        Where the limit comes from, and how sure that is.
    guessed
        Whether the verdict rests on a guess or on a recalled value.
    change
        What to change, one short sentence.
    measure
        For ``not checked``: the measurement or marking that would settle it.
    lower_limit
        The limit is a minimum.
    part
        Which part of the subject is meant, where a rule judges several of them alike: anode, screen.
    own_limits
        Names of the limits of the user's own that were read for it.
    house_verdict
        The verdict by the house's limits, where those would have given another.
    cure
        What would mend it, where cures were looked for.
    """

    rule: str
    subject: str
    condition: str | None
    verdict: Verdict
    why: str
    source: str
    figure: float | None = None
    limit: float | None = None
    unit: str = ""
    margin: float | None = None
    guessed: bool = False
    change: str | None = None
    measure: str | None = None
    lower_limit: bool = False
    part: str | None = None
    own_limits: tuple[str, ...] = ()
    house_verdict: Verdict | None = None
    # A finding is one thing with a cure and without.
    cure: Cure | None = field(default=None, compare=False)
