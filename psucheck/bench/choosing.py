"""Choosing steps of the sheet by their numbers or names."""

from __future__ import annotations

import re
from collections.abc import Sequence

from psucheck.report.sheet_view import Step
from psucheck.supply.errors import nearest, quoted

_NUMBERS = re.compile(r"\s*(\d{1,2})\s*(?:-\s*(\d{1,2})\s*)?")


class UnknownStep(ValueError):
    """No step of that number or name; the message says which there are."""


def chosen(text: str | None, steps: Sequence[Step]) -> tuple[Step, ...]:
    """The steps that ``text`` names: ``"0-3"``, ``"2, full wall"``; all of them for None.

    A name that several steps share stands for all of those.

    Raises
    ------
    UnknownStep
        For what is neither a number nor a name of a step.
    """
    if text is None:
        return tuple(steps)
    wanted: set[int] = set()
    for part in text.split(","):
        wanted |= _numbers(part, steps)
    return tuple(step for step in steps if step.number in wanted)


def _numbers(part: str, steps: Sequence[Step]) -> set[int]:
    found = _NUMBERS.fullmatch(part)
    known = {step.number for step in steps}
    if found is not None:
        first, last = int(found[1]), int(found[2] or found[1])
        asked = set(range(first, last + 1))
        if asked and asked <= known:
            return asked
        raise UnknownStep(f"--steps {part.strip()}: the sheet's steps are 0 to {max(known)}")
    name = " ".join(part.split()).casefold()
    by_name = {step.number for step in steps if step.name == name}
    if by_name:
        return by_name
    names = list(dict.fromkeys(step.name for step in steps))
    near = nearest(name, names)
    hint = f'; did you mean "{near}"?' if near else ""
    raise UnknownStep(f"--steps: there is no step {quoted(part.strip())}{hint} There are: {', '.join(names)}")
