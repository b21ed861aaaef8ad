"""Two causes together, where one by itself leaves readings unexplained.

What two do is first taken as the product of what each does; the best of those are then simulated.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.stats import chi2

from psucheck.bench.amplifier import Amplifier
from psucheck.bench.causes.cause import Cause
from psucheck.bench.likelihood import Array, Fit, Scale, curve, fit
from psucheck.bench.ranking import SOUND
from psucheck.bench.responses import Responses, respond
from psucheck.circuit.condition import Readings
from psucheck.engine.pool import Runner

_UNLIKELY = 1e-3
"""A misfit that chance makes this seldom is not explained."""
_FIRSTS, _TRIED = 8, 4
"""How many single causes are held beside all others, and how many pairs are simulated."""


@dataclass(frozen=True)
class Pair:
    """Two causes of some size, and how well they explain the readings; ``weight`` with their priors."""

    causes: tuple[Cause, Cause]
    sizes: tuple[float | None, float | None]
    fit: Fit
    weight: float

    @property
    def in_words(self) -> str:
        """Both, with their sizes."""
        return " and ".join(c.in_words(s) for c, s in zip(self.causes, self.sizes, strict=True))


def unexplained(best: Fit) -> bool:
    """Whether the cause that explains most leaves readings that it does not explain."""
    return bool(best.wrong) or float(chi2.sf(best.misfit, best.curve.made.shape[1])) < _UNLIKELY


def log_prior(fits: Sequence[Fit], cause: Cause) -> float:
    """Logarithm of how likely a cause is beforehand."""
    total = sum(c.weight for one in fits if (c := one.curve.cause) is not None and not c.blown)
    return float(np.log((1 - SOUND) * cause.weight / total))


def pairs(
    fits: Sequence[Fit],
    responses: Responses,
    scale: Scale,
    read: Array,
    readings: Readings,
    pool: Runner,
) -> list[Pair]:
    """The pairs that explain the readings best, simulated, the likeliest first.

    Raises
    ------
    SimulationError
        If the sound supply cannot be run.
    """
    singles = [one for one in fits if one.curve.cause is not None]
    firsts = sorted(singles, key=lambda one: -one.evidence - log_prior(fits, _cause(one)))[:_FIRSTS]
    rough = sorted(
        (_rough(a, b, scale, read, fits) for a in firsts for b in singles if _cause(a).key != _cause(b).key),
        key=lambda each: -each[0],
    )
    wanted: dict[frozenset[str], tuple[Fit, Fit, int]] = {}
    for _, a, b, row in rough:
        wanted.setdefault(frozenset({_cause(a).key, _cause(b).key}), (a, b, row))
        if len(wanted) == _TRIED:
            break
    return _simulated(list(wanted.values()), fits, responses, scale, read, readings, pool)


def _cause(one: Fit) -> Cause:
    assert one.curve.cause is not None
    return one.curve.cause


def _rough(a: Fit, b: Fit, scale: Scale, read: Array, fits: Sequence[Fit]) -> tuple[float, Fit, Fit, int]:
    """Log weight of two together, the first at its best size, the second at each; the first's precision."""
    made = together(scale, a.curve.made[a.best], b.curve.made)
    apart = read - made
    misfit = np.einsum("si,ij,sj->s", apart, a.curve.precision[a.best], apart)
    row = int(np.argmin(misfit))
    weight = float(a.curve.log_norm[a.best] - 0.5 * misfit[row]) - _size_price(a) - _size_price(b)
    return weight + log_prior(fits, _cause(a)) + log_prior(fits, _cause(b)), a, b, row


def _size_price(one: Fit) -> float:
    return float(np.log(len(one.curve.at)))


def together(scale: Scale, one: Array, others: Array) -> Array:
    """What two causes make of the readings: each what it does to the sound ones, as a share of them."""
    sound = scale.sound
    shared = ~scale.ohms & (np.abs(sound) > 1e-9)
    shares = np.where(shared, others / np.where(shared, sound, 1.0), 0.0)
    return np.asarray(np.where(shared, one * shares, one + others - sound))


def _simulated(
    wanted: Sequence[tuple[Fit, Fit, int]],
    fits: Sequence[Fit],
    responses: Responses,
    scale: Scale,
    read: Array,
    readings: Readings,
    pool: Runner,
) -> list[Pair]:
    made = [(_both(a, a.size, b, b.curve.sizes[row]), a, b, row) for a, b, row in wanted]
    run = respond(
        responses.filled, readings, responses.settings, [cause for cause, *_ in made], pool, drifting=False
    )
    found = []
    for cause, a, b, row in made:
        along = curve(run.causes[cause], scale)
        if along is None:
            continue
        one = fit(along, read)
        weight = one.evidence - _size_price(a) - _size_price(b)
        weight += log_prior(fits, _cause(a)) + log_prior(fits, _cause(b))
        found.append(Pair((_cause(a), _cause(b)), (a.size, b.curve.sizes[row]), one, weight))
    return sorted(found, key=lambda pair: -pair.weight)


def _both(a: Fit, size_a: float | None, b: Fit, size_b: float | None) -> Cause:
    """Two causes as one, of these sizes."""
    first, second = _cause(a), _cause(b)

    def put(amp: Amplifier, _: float) -> Amplifier:
        return second.put(first.put(amp, size_a or 0.0), size_b or 0.0)

    return replace(
        first,
        id="two",
        at=f"{first.key} + {second.key}",
        says=f"{first.in_words(size_a)} and {second.in_words(size_b)}",
        weight=first.weight * second.weight,
        put=put,
        size=None,
        states=first.states | second.states,
        blows=(*first.blows, *second.blows),
        blows_in=first.blows_in if first.blows else second.blows_in,
        dead=first.dead or second.dead,
        scales=False,
        blown=first.blown or second.blown,
    )
