"""At which moments after switch-on from cold the supply is looked at, and how much its cathodes emit then.

The filter settles within a second, cathodes take ten and more: so warm-up is a row of steady states, each
with the emission of its moment.
"""

from __future__ import annotations

from psucheck.supply.fill_warm_up import VALVES, rectifier_key
from psucheck.supply.filled import FilledSupply, FilledWarmUp

SETTLED = 1.0
"""First moment of a supply whose rectifiers conduct at once [s]: the surge is over, nothing draws yet."""
_RISE, _LOAD = (0.3, 0.6, 1.0), (0.0, 0.25, 0.5, 0.75, 1.0)
"""Shares of the time between start and full emission at which rectifiers and loads are looked at. A rectifier
that has hardly begun to conduct is still filling the filter."""
_ALIKE = 0.2
"""Valves that draw are looked at only if the rectifiers of all rails pass at least this share of the most."""
_APART = 0.6
"""A moment of a rectifier's rise this close to one of the loads' is left out [s]."""


def moments(filled: FilledSupply) -> tuple[float, ...]:
    """Seconds after switch-on, to a tenth, the last when everything is hot; none where nothing warms up.

    Rectifier and valves are followed from the beginning to the end of their rise. Moments at which no
    rectifier of a positive rail conducts are left out, and those at which valves draw but a rail is missing.
    """
    if VALVES not in filled.warm_ups:
        return ()
    loads = _along(filled.warm_ups[VALVES], _LOAD)
    found = {SETTLED, *loads}
    for key, warm_up in filled.warm_ups.items():
        if key != VALVES:
            found |= {at for at in _along(warm_up, _RISE) if min(abs(at - load) for load in loads) > _APART}
    return tuple(seconds for seconds in sorted(found) if _conducts(filled, seconds))


def _along(warm_up: FilledWarmUp, shares: tuple[float, ...]) -> set[float]:
    return {round(warm_up.starts + share * (warm_up.full - warm_up.starts), 1) for share in shares}


def _conducts(filled: FilledSupply, seconds: float) -> bool:
    """Whether the rectifier of any positive rail passes current; once the valves draw, whether all do.

    Valves on a screen rail that is there would draw from an anode rail that is not, which no law here tells.
    """
    positive = [n for n, r in filled.supply.rectifiers.items() if r.polarity == "positive"]
    rises = [filled.warm_ups.get(rectifier_key(name)) for name in positive]
    shares = [1.0 if rise is None else rise.share(seconds) for rise in rises]
    most = max(shares, default=0.0)
    if filled.warm_ups[VALVES].share(seconds) == 0.0:
        return most > 0.0
    return most > 0.0 and min(shares) >= _ALIKE * most
