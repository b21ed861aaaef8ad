"""The highest mains at which no capacitor is over with the valves out."""

from __future__ import annotations

import math
from dataclasses import dataclass

from psucheck.bench.runs import Setting, figures_at
from psucheck.bench.spread import Spread
from psucheck.checks.judging import shown
from psucheck.checks.rails import capacitors
from psucheck.circuit.condition import Readings
from psucheck.engine.pool import Runner
from psucheck.figures.model import Figures
from psucheck.supply.filled import FilledSupply

_STEPS = 3
_CLOSE = 1e-3
"""How near to the rating the capacitor that sets the limit is brought, as a share."""


@dataclass(frozen=True, slots=True)
class Limit:
    """How far the mains may be wound up with the valves out.

    Attributes
    ----------
    volts
        Mains at which no capacitor is over, even where sound parts bring its voltage out high; at most the
        wall's [V RMS].
    capacitor
        The one that sets it; None where the whole wall voltage is allowed.
    rating
        Of that one [V].
    nominal_volts
        Mains at which that capacitor stands at its rating by the numbers as they are [V RMS].
    unrated
        Capacitors whose rated voltage the description does not give: they are not in the limit.
    """

    volts: float
    capacitor: str | None = None
    rating: float | None = None
    nominal_volts: float | None = None
    unrated: tuple[str, ...] = ()


def loads_of(filled: FilledSupply, figures: Figures) -> dict[str, tuple[float, float]]:
    """Capacitor -> (volts on it, its rating) [V]; of a string, those of its part that is nearest its own."""
    found = {}
    for placed in capacitors(filled.supply):
        part, seen = placed.capacitor, figures.capacitors.get(placed.subject)
        if part.voltage is not None and seen is not None:
            whole = (seen.max_volts, part.voltage * part.in_series)
            worst = (max(seen.unit_max_volts), part.voltage)
            found[placed.subject] = max(whole, worst, key=lambda pair: pair[0] / pair[1])
    return found


def label_of(filled: FilledSupply, node: str) -> str | None:
    """What a node's capacitor is labelled: ``"500 V"``, ``"2 x 350 V in series"``; None if not given."""
    part = filled.supply.filter[node].capacitor
    if part is None or part.voltage is None:
        return None
    one = shown(part.voltage, "V")
    return one if part.in_series == 1 else f"{part.in_series} x {one} in series"


def limit(filled: FilledSupply, readings: Readings, spread: Spread, wall: float, pool: Runner) -> Limit:
    """Find it, from the wall voltage down.

    Parameters
    ----------
    spread
        How far sound parts move the rails with the valves out.

    Raises
    ------
    SimulationError
        If a run fails.
    """
    unrated = tuple(p.subject for p in capacitors(filled.supply) if p.capacitor.voltage is None)
    volts, known = wall, [(0.0, 0.0)]
    capacitor = rating = None
    for _ in range(_STEPS):
        setting = Setting("valves out", volts)
        found = loads_of(filled, figures_at(filled, readings, [setting], pool)[setting])
        if not found:
            return Limit(wall, unrated=unrated)
        shares = {name: seen * _high(spread, setting, name) / most for name, (seen, most) in found.items()}
        worst = max(shares, key=lambda name: shares[name])
        if capacitor is None and shares[worst] <= 1.0:
            return Limit(wall, unrated=unrated)
        capacitor, rating = worst, found[worst][1]
        known.append((volts, shares[worst]))
        if abs(shares[worst] - 1.0) <= _CLOSE:
            break
        (one, low), (other, high) = known[-2:]
        volts = other + (1.0 - high) * (other - one) / (high - low)
    high_factor = _high(spread, Setting("valves out", volts), capacitor or "")
    return Limit(math.floor(volts), capacitor, rating, min(volts * high_factor, wall), unrated)


def _high(spread: Spread, setting: Setting, capacitor: str) -> float:
    """By how much sound parts may raise the volts on a capacitor [1]; of a pair the rail's is taken."""
    return spread.limits(setting, f"{capacitor} DC")[1]
