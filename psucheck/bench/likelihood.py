"""How well a cause explains the readings: their likelihood under the spread of parts, the meter and the wall.

For a cause of some size the readings are taken as normal about what it makes of them. Their covariance is
that of the sound supply's parts, as shares of each reading, which a fault leaves roughly alike; to it come
the meter, the mains from step to step, and a share of whatever the fault moves a reading by, since a fault is
never quite as it is simulated. One reading or two may be wrong altogether, at a price.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator
from scipy.special import logsumexp

from psucheck.bench.causes.cause import Cause
from psucheck.bench.drifts import BETWEEN_STEPS
from psucheck.bench.meter_spread import Meter
from psucheck.bench.responses import Response, Responses, Slot

Array = NDArray[np.float64]

_BETWEEN = 7
"""Sizes between two that are simulated, the lower end counted."""
FAULT_SPREAD = 0.1
"""Share of what a fault moves a reading by that it may differ from its simulation; a guess."""
_WRONG, _WIDE = 0.001, 30.0
"""How often a reading is wrong altogether (misread, wrong range, slipped clip), and how far it then lies, in
standard deviations; guesses."""
_OPEN = 20e6
_LEAST_OHMS = 0.1


@dataclass(frozen=True)
class Curve:
    """A cause along its sizes: what it makes of the readings, and with which precision.

    ``made`` [sizes, readings] in the scale of :class:`Scale`; ``precision`` the inverse covariances, and
    ``log_norm`` their logarithmic norms.
    """

    cause: Cause | None
    at: Array
    made: Array
    precision: Array
    log_norm: Array

    @property
    def sizes(self) -> list[float | None]:
        """The sizes, as the cause counts them."""
        if self.cause is None or self.cause.size is None:
            return [None]
        return [self.cause.size.size(float(u)) for u in self.at]


@dataclass(frozen=True)
class Fit:
    """How a cause explains the readings.

    ``evidence`` is the logarithm of their likelihood, averaged over the sizes; ``best`` the index of the size
    that explains them best, ``wrong`` the readings that it takes to be wrong.
    """

    curve: Curve
    evidence: float
    best: int
    wrong: tuple[int, ...]
    misfit: float
    """Squared distance of the readings from what that size makes of them, in standard deviations."""

    @property
    def size(self) -> float | None:
        """The size that explains the readings best."""
        return self.curve.sizes[self.best]


class Scale:
    """The readings' scale: volts, amps and watts as they are, ohms by their logarithm."""

    def __init__(self, slots: Sequence[Slot], responses: Responses, meter: Meter) -> None:
        self.slots = tuple(slots)
        self.ohms = np.array([name.endswith(" ohms") for _, name in slots])
        self.sound = self.scaled([responses.sound.values[slot] for slot in slots])
        self._meter = meter
        self._floor = np.array([_floor(slot, responses) for slot in slots])
        self._own = np.array([_own(name, responses.filled.nodes) for _, name in slots])
        self._relative = np.where(self._own > 0, 0.0, 1.0)
        size = self._size(self.sound)
        moved = [
            (self.scaled([values.get(slot, np.nan) for slot in slots]) - self.sound) / size
            for _, values in responses.drifted
        ]
        shares = np.nan_to_num(np.array(moved).reshape(len(moved), len(self.slots)))
        steps = self._between_steps(responses, shares)
        self._shares = np.clip(np.vstack([shares, steps]), -2.0, 2.0) * self._relative

    def scaled(self, values: Sequence[float] | Array) -> Array:
        """Readings [SI] in this scale."""
        plain = np.array(values, dtype=np.float64)
        return np.where(self.ohms, np.log(np.clip(np.abs(plain), 0.0, _OPEN) + _LEAST_OHMS), plain)

    def _size(self, made: Array) -> Array:
        """What shares are shares of; of ohms, one, since their scale is one of shares already."""
        return np.where(self.ohms, 1.0, np.maximum(np.abs(made), self._floor))

    def _between_steps(self, responses: Responses, shares: Array) -> Array:
        """The mains of each step a little off by itself: the wall's drift, one setting at a time."""
        walls = [n for n, (drift, _) in enumerate(responses.drifted) if drift.name == "wall"]
        rows = []
        for number in walls:
            spread = responses.drifted[number][0].spread
            for setting in responses.settings:
                here = np.array([slot[0] == setting for slot in self.slots])
                rows.append(np.where(here, shares[number], 0.0) * BETWEEN_STEPS / spread)
        return np.array(rows).reshape(len(rows), len(self.slots))

    def covariance(self, made: Array, unknown: Array | None = None) -> Array:
        """Covariance of the readings about ``made`` [readings], in this scale.

        ``unknown`` marks readings of which nothing can be said, since there the cause could not be simulated.
        """
        size = self._size(made)
        factors = self._shares * size
        meter = np.where(self.ohms, 0.03, self._meter.spread(made))
        alone = meter**2 + (FAULT_SPREAD * (made - self.sound)) ** 2 * self._relative
        alone += np.where(self._own > 0, self._own, np.where(self.ohms, 0.05, 0.3 * self._floor)) ** 2
        if unknown is not None:
            alone += np.where(unknown, self._size(self.sound) + 5.0 * self.ohms, 0.0) ** 2
        return np.asarray(factors.T @ factors + np.diag(alone))


