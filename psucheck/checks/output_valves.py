"""What the rules on output valves share: which loads hold them, and at which mains a limit is compared."""

from __future__ import annotations

from collections.abc import Iterator

from psucheck.figures.model import Level
from psucheck.parts.valves import LoadValve
from psucheck.supply.model import Supply


def outputs(supply: Supply) -> Iterator[tuple[str, str]]:
    """Name of each load of output valves, and their type."""
    for name, load in supply.loads.items():
        if load.valves:
            yield name, load.valves[0].type


def levels_for(valve: LoadValve) -> tuple[Level, ...]:
    """Mains levels at which the valve's limits are compared.

    Design-centre limits allow for the usual spread of the mains and are compared at nominal (Mullard, citing
    BS CP1005); design-maximum and absolute limits, and those whose basis is not known, at high mains.
    """
    basis = None if valve.rating_basis is None else valve.rating_basis.value
    return ("nominal",) if basis == "design-centre" else ("nominal", "high")
