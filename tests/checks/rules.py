"""What the tests of the rules share: a rule's findings by subject, and ways to change one figure."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from psucheck.checks.case import Case, Rule
from psucheck.checks.finding import Finding
from psucheck.checks.judging import LEVELS
from psucheck.checks.limits import default_limits
from psucheck.figures.model import Figures, PlaceFigures, State
from psucheck.supply.assumptions import Assumption
from tests.checks import cases


def judged(rule: Rule, case: Case, subject: str) -> Finding:
    """The one finding of ``rule`` on ``subject``."""
    (finding,) = every(rule, case, subject)
    return finding


def every(rule: Rule, case: Case, subject: str) -> list[Finding]:
    """All findings of ``rule`` on ``subject``, in order."""
    return [finding for finding in rule.judge(case, default_limits()) if finding.subject == subject]


def loaded(idle: float, full: float, change: Callable[[Figures, float], Figures]) -> list[Figures]:
    """Idle and full output at every mains level, each changed to carry ``idle`` or ``full``."""
    drawn: tuple[tuple[State, float], ...] = (("idle", idle), ("full output", full))
    return [change(cases.figures(state, level), amps) for state, amps in drawn for level in LEVELS]


def with_rectifier(made: Figures, name: str, **changed: float) -> Figures:
    """``made`` with other figures for one rectifier."""
    found = replace(made.rectifiers[name], **changed)
    return replace(made, rectifiers={**made.rectifiers, name: found})


def with_winding(made: Figures, name: str, **changed: Any) -> Figures:
    """``made`` with other figures for one winding."""
    return replace(made, windings={**made.windings, name: replace(made.windings[name], **changed)})


def with_resistor(made: Figures, name: str, **changed: float) -> Figures:
    """``made`` with other figures for one resistor."""
    return replace(made, resistors={**made.resistors, name: replace(made.resistors[name], **changed)})


def with_choke(made: Figures, name: str, **changed: float) -> Figures:
    """``made`` with other figures for one choke."""
    return replace(made, chokes={**made.chokes, name: replace(made.chokes[name], **changed)})


def with_valves(made: Figures, **changed: Any) -> Figures:
    """``made`` with other figures for its output valves."""
    return replace(made, valves={"output": replace(made.valves["output"], **changed)})


def with_place(made: Figures, name: str, found: PlaceFigures, *remarks: str) -> Figures:
    """``made`` with figures for one place, and remarks."""
    return replace(made, places={**made.places, name: found}, remarks=remarks)


def guess(key: str, high: float | None = None) -> Assumption:
    """A guessed value of 1 in the description's unit for ``key``."""
    return Assumption(key, 1.0, "", "guess", "not given", low=0.5, high=high)
