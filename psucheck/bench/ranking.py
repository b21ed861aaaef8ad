"""Causes in order of how likely they are after the readings; those that nothing tells apart go together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import logsumexp

from psucheck.bench.likelihood import Array, Curve, Fit

SOUND = 0.3
"""How likely it is, before any reading, that nothing is wrong: common practice, a guess."""
ALIKE = 6.0
"""Squared distance, in standard deviations of all readings together, below which two causes are one."""
SEEN = 6.0
"""Squared distance from the sound supply above which a cause shows in the readings at all."""


_BLOWN = 0.5
"""How likely it is that the fuse for a cause has opened and was not replaced; a guess."""


@dataclass(frozen=True)
class Group:
    """Causes that the readings do not tell apart, the likeliest first; ``share`` is how likely they are."""

    fits: tuple[Fit, ...]
    share: float

    @property
    def leader(self) -> Fit:
        """The likeliest of them."""
        return self.fits[0]

    @property
    def sound(self) -> bool:
        """Whether this is "nothing wrong"."""
        return self.leader.curve.cause is None

    @property
    def keys(self) -> tuple[str, ...]:
        """The causes' keys."""
        return tuple(fit.curve.cause.key for fit in self.fits if fit.curve.cause is not None)


def ranked(fits: Sequence[Fit]) -> list[Group]:
    """Groups in order, "nothing wrong" among them; ``fits`` as of :func:`psucheck.bench.likelihood.fits`."""
    fits, weights = _one_each(fits)
    sound = fits[0]
    order = [int(n) for n in np.argsort(-weights)]
    groups: list[Group] = []
    grouped: set[int] = set()
    for number in order:
        if number in grouped:
            continue
        members = [number]
        if fits[number] is not sound and distance(fits[number], sound.curve) > SEEN:
            members += [
                other
                for other in order
                if other != number
                and other not in grouped
                and fits[other] is not sound
                and distance(fits[number], fits[other].curve) < ALIKE
            ]
        grouped |= set(members)
        share = float(np.exp(logsumexp([weights[n] for n in members])))
        groups.append(Group(tuple(fits[n] for n in members), share))
    return sorted(groups, key=lambda group: -group.share)


def _one_each(fits: Sequence[Fit]) -> tuple[list[Fit], Array]:
    """One fit of each cause, with the logarithm of its share: a fuse may have opened for it or not."""
    total = sum(
        fit.curve.cause.weight for fit in fits if fit.curve.cause is not None and not fit.curve.cause.blown
    )
    best: dict[str, Fit] = {}
    weights: dict[str, float] = {}
    for fit in fits:
        cause = fit.curve.cause
        prior, key = SOUND, ""
        if cause is not None:
            prior, key = (1 - SOUND) * cause.weight / total * (_BLOWN if cause.blows else 1.0), cause.key
        weight = float(np.log(prior)) + fit.evidence
        if key not in best or fit.evidence > best[key].evidence:
            best[key] = fit
        weights[key] = float(np.logaddexp(weights.get(key, -np.inf), weight))
    shares = np.array([weights[key] for key in best])
    return list(best.values()), shares - logsumexp(shares)


def distance(fit: Fit, other: Curve) -> float:
    """Squared distance of what a fitted cause makes of the readings from the nearest another can make."""
    made, precision = fit.curve.made[fit.best], fit.curve.precision[fit.best]
    return nearest(made, precision, other)


def nearest(made: Array, precision: Array, other: Curve) -> float:
    """Squared distance from the nearest point of a curve."""
    apart = other.made - made
    return float(np.einsum("si,ij,sj->s", apart, precision, apart).min())
