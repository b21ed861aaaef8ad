"""The fault hunt: from readings to causes in order, and to what to read or try next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import logsumexp

from psucheck.bench.advice import Step, advice
from psucheck.bench.causes.catalogue import causes_of
from psucheck.bench.causes.cause import Cause
from psucheck.bench.likelihood import Curve, Fit, Scale, curves, fit
from psucheck.bench.meter_spread import Meter
from psucheck.bench.pairs import Pair, log_prior, pairs, unexplained
from psucheck.bench.ranking import SEEN, SOUND, Group, nearest, ranked
from psucheck.bench.responses import Responses, Slot, respond
from psucheck.bench.runs import Setting
from psucheck.circuit.condition import Readings
from psucheck.engine.pool import Runner
from psucheck.supply.filled import FilledSupply


@dataclass(frozen=True, slots=True)
class Taken:
    """A reading as it is used.

    ``setting`` is that of its step (None: plug out), ``volts`` what the amplifier really had at its plug.
    """

    setting: Setting | None
    point: str
    value: float
    volts: float | None = None
    step: str = ""


class NothingToGoOn(ValueError):
    """None of the readings can be used; ``left_out`` says of each why."""

    def __init__(self, left_out: Sequence[str]) -> None:
        super().__init__("none of the readings can be used")
        self.left_out = tuple(left_out)


@dataclass(frozen=True)
class Hunt:
    """What came out: groups in order, two together if one does not do, what to do next."""

    groups: tuple[Group, ...]
    pair: Pair | None
    steps: tuple[Step, ...]
    scale: Scale
    read: Mapping[Slot, float]
    """The readings used, each brought to its setting's volts."""
    left_out: tuple[str, ...]
    silent: int
    responses: Responses


def hunt(
    filled: FilledSupply, readings: Readings, taken: Sequence[Taken], pool: Runner, meter: Meter | None = None
) -> Hunt:
    """Find what explains the readings.

    Parameters
    ----------
    readings
        Where the description's own readings lie.
    taken
        The readings at the bench, at least one.

    Raises
    ------
    NothingToGoOn
        If none of the readings can be used.
    SimulationError
        If the sound supply cannot be run.
    """
    if not taken:
        raise NothingToGoOn(())
    meter = meter or Meter()
    settings = tuple(dict.fromkeys(one.setting for one in taken if one.setting is not None))
    responses = respond(filled, readings, settings, causes_of(filled), pool)
    read, left_out = _brought(taken, responses)
    if not read:
        raise NothingToGoOn(left_out)
    scale = Scale(tuple(read), responses, meter)
    along = curves(responses, scale)
    values = scale.scaled(list(read.values()))
    found = [fit(each, values) for each in along]
    groups = ranked(found)
    pair = None
    best = groups[0].leader
    if unexplained(best) and best.curve.cause is not None:
        pair = _pair(found, pairs(found, responses, scale, values, readings, pool))
    return Hunt(
        tuple(groups),
        pair,
        tuple(advice(groups, responses, read, meter)),
        scale,
        read,
        tuple(left_out),
        silent(along),
        responses,
    )


def _pair(fits: Sequence[Fit], found: Sequence[Pair]) -> Pair | None:
    """The best pair, if it is likelier than any single cause with its prior."""
    if not found:
        return None
    singles = max(
        one.evidence + (np.log(SOUND) if (c := one.curve.cause) is None else log_prior(fits, c))
        for one in fits
    )
    return found[0] if found[0].weight > singles else None


def _brought(taken: Sequence[Taken], responses: Responses) -> tuple[dict[Slot, float], list[str]]:
    """Each reading as it would have been at its setting's own volts, and those that cannot be used.

    By how a reading goes with the mains: the drift of the wall tells its exponent.
    """
    wall = dict.fromkeys(responses.sound.values, 1.0)
    for drift, values in responses.drifted:
        if drift.name != "wall":
            continue
        for slot, sound in responses.sound.values.items():
            moved = values.get(slot, sound)
            if sound and moved / sound > 0:
                wall[slot] = float(np.clip(np.log(moved / sound) / drift.spread, -3.0, 6.0))
    read: dict[Slot, float] = {}
    left_out = []
    for one in taken:
        slot = (one.setting, one.point)
        if slot not in responses.sound.values:
            left_out.append(f"{one.point} at {one.step or 'its step'}: nothing is computed for it there")
            continue
        factor = 1.0
        if one.setting is not None and one.volts:
            factor = (one.setting.volts / one.volts) ** wall[slot]
        read[slot] = min(one.value, 1e12) * factor
    return read, left_out


def silent(along: Sequence[Curve]) -> int:
    """How many causes do not show in the readings, whatever their size."""
    sound = along[0]
    count = 0
    for each in along[1:]:
        if each.cause is not None and each.cause.blown:
            continue
        apart = [nearest(sound.made[0], sound.precision[0], _only(each, row)) for row in (0, -1)]
        count += max(apart) < SEEN
    return count


def _only(one: Curve, row: int) -> Curve:
    return Curve(one.cause, one.at[[row]], one.made[[row]], one.precision[[row]], one.log_norm[[row]])


def shares(groups: Sequence[Group]) -> float:
    """All shares together; one, but for rounding."""
    return float(np.exp(logsumexp(np.log([max(group.share, 1e-300) for group in groups]))))


def prior(causes: Sequence[Cause], cause: Cause) -> float:
    """How likely a cause is beforehand, as a share of one."""
    return (1 - SOUND) * cause.weight / sum(each.weight for each in causes)
