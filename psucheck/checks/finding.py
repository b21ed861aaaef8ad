"""A finding: what one rule says of one subject. The same object feeds tables, JSON and HTML."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Verdict = Literal["over", "marginal", "ok", "not checked", "accepted"]


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
    cure: str | None = None
    part: str | None = None
    own_limits: tuple[str, ...] = ()
    house_verdict: Verdict | None = None