_OWN: tuple[tuple[str, float], ...] = (
    (" hum", 0.25),
    (" forwards ohms", 0.7),
    (" backwards ohms", 1.5),
)


def _own(name: str, nodes: Collection[str]) -> float:
    """Standard deviation of readings to which no part's spread applies, in their scale; 0 for the others."""
    for ending, spread in _OWN:
        if name.endswith(ending):
            return spread
    if name.startswith("fuse "):
        return 1.0
    # A node to chassis: the leakage of its capacitors, which nobody knows beforehand.
    return 1.0 if name.removesuffix(" ohms") in nodes and name.endswith(" ohms") else 0.0


def _floor(slot: Slot, responses: Responses) -> float:
    """Below this a reading is as good as none [SI]; what a bench tells apart, a guess."""
    setting, name = slot
    values = responses.sound.values
    if name == "mains amps":
        return 0.02
    if name == "mains watts":
        return 1.5
    if name.endswith((" mV", "drop")):
        return max(0.05 * abs(values[slot]), 1e-3 if name.endswith("mV") else 0.05)
    rails = [abs(v) for (s, n), v in values.items() if s == setting and n.endswith(" DC")]
    if name.endswith(" AC"):
        return max(0.05 * abs(values[slot]), 0.01)
    if name.startswith("bias at"):
        return max(0.02 * abs(values[slot]), 0.05)
    return (
        max(0.005 * max(rails, default=1.0), 0.05)
        if name.endswith(" DC")
        else max(0.01 * abs(values[slot]), 0.02)
    )


def curve(response: Sequence[Response], scale: Scale) -> Curve | None:
    """The curve of a cause through the sizes at which it could be simulated; None if there is none."""
    cause = response[0].cause
    rows = np.array(
        [scale.scaled([one.values.get(slot, np.nan) for slot in scale.slots]) for one in response]
    )
    missing = np.isnan(rows)
    kept = missing.sum(axis=1) == missing.sum(axis=1).min()
    unknown = missing[kept].any(axis=0)
    if unknown.all():
        return None
    made = np.where(unknown, scale.sound, rows[kept])
    places = np.array(
        [
            cause.size.scale(one.size) if cause and cause.size and one.size is not None else 0.0
            for one, keep in zip(response, kept, strict=True)
            if keep
        ]
    )
    if len(places) > 1:
        pieces = [np.linspace(a, b, _BETWEEN, endpoint=False) for a, b in pairwise(places)]
        fine = np.concatenate([*pieces, places[-1:]])
        made, places = np.asarray(PchipInterpolator(places, made, axis=0)(fine)), fine
    covariances = np.array([scale.covariance(row, unknown) for row in made])
    _, log_det = np.linalg.slogdet(covariances)
    return Curve(cause, places, made, np.linalg.inv(covariances), -0.5 * log_det)


def fit(curve: Curve, read: Array) -> Fit:
    """How a cause explains readings ``read`` [readings], in the scale of its curve."""
    apart = read - curve.made
    pulled = np.einsum("sij,sj->si", curve.precision, apart)
    misfit = np.einsum("si,si->s", apart, pulled)
    plain = curve.log_norm - 0.5 * misfit
    diagonal = np.einsum("sii->si", curve.precision)
    gain = 0.5 * pulled**2 / diagonal + np.log(_WRONG / _WIDE)
    allowing = plain + np.log1p(np.exp(np.minimum(gain, 700.0)).sum(axis=1))
    best = int(np.argmax(allowing))
    wrong: list[int] = []
    if gain[best].max() > 0:
        allowing, wrong = _two_wrong(curve, apart, allowing, plain)
        best = int(np.argmax(allowing))
    evidence = float(logsumexp(allowing) - np.log(len(allowing)))
    return Fit(curve, evidence, best, tuple(wrong), float(misfit[best]))


def _two_wrong(curve: Curve, apart: Array, one: Array, plain: Array) -> tuple[Array, list[int]]:
    """Log likelihoods where a second reading may be wrong too, and those that are at the best size."""
    found = one.copy()
    taken: dict[int, list[int]] = {}
    for row in np.argsort(one)[-6:]:
        precision, left = curve.precision[row], apart[row]
        log = float(plain[row])
        out: list[int] = []
        for _ in range(2):
            pulled = precision @ left
            gain = 0.5 * pulled**2 / np.maximum(np.diag(precision), 1e-30) + np.log(_WRONG / _WIDE)
            gain[out] = -np.inf
            worst = int(np.argmax(gain))
            if gain[worst] <= 0:
                break
            log += float(gain[worst])
            out.append(worst)
            # Marginal of the rest: the reading's row and column taken out.
            column = precision[:, worst]
            precision = precision - np.outer(column, column) / precision[worst, worst]
        found[row] = max(found[row], log)
        taken[int(row)] = out
    return found, taken.get(int(np.argmax(found)), [])


def fits(responses: Responses, scale: Scale, read: Mapping[Slot, float]) -> list[Fit]:
    """Every cause and "nothing wrong" (the first), fitted."""
    values = scale.scaled([read[slot] for slot in scale.slots])
    return [fit(each, values) for each in curves(responses, scale)]


def curves(responses: Responses, scale: Scale) -> list[Curve]:
    """The curves of "nothing wrong" (the first) and of every cause that could be simulated."""
    sound = curve([responses.sound], scale)
    assert sound is not None
    found = [curve(each, scale) for each in responses.causes.values()]
    return [sound, *(each for each in found if each is not None)]
