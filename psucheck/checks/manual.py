"""The manual page of a rule: its module's docstring, taken apart.

A docstring opens with a one-line summary. Its sections follow, each heading on a line of its own with a line
of dashes below it, in the order of :data:`SECTIONS`.
"""

from __future__ import annotations

import inspect
import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import ModuleType
from typing import TYPE_CHECKING, cast

from psucheck.checks.limits import Limit, Limits

if TYPE_CHECKING:
    from psucheck.checks.case import Rule

DUTY = "duty.full-output"
"""The limit that every rule on heating shares."""

SECTIONS = (
    "What it checks",
    "Why it matters",
    "Limit",
    "Source",
    "What to change",
    "A passing example",
    "A failing example",
)


class ManualError(ValueError):
    """A rule's docstring lacks a section, or holds one that is empty, unknown or out of order."""


@dataclass(frozen=True)
class Page:
    """One rule's page: id, title, the summary line, and the text of each section."""

    id: str
    title: str
    summary: str
    sections: Mapping[str, str]


def page(rule: Rule) -> Page:
    """The manual page of a rule module.

    Raises
    ------
    ManualError
        Names the rule and the section at fault.
    """
    lines = inspect.cleandoc(rule.__doc__ or "").splitlines()
    headings = [
        number
        for number in range(len(lines) - 1)
        if lines[number].strip() and lines[number + 1] and set(lines[number + 1]) == {"-"}
    ]
    names = tuple(lines[number] for number in headings)
    if names != SECTIONS:
        raise ManualError(f"{rule.ID}: sections are {list(names)}, wanted {list(SECTIONS)}")
    ends = [*headings[1:], len(lines)]
    sections = {
        lines[start]: "\n".join(lines[start + 2 : end]).strip("\n")
        for start, end in zip(headings, ends, strict=True)
    }
    empty = [name for name, text in sections.items() if not text.strip()]
    if empty:
        raise ManualError(f"{rule.ID}: nothing is said under {empty}")
    summary = " ".join(lines[: headings[0]]).strip()
    return Page(id=rule.ID, title=rule.TITLE, summary=summary, sections=sections)


def limits_of(rule: Rule, limits: Limits) -> list[Limit]:
    """The entries of the table of limits that a rule applies: its own, then those it shares with others.

    Which shared ones they are is read off the module's text, so that no list of them has to be kept.
    """
    text = inspect.getsource(cast(ModuleType, rule))
    named = set(re.findall(r'"([a-z-]+\.[a-z0-9-]+)"', text))
    if re.search(r"\b(hold_duty|against_duty|duty_rms)\(", text):
        named.add(DUTY)
    entries = limits.entries.values()
    own = [entry for entry in entries if entry.name.startswith(f"{rule.ID}.")]
    return own + [entry for entry in entries if entry.name in named and entry not in own]
