"""The fault matrix: every supply with every fault of a stated size, and how the fault finder does on it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from psucheck.bench.causes.catalogue import causes_of
from psucheck.bench.causes.cause import Cause
from psucheck.bench.likelihood import Curve, Scale, curves, fit
from psucheck.bench.meter_spread import Meter
from psucheck.bench.ranking import Group, ranked
from psucheck.bench.responses import Responses, Slot, respond
from psucheck.bench.runs import Setting
from psucheck.circuit.condition import Readings
from psucheck.conditions.run import place_readings
from psucheck.engine.pool import Runner
from psucheck.supply.filled import FilledSupply
from tests.bench.amplifiers import AMPLIFIERS
from tests.bench.faulty import Specimen, on_the_sheet, read_all
from tests.engine_runs import described

STATED: Mapping[str, float] = {
    "dried capacitor": 0.3,
    "high ESR": 40.0,
    "leaking capacitor": 15e-3,
    "shorted capacitor": 1.0,
    "balancing resistor open": 3.0,
    "loose can ground": 10.0,
    "rectifier valve weak": 0.3,
    "poor joint": 200.0,
    "dropper drifted": 1.8,
    "switch contact": 200.0,
    "mains joint": 25.0,
    "extra load": 47e3,
    "small valves": 2.2,
    "valve weak": 0.4,
    "valves tired": 0.5,
    "grid pulled up": 5.0,
    "screen resistor high": 6.0,
    "cathode resistor low": 0.5,
    "cathode resistor high": 1.8,
    "bias set wrong": 0.85,
    "bias feed drifted": 1.6,
    "shorted turns": 0.006,
    "wrong tap": 1.09,
    "heater joint": 0.15,
}
"""The size of each fault that has one, as its cause counts it."""
_LEAK_BEHIND_A_DROPPER = 4e-3
_NOT_AT_A_METER = {"dried capacitor", "high ESR", "open capacitor"}
"""Behind a dropper these move no reading: the ripple there is millivolts. They are heard (motorboating, a
squeal), and no reading of the sheet shows them; so they are no part of the matrix."""
SOUND_ONES = 10
"""Sound amplifiers for each supply and seed."""


@dataclass(frozen=True)
class Case:
    """One amplifier with what is wrong with it (None: nothing), and what was read."""

    cause: Cause | None
    size: float | None
    read: Mapping[Slot, float]


@dataclass(frozen=True)
class Result:
    """How one case came out: ``rank`` of the true cause's group from 1, the first one, how many are in it."""

    supply: str
    key: str
    size: float | None
    rank: int
    first: str
    together: int

    @property
    def sound(self) -> bool:
        """Whether nothing was wrong."""
        return not self.key


def settings_of(filled: FilledSupply) -> tuple[Setting, ...]:
    """The steps: a tenth and a half with the valves out, then idle; with a rectifier valve only from where it
    is hot enough to be relied on.
    """
    wall = filled.mains.wall or filled.mains.nominal
    valve = any(device.kind == "valve" for device in filled.devices.values())
    shares = (0.8,) if valve else (0.1, 0.5)
    return (*(Setting("valves out", round(share * wall, 1)) for share in shares), Setting("idle", wall))


def stated(filled: FilledSupply, wanted: Sequence[str] | None = None) -> Iterator[tuple[Cause, float | None]]:
    """The faults of the matrix for a supply, each with its size; ``wanted`` narrows them by id."""
    for cause in causes_of(filled):
        node = filled.nodes.get(cause.at)
        behind = node is not None and node.resistor_ohms is not None
        if cause.id in _NOT_AT_A_METER and behind and cause.at in ("splitter", "preamp"):
            continue
        if wanted is not None and cause.id not in wanted:
            continue
        size = STATED[cause.id] if cause.size is not None else None
        if cause.id == "leaking capacitor" and cause.size is not None and cause.size.high < 0.02:
            size = _LEAK_BEHIND_A_DROPPER
        yield cause, size


def responses_of(filled: FilledSupply, readings: Readings, pool: Runner) -> Responses:
    """What every cause does to a supply at the steps of the matrix."""
    return respond(filled, readings, settings_of(filled), causes_of(filled), pool)


def cases(
    filled: FilledSupply,
    readings: Readings,
    seed: int,
    pool: Runner,
    wanted: Sequence[str] | None = None,
    sound_ones: int = SOUND_ONES,
) -> list[Case]:
    """The cases of one supply and seed, and sound ones; a fault that has no steady state is left out."""
    faults: list[tuple[Cause | None, float | None]] = [*stated(filled, wanted), *[(None, None)] * sound_ones]
    random = np.random.default_rng(seed)
    specimens = [
        Specimen(
            filled, readings, settings_of(filled), ((cause, size),) if cause else (),
            int(random.integers(1 << 30)),
        )
        for cause, size in faults
    ]  # fmt: skip
    found = []
    for start in range(0, len(specimens), 20):
        found += read_all(specimens[start : start + 20], pool)
    return [
        Case(cause, size, read) for (cause, size), read in zip(faults, found, strict=True) if read is not None
    ]


class Finder:
    """The fault finder on one supply: its curves are made once for all cases."""

    def __init__(self, responses: Responses, *, cold: bool = False) -> None:
        known = responses.sound.values
        slots = [slot for slot in known if slot[0] is None] if cold else on_the_sheet(list(known))
        self.scale = Scale(slots, responses, Meter())
        self.curves: list[Curve] = curves(responses, self.scale)

    def groups(self, case: Case) -> list[Group]:
        """What it makes of a case."""
        values = self.scale.scaled([case.read.get(slot, 0.0) for slot in self.scale.slots])
        return ranked([fit(each, values) for each in self.curves])

    def result(self, supply: str, case: Case) -> Result:
        """How it came out."""
        groups = self.groups(case)
        key = case.cause.key if case.cause is not None else ""
        rank = next((n for n, g in enumerate(groups, 1) if (key in g.keys if key else g.sound)), len(groups))
        first = groups[0]
        return Result(supply, key, case.size, rank, first.keys[0] if first.keys else "", len(first.fits))


def placed(name: str, pool: Runner) -> tuple[FilledSupply, Readings]:
    """One of the five supplies and where its readings lie."""
    filled = described(AMPLIFIERS[name])
    return filled, place_readings(filled, pool)
