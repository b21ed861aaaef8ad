"""All causes that a supply can have, in the plain lists of their rooms."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from psucheck.bench.causes.capacitors import capacitor_causes
from psucheck.bench.causes.cause import Cause
from psucheck.bench.causes.feeds import feed_causes
from psucheck.bench.causes.rectifiers import rectifier_causes
from psucheck.bench.causes.transformer import transformer_causes
from psucheck.bench.causes.valves import valve_causes
from psucheck.supply.filled import FilledSupply

ROOMS: tuple[Callable[[FilledSupply], Iterator[Cause]], ...] = (
    capacitor_causes,
    rectifier_causes,
    feed_causes,
    valve_causes,
    transformer_causes,
)


def causes_of(filled: FilledSupply) -> list[Cause]:
    """Every cause that ``filled`` has the parts for."""
    return [cause for room in ROOMS for cause in room(filled)]
