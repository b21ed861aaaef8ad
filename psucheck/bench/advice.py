"""What to read or try next: whatever tells the likeliest causes apart for the least work."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from psucheck.bench.likelihood import Fit, Scale, curve
from psucheck.bench.meter_spread import Meter
from psucheck.bench.ranking import Group
from psucheck.bench.responses import Responses, Slot
from psucheck.bench.trials import TRIALS, Trial
from psucheck.quantity import show

_HELD = 12
"""How many causes are held against each other."""
_LEAST_SHARE = 0.01
_OPEN_OHMS = 1e6
"""Beyond this a reading in place is called open: only leakage is left."""
_WORTH = 0.05
"""Share of the doubt that a step must settle to be worth its time."""


@dataclass(frozen=True)
class Step:
    """One thing to do next.

    ``settles`` is the share of the doubt between the leading causes that it takes away [1], ``minutes`` what
    it costs, ``expect`` what it shows for which cause, ``safety`` what to mind.
    """

    says: str
    why: str
    minutes: float
    settles: float
    safety: str
    expect: tuple[tuple[str, str], ...] = ()


def advice(
    groups: Sequence[Group], responses: Responses, read: Mapping[Slot, float], meter: Meter
) -> list[Step]:
    """The steps that settle most for their time, three at most; with nothing in doubt, one that confirms."""
    held = [one for group in groups if group.share >= _LEAST_SHARE for one in group.fits][:_HELD]
    if len(held) < 2:
        return _confirming(held)
    weights = np.exp(
        np.array([one.evidence + _prior(one) for one in held]) - max(o.evidence + _prior(o) for o in held)
    )
    weights = weights / weights.sum()
    doubt = 1.0 - float((weights**2).sum())
    if doubt <= 0.0:
        return []
    steps = [*_of_readings(held, weights, responses, read, meter), *_of_trials(held, weights)]
    steps = [step for step in steps if step.settles / doubt > _WORTH]
    chosen: list[Step] = []
    for step in sorted(steps, key=lambda each: -each.settles / (each.minutes + 1.0)):
        if all(step.expect != other.expect for other in chosen):
            chosen.append(step)
        if len(chosen) == 3:
            break
    return chosen


def _confirming(held: Sequence[Fit]) -> list[Step]:
    """The trial that shows a cause which stands alone, if there is one."""
    causes = [one.curve.cause for one in held if one.curve.cause is not None]
    found = [(trial, cause) for cause in causes for trial in TRIALS if cause.id in trial.shows]
    if not found:
        return []
    trial, cause = min(found, key=lambda each: each[0].minutes)
    expect = ((cause.says, trial.shows[cause.id]), ("otherwise", trial.otherwise))
    return [Step(trial.says.format(at=cause.at), trial.why, trial.minutes, 0.0, trial.safety, expect)]


def _prior(one: Fit) -> float:
    return float(np.log(one.curve.cause.weight)) if one.curve.cause is not None else 4.0


def _name(one: Fit) -> str:
    return "nothing wrong" if one.curve.cause is None else one.curve.cause.says


def _told(weights: np.ndarray, apart: np.ndarray) -> float:
    """Weight of the pairs of causes that are told apart; ``apart`` [causes, causes] from 0 to 1."""
    return float((weights[:, None] * weights[None, :] * apart).sum())


def _of_readings(
    held: Sequence[Fit], weights: np.ndarray, responses: Responses, read: Mapping[Slot, float], meter: Meter
) -> list[Step]:
    unread = [slot for slot in responses.sound.values if slot not in read]
    if not unread:
        return []
    scale = Scale(unread, responses, meter)
    made, spread = [], []
    for one in held:
        cause = one.curve.cause
        along = curve([responses.sound] if cause is None else responses.causes[cause], scale)
        if along is None:
            made.append(scale.sound)
            spread.append(np.abs(scale.sound) + 1.0)
            continue
        row = int(np.argmin(np.abs(along.at - one.curve.at[one.best])))
        made.append(along.made[row])
        spread.append(np.sqrt(np.diag(scale.covariance(along.made[row]))))
    values, sigma = np.array(made), np.array(spread)
    steps = []
    for number, (setting, name) in enumerate(unread):
        v, s = values[:, number], sigma[:, number]
        variance = s[:, None] ** 2 + s[None, :] ** 2
        apart = 1.0 - np.exp(-((v[:, None] - v[None, :]) ** 2) / (4.0 * variance))
        told = _told(weights, apart)
        if told < 0.01:
            continue
        minutes, safety = _work(name, cold=setting is None)
        where = (
            "with the plug out"
            if setting is None
            else f"{setting.state}, {setting.volts:.4g} V at the amplifier"
        )
        shown = [_shown(name, float(x)) for x in (np.exp(v) if name.endswith(" ohms") else v)]
        expect = tuple(dict.fromkeys(zip((_name(o) for o in held[:4]), shown[:4], strict=True)))
        steps.append(Step(f"read {name}, {where}", "", minutes, told, safety, expect))
    return steps


def _work(name: str, *, cold: bool) -> tuple[float, str]:
    """Minutes and safety of a reading; common practice, a guess."""
    if cold:
        return 2.0, "plug out, drain, prove dead with a meter rated for the voltage"
    if name.endswith(" hum"):
        return 4.0, "scope on an isolated amplifier only: a variac does not isolate"
    if name.endswith(" AC"):
        return 2.0, "through 0.1 uF 630 V; clip on with the power off"
    if name.endswith(" drop"):
        return 3.0, "both leads at HT: clip on with the power off, drained"
    return 1.5, "one hand; clip on with the power off"


def _shown(name: str, value: float) -> str:
    if name.endswith(" hum"):
        return "mains frequency" if value > 0.5 else "twice the mains frequency"
    if name.endswith(" ohms"):
        return "open" if value > _OPEN_OHMS else show(value, "ohm")
    unit = "A" if name.endswith("amps") else "W" if name.endswith("watts") else "V"
    return show(value, unit)


def _of_trials(held: Sequence[Fit], weights: np.ndarray) -> list[Step]:
    causes = [one.curve.cause for one in held if one.curve.cause is not None]
    steps = []
    for trial, at in dict.fromkeys((trial, c.at) for trial in TRIALS for c in causes if c.id in trial.shows):
        outcomes = [_outcome(trial, at, one) for one in held]
        apart = np.array([[a != b for b in outcomes] for a in outcomes], dtype=float)
        expect = tuple(dict.fromkeys(zip((_name(o) for o in held[:4]), outcomes[:4], strict=True)))
        steps.append(
            Step(
                trial.says.format(at=at),
                trial.why,
                trial.minutes,
                _told(weights, apart),
                trial.safety,
                expect,
            )
        )
    return steps


def _outcome(trial: Trial, at: str, one: Fit) -> str:
    cause = one.curve.cause
    if cause is None:
        return trial.otherwise
    shown = trial.shows.get(cause.id)
    return shown if shown is not None and (cause.at == at or not trial.of_place) else trial.otherwise
