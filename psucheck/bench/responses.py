"""What every cause would do to the readings: each put into the supply and simulated, in each setting.

A cause with a size is simulated at a few; between them :mod:`psucheck.bench.likelihood` interpolates. All
runs of a setting start from the sound supply's solution, the mildest size first.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from psucheck.bench.amplifier import Amplifier, amplifier, with_fuse_out
from psucheck.bench.causes.cause import Cause
from psucheck.bench.drifts import Drift, drifts_of
from psucheck.bench.observing import Values, measure_ohms, observe
from psucheck.bench.runs import Setting
from psucheck.circuit.condition import Readings
from psucheck.circuit.network import GROUND, Capacitor, Choke, Network, Resistor
from psucheck.circuit.spice import write_deck
from psucheck.conditions.chains import start_states
from psucheck.engine.jobs import Run, SteadyJob
from psucheck.engine.pool import Runner
from psucheck.engine.simulator import States
from psucheck.supply.filled import FilledSupply

Slot = tuple[Setting | None, str]
"""A setting (None: unplugged) and a point: one reading."""

_FUSE_HOLDS = 0.2
"""Share of the nominal mains up to which a fuse is taken to hold whatever is wrong: there a dead short draws
about what the fuse is rated for. A guess."""
_CONDUCTS = 1e6
"""Below this a resistance is a connection, when it is asked what charges a capacitor [ohm]."""


@dataclass(frozen=True)
class Response:
    """The readings that a cause of one size makes; of no cause, those of the sound supply."""

    cause: Cause | None
    size: float | None
    values: Mapping[Slot, float]


@dataclass(frozen=True)
class Responses:
    """Everything that is known about one supply in some settings."""

    filled: FilledSupply
    settings: tuple[Setting, ...]
    sound: Response
    drifted: tuple[tuple[Drift, Mapping[Slot, float]], ...]
    """Each drift at one standard deviation up, and the readings then."""
    causes: Mapping[Cause, tuple[Response, ...]]


@dataclass(frozen=True)
class Bench:
    """The sound supply in one setting, solved."""

    setting: Setting
    amp: Amplifier
    run: Run


def solved(
    filled: FilledSupply, readings: Readings, settings: Sequence[Setting], pool: Runner
) -> list[Bench]:
    """The sound supply in each setting.

    Raises
    ------
    SimulationError
        If a run fails.
    """
    amps = [amplifier(filled, setting.condition, readings) for setting in settings]
    chains = [
        [
            SteadyJob(
                write_deck(a.network), start_states(a.network), loaded=s.state != "valves out", fine=False
            )
        ]
        for a, s in zip(amps, settings, strict=True)
    ]
    runs = pool.run(chains)
    return [Bench(s, a, chain[0]) for s, a, chain in zip(settings, amps, runs, strict=True)]


def respond(
    filled: FilledSupply,
    readings: Readings,
    settings: Sequence[Setting],
    causes: Sequence[Cause],
    pool: Runner,
    *,
    drifting: bool = True,
) -> Responses:
    """Simulate every cause in every setting.

    A cause that has no steady state somewhere has no values there.

    Raises
    ------
    SimulationError
        If the sound supply cannot be run.
    """
    benches = solved(filled, readings, settings, pool)
    cold = amplifier(filled, Setting("valves out", filled.mains.nominal).condition, readings)
    values = _slots(None, measure_ohms(cold))
    for bench in benches:
        values |= _slots(bench.setting, observe(bench.amp, bench.run))
    sound = Response(None, None, values)
    found = {cause: [dict(_cold(cold, cause, size)) for size in sizes(cause)] for cause in causes}
    fullest = max([cold, *(bench.amp for bench in benches)], key=lambda amp: len(amp.network.elements))
    drifts = drifts_of(fullest) if drifting else []
    drifted = [dict(_cold_drift(cold, drift)) for drift in drifts]
    for bench in benches:
        _run_setting(bench, sound, causes, found, drifts, drifted, pool)
    made = {
        cause: tuple(Response(cause, size, v) for size, v in zip(sizes(cause), found[cause], strict=True))
        for cause in causes
    }
    made |= dict(_with_fuse_out(cold, cause, made[cause]) for cause in causes if cause.blows)
    return Responses(filled, tuple(settings), sound, tuple(zip(drifts, drifted, strict=True)), made)


def sizes(cause: Cause) -> tuple[float | None, ...]:
    """The sizes at which a cause is simulated."""
    return cause.size.tried if cause.size is not None else (None,)


def put(cause: Cause, amp: Amplifier, size: float | None) -> Amplifier:
    """A cause in an amplifier, with the fuse out that it opens at the volts that are on."""
    changed = cause.put(amp, size if size is not None else 0.0)
    level = amp.condition.volts / amp.filled.mains.nominal
    if cause.blows and amp.condition.state in cause.blows_in and level > _FUSE_HOLDS:
        return _blown(changed, cause)
    return changed


def _blown(amp: Amplifier, cause: Cause) -> Amplifier:
    place = next((p for p in reversed(cause.blows) if p != "mains"), "mains")
    standing = amp.network.layout.places.get(place)
    for number in range(len(standing.elements) if standing is not None else 0):
        amp = with_fuse_out(amp, place, number)
    return amp


def is_dead(amp: Amplifier, cause: Cause) -> bool:
    """Whether a cause leaves nothing at the transformer at all."""
    return cause.dead or any(place == "mains" for place, _ in amp.opened)


def _run_setting(
    bench: Bench,
    sound: Response,
    causes: Sequence[Cause],
    found: Mapping[Cause, list[dict[Slot, float]]],
    drifts: Sequence[Drift],
    drifted: list[dict[Slot, float]],
    pool: Runner,
) -> None:
    """All causes and drifts in one setting; what they do goes into ``found`` and ``drifted``."""
    work = _Work(bench, {slot: value for slot, value in sound.values.items() if slot[0] == bench.setting})
    for cause in causes:
        work.add_cause(cause, found[cause])
    for drift, into in zip(drifts, drifted, strict=True):
        factor = float(np.exp(drift.spread))
        scale = factor if drift.name == "wall" else 1.0
        work.add([(into, drift.put(bench.amp, factor), _scaled(bench, scale))])
    work.run(pool)


_Live = tuple[dict[Slot, float], Amplifier, Callable[[Amplifier], SteadyJob]]
"""Where the values of a run go, the amplifier, and what makes its job."""


@dataclass
class _Work:
    """The runs of one setting, and where the values of each go."""

    bench: Bench
    sound: Mapping[Slot, float]
    chains: list[list[SteadyJob]] = field(default_factory=list)
    targets: list[list[tuple[dict[Slot, float], Amplifier]]] = field(default_factory=list)

    def add_cause(self, cause: Cause, into: Sequence[dict[Slot, float]]) -> None:
        """A cause at all its sizes, the mildest first; where it does not show, the sound values."""
        if self.bench.setting.state not in cause.states:
            for values in into:
                values.update(self.sound)
            return
        order = list(zip(sizes(cause), into, strict=True))
        if cause.size is not None and cause.size.mild == "high":
            order.reverse()
        live: list[_Live] = []
        for size, values in order:
            amp = put(cause, self.bench.amp, size)
            if is_dead(amp, cause):
                values.update(dict.fromkeys(self.sound, 0.0))
                continue
            first = not live
            live.append((values, amp, _jobber(self.bench, cause, size, first=first)))
        self.add(live)

    def add(self, live: Sequence[_Live]) -> None:
        """Amplifiers to run one after another; those whose network is the sound one need no run."""
        chain, target = [], []
        for into, amp, job in live:
            if amp.network.elements == self.bench.amp.network.elements:
                into.update(_slots(self.bench.setting, observe(amp, self.bench.run)))
            else:
                chain.append(job(amp))
                target.append((into, amp))
        if chain:
            self.chains.append(chain)
            self.targets.append(target)

    def run(self, pool: Runner) -> None:
        """Run them; a chain may end early, and what could not be run has no values."""
        for target, runs in zip(self.targets, pool.run(self.chains), strict=True):
            for (into, amp), run in zip(target, runs, strict=False):
                into.update(_slots(self.bench.setting, observe(amp, run)))


def _scaled(bench: Bench, scale: float) -> Callable[[Amplifier], SteadyJob]:
    return lambda amp: _from(bench, amp, scale)


def _jobber(
    bench: Bench, cause: Cause, size: float | None, *, first: bool
) -> Callable[[Amplifier], SteadyJob]:
    return lambda amp: _job(bench, amp, cause, size, first=first)


def _from(bench: Bench, amp: Amplifier, scale: float = 1.0) -> SteadyJob:
    return SteadyJob(
        write_deck(amp.network),
        bench.run.states * scale,
        jacobian=bench.run.jacobian,
        fine=False,
        may_fail=True,
    )


def _job(bench: Bench, amp: Amplifier, cause: Cause, size: float | None, *, first: bool) -> SteadyJob:
    """The first of a chain starts from the sound solution, each further one from the one before it."""
    if not first and not cause.scales:
        return SteadyJob(write_deck(amp.network), bench.run.states, carry=True, fine=False, may_fail=True)
    scale = size if cause.scales and size is not None else 1.0
    job = _from(bench, amp, scale)
    emptied = _emptied(bench.amp.network, amp.network)
    if not emptied:
        return job
    start: States = job.start.copy()
    start[emptied] = 0.0
    # The sound derivative knows nothing of a rail that hangs in the air.
    return replace(job, start=start, jacobian=None)


def _emptied(before: Network, after: Network) -> list[int]:
    """Indexes of the states that nothing charges any more, or that something drains as fast."""
    charged, now = _charged(before), _charged(after)
    return [
        index
        for index, state in enumerate(after.states)
        if isinstance(state, Capacitor) and state.plus in charged and state.plus not in now
    ]


def _charged(network: Network) -> set[str]:
    """The nodes that a rectifier's output reaches through resistances and chokes."""
    joined: dict[str, set[str]] = {}
    for each in network.elements:
        if (isinstance(each, Resistor) and each.ohms < _CONDUCTS) or isinstance(each, Choke):
            if GROUND in (each.plus, each.minus):
                continue
            joined.setdefault(each.plus, set()).add(each.minus)
            joined.setdefault(each.minus, set()).add(each.plus)
    reached = {node for layout in network.layout.rectifiers.values() for ends in layout.ends for node in ends}
    waiting = list(reached)
    while waiting:
        for node in joined.get(waiting.pop(), ()):
            if node not in reached:
                reached.add(node)
                waiting.append(node)
    return reached


def _slots(setting: Setting | None, values: Values) -> dict[Slot, float]:
    return {(setting, name): value for name, value in values.items()}


def _cold(cold: Amplifier, cause: Cause, size: float | None) -> dict[Slot, float]:
    """Ohms with a cause in, and with its fuse out if it has opened."""
    changed = cause.put(cold, size if size is not None else 0.0)
    return _slots(None, measure_ohms(_blown(changed, cause) if cause.blown else changed))


def _with_fuse_out(
    cold: Amplifier, cause: Cause, made: Sequence[Response]
) -> tuple[Cause, tuple[Response, ...]]:
    """A cause that opens a fuse, as it is found when that has happened: live as before, cold with it open."""
    blown = replace(cause, blown=True)
    return blown, tuple(
        Response(blown, one.size, {**one.values, **_cold(cold, blown, one.size)}) for one in made
    )


def _cold_drift(cold: Amplifier, drift: Drift) -> dict[Slot, float]:
    return _slots(None, measure_ohms(drift.put(cold, float(np.exp(drift.spread)))))
