"""What the rules share: holding a figure against a limit, the worst of several, wording the difference.

A rule collects its figures over the conditions, calls :func:`against_upper` or :func:`against_lower` for
each, and yields the :func:`worst`. What it cannot judge it yields through :func:`not_checked`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import replace

from psucheck import quantity
from psucheck.checks.case import Case
from psucheck.checks.finding import Finding, Verdict
from psucheck.checks.limits import Limits
from psucheck.figures.model import Figures, Level, State

SEVERITY: dict[Verdict, int] = {"over": 0, "marginal": 1, "not checked": 2, "accepted": 3, "ok": 4}
"""Verdicts from the one that matters most."""

LEVELS: tuple[Level, ...] = ("low", "nominal", "high", "wall")
"""Every mains level, for rules that take the worst of all."""


def shown(value: float, unit: str) -> str:
    """A figure as a technician writes it: ``551 V``, ``220 mA``; a percentage for ``%``, bare for ``1``."""
    if unit in ("", "1"):
        return f"{value:.3g}"
    if unit == "%":
        return f"{value:.2g} %" if abs(value) < 10 else f"{value:.0f} %"
    return quantity.show(value, unit)


def difference(figure: float, limit: float, unit: str) -> str:
    """How far a figure is beyond its limit, or inside it: ``51 V over, 10 %``; ``28 V below, 6 %``."""
    word = "over" if figure > limit else "below"
    if figure == limit:
        return "exactly on it"
    apart = f"{shown(abs(figure - limit), unit)} {word}"
    return f"{apart}, {share(abs(figure - limit) / abs(limit))}" if limit else apart


def share(part: float) -> str:
    """A share of one as a percentage: ``10 %``."""
    return f"{100 * part:.0f} %"


def against_upper(
    rule: str,
    subject: str,
    condition: str | None,
    figure: float,
    limit: float,
    unit: str,
    *,
    why: str,
    source: str,
    practice: float | None = None,
    guessed: bool = False,
    hopeful: float | None = None,
    change: str | None = None,
) -> Finding:
    """Hold ``figure`` against a maximum.

    Parameters
    ----------
    figure, limit, unit
        Magnitudes, in the same unit (SI, or "%").
    why
        One sentence; shown with every verdict.
    practice
        Share of the limit [1] beyond which the verdict is ``marginal``; None for no such practice.
    guessed
        The figure or the limit rests on a guess or a recalled value. Over is then only ``marginal``, unless
        ``hopeful``, the figure at the favourable end of the guess, is over as well.
    change
        What to change; kept only where something is over or marginal.

    Raises
    ------
    ValueError
        For a figure or limit that is not finite.
    """
    broken, thin = figure > limit, practice is not None and figure > practice * limit
    certain = not guessed or (hopeful is not None and hopeful > limit)
    verdict = _verdict(broken, thin, certain)
    return _held(
        rule, subject, condition, verdict, figure, limit, unit, why, source, guessed, change, lower=False
    )


def against_lower(
    rule: str,
    subject: str,
    condition: str | None,
    figure: float,
    limit: float,
    unit: str,
    *,
    why: str,
    source: str,
    practice: float | None = None,
    guessed: bool = False,
    hopeful: float | None = None,
    change: str | None = None,
) -> Finding:
    """Hold ``figure`` against a minimum.

    ``practice`` is a share of the limit above one; all else is as in :func:`against_upper`.
    """
    broken, thin = figure < limit, practice is not None and figure < practice * limit
    certain = not guessed or (hopeful is not None and hopeful < limit)
    verdict = _verdict(broken, thin, certain)
    return _held(
        rule, subject, condition, verdict, figure, limit, unit, why, source, guessed, change, lower=True
    )


def _verdict(broken: bool, thin: bool, certain: bool) -> Verdict:
    if broken:
        return "over" if certain else "marginal"
    return "marginal" if thin else "ok"


def _held(
    rule: str,
    subject: str,
    condition: str | None,
    verdict: Verdict,
    figure: float,
    limit: float,
    unit: str,
    why: str,
    source: str,
    guessed: bool,
    change: str | None,
    *,
    lower: bool,
) -> Finding:
    if not (math.isfinite(figure) and math.isfinite(limit)):
        raise ValueError(f"{rule} {subject}: figure {figure} or limit {limit} is not finite")
    left = figure - limit if lower else limit - figure
    return Finding(
        rule=rule,
        subject=subject,
        condition=condition,
        verdict=verdict,
        why=why,
        source=source,
        figure=figure,
        limit=limit,
        unit=unit,
        margin=left / abs(limit) if limit else None,
        guessed=guessed,
        change=None if verdict == "ok" else change,
        lower_limit=lower,
    )


def not_checked(
    rule: str,
    subject: str,
    *,
    why: str,
    measure: str,
    source: str = "",
    condition: str | None = None,
    figure: float | None = None,
    unit: str = "",
) -> Finding:
    """What cannot be judged, with the measurement or marking that would settle it."""
    return Finding(
        rule=rule,
        subject=subject,
        condition=condition,
        verdict="not checked",
        why=why,
        source=source,
        figure=figure,
        unit=unit,
        measure=measure,
    )


def severity(finding: Finding) -> tuple[int, float]:
    """Sort key: the verdict that matters most first, then the least margin."""
    return SEVERITY[finding.verdict], math.inf if finding.margin is None else finding.margin


def worst(findings: Iterable[Finding]) -> Finding:
    """The finding that matters most.

    Raises
    ------
    ValueError
        For no finding at all: a rule with nothing to judge says so itself.
    """
    return min(findings, key=severity)


def highest(
    case: Case,
    states: Iterable[State],
    levels: Iterable[Level],
    pick: Callable[[Figures], float | None],
) -> tuple[Figures, float] | None:
    """The condition in which ``pick`` is highest, and that figure; None where no condition has it."""
    found = [
        (figures, value) for figures in case.select(states, levels) if (value := pick(figures)) is not None
    ]
    return max(found, key=lambda pair: pair[1]) if found else None


def duty_rms(idle: float, full: float, duty: float) -> float:
    """RMS current [A] of hard playing: ``duty`` of the time [1] at ``full``, the rest at ``idle``.

    Copper and capacitors warm with the mean of the current squared, over minutes.
    """
    return math.sqrt(duty * full**2 + (1.0 - duty) * idle**2)


def against_duty(
    rule: str,
    subject: str,
    idle: tuple[Figures, float],
    full: tuple[Figures, float] | None,
    limit: float,
    limits: Limits,
    *,
    why: str,
    source: str,
    guessed: bool = False,
    change: str | None = None,
) -> Finding:
    """Hold an RMS current [A] against a thermal rating.

    ``over`` at idle or at the usual duty, ``marginal`` where only continuous full output exceeds it.
    ``idle`` and ``full`` are the condition and its current, as :func:`highest` returns them.
    """
    usual = limits["duty.full-output"]

    def held(condition: str, amps: float) -> Finding:
        return against_upper(
            rule, subject, condition, amps, limit, "A", why=why, source=source, guessed=guessed, change=change
        )

    at_idle = held(idle[0].name, idle[1])
    if full is None:
        return at_idle
    playing = held(
        f"{share(usual.value)} of the time at {full[0].name}", duty_rms(idle[1], full[1], usual.value)
    )
    flat_out = held(full[0].name, full[1])
    if flat_out.verdict == "over":
        note = f"{why.rstrip('.')}; only continuous full output exceeds it."
        flat_out = replace(flat_out, verdict="marginal", why=note)
    return worst([flat_out, playing, at_idle])
