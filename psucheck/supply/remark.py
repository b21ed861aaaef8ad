"""A remark on a description: facts that cannot all be true, or one that is hard to believe."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Remark:
    """What does not fit.

    Attributes
    ----------
    keys
        Dotted paths of the facts.
    message
        What does not fit, with the numbers.
    """

    keys: tuple[str, ...]
    message: str
