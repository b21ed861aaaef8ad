"""What a worker does: periodic steady states, one after another, and transients."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cache, partial

import numpy as np

from psucheck.circuit.deck import Deck
from psucheck.engine.periodic import Advance, PeriodicState, solve_periodic
from psucheck.engine.simulator import SimulationError, Simulator, States
from psucheck.engine.waveforms import Waveforms, rms

COARSE_STEPS = 200
"""Steps a mains cycle at least; twice as many in the final run."""


@dataclass(frozen=True)
class SteadyJob:
    """Find the periodic steady state of ``deck``.

    ``start`` is the first guess [SI]. With ``carry`` the solution of the job before it in the chain, times
    ``carry_scale``, is the first guess, and its derivative is carried over;
    ``carry_from`` names another job of the chain, by its index. A ``jacobian`` found elsewhere may come with
    ``start``. ``loaded`` says that every rail is drawn from, which makes the search shorter; ``rising``, that
    none is, and that ``start`` lies just below the solution. Without ``fine`` the final run at half the step
    is left out. If a job that ``may_fail`` does, its chain ends before it. ``what`` says what is run, in a
    message that it has failed.
    """

    deck: Deck
    start: States
    carry: bool = False
    carry_scale: float = 1.0
    carry_from: int | None = None
    jacobian: States | None = None
    loaded: bool = False
    rising: bool = False
    fine: bool = True
    may_fail: bool = False
    what: str = ""


@dataclass(frozen=True)
class TransientJob:
    """Run for ``seconds`` from ``states``, no step longer than ``max_step`` [s].

    Without ``states`` it starts where the job at index ``after`` of the chain stands: a steady one in its
    periodic state, a transient one ``at`` seconds into its run. States in ``preset`` (index -> SI) are set
    all the same. Of several ``decks`` (phases of switch-on) each is run for ``trial_seconds`` first, and the
    one with the largest RMS of any of ``trial_currents`` is run in full. ``what`` as of :class:`SteadyJob`.
    """

    decks: tuple[Deck, ...]
    seconds: float
    max_step: float
    states: States | None = None
    after: int = 0
    at: float = 0.0
    preset: Mapping[int, float] = field(default_factory=dict)
    trial_currents: tuple[str, ...] = ()
    trial_seconds: float = 0.0
    what: str = ""


_FOLLOWING = 3
"""Corrections at half the step, at most."""

Job = SteadyJob | TransientJob


@dataclass(frozen=True)
class Run:
    """The outcome of a job: waveforms at the finer step, and for steady states at twice that step.

    ``deck`` is the one that was run, ``states`` the state at its start [SI], ``cycles`` how many mains cycles
    the search took.
    """

    deck: Deck
    waveforms: Waveforms
    states: States
    coarse: Waveforms | None = None
    cycles: int = 0
    jacobian: States | None = None
    """Derivative of the cycle map there, of a steady state."""


@cache
def simulator() -> Simulator:
    """The simulator of this process; it can have only one."""
    return Simulator()


def final_states(deck: Deck, waveforms: Waveforms) -> States:
    """States at the end of a run, in the deck's order [SI]."""
    return np.array([waveforms.between(state.plus, state.minus)[-1] for state in deck.states])


def states_at(deck: Deck, waveforms: Waveforms, seconds: float) -> States:
    """States ``seconds`` into a run, in the deck's order [SI]."""
    return np.array(
        [
            np.interp(seconds, waveforms.time, waveforms.between(state.plus, state.minus))
            for state in deck.states
        ]
    )


def run_chain(jobs: Sequence[Job]) -> list[Run]:
    """Run ``jobs`` in order in this process; each may start from one before it.

    Raises
    ------
    SimulationError
        If a job fails that may not; the message says what it was.
    """
    runs: list[Run] = []
    solutions: dict[int, PeriodicState] = {}
    for index, job in enumerate(jobs):
        with _naming(job):
            if isinstance(job, TransientJob):
                runs.append(_run_transient(job, _start(job, runs)))
            else:
                before = max(solutions, default=0) if job.carry_from is None else job.carry_from
                try:
                    solutions[index], run = _run_steady(job, solutions.get(before) if job.carry else None)
                except SimulationError:
                    if job.may_fail:
                        break
                    raise
                runs.append(run)
    return runs


@contextmanager
def _naming(job: Job) -> Iterator[None]:
    """Say which job it was that failed."""
    try:
        yield
    except SimulationError as error:
        if not job.what:
            raise
        raise SimulationError(f"{job.what}: {error}") from error


def _start(job: TransientJob, runs: Sequence[Run]) -> States:
    """The states a transient starts from."""
    if job.states is not None:
        states = job.states.copy()
    else:
        before = runs[job.after]
        states = states_at(before.deck, before.waveforms, job.at) if job.at else before.states.copy()
    for index, value in job.preset.items():
        states[index] = value
    return states


def _run_steady(job: SteadyJob, before: PeriodicState | None) -> tuple[PeriodicState, Run]:
    deck, period = job.deck, 1.0 / job.deck.hertz
    spice = simulator()
    spice.load(deck)

    def cycle(states: States, steps: int) -> Waveforms:
        return spice.run(states, seconds=period, max_step=period / steps)

    def advance(states: States, steps: int = COARSE_STEPS) -> States:
        return spice.end(states, seconds=period, max_step=period / steps)

    scale = np.array([state.scale for state in deck.states])
    accept = np.array([state.accept for state in deck.states])
    start, derivative = job.start, job.jacobian
    if before is not None:
        start = before.states * job.carry_scale
        derivative = before.jacobian
    solution = solve_periodic(
        advance,
        start,
        scale,
        derivative,
        accept,
        confirm=not job.loaded,
        trust=before is None and not job.rising,
        rising=job.rising,
    )
    coarse = cycle(solution.states, COARSE_STEPS)
    if not job.fine:
        return solution, Run(deck, coarse, solution.states, coarse, solution.runs, solution.jacobian)
    # At half the step the fixed point itself moves a little: Newton corrections follow it there.
    states, newton = solution.states, np.eye(scale.size) - solution.jacobian
    for _ in range(_FOLLOWING):
        residual = (advance(states, 2 * COARSE_STEPS) - states) / scale
        correction = np.linalg.solve(newton, residual)
        states = states + correction * scale
        if (np.abs(correction) < accept).all():
            break
    else:
        # At a knee the derivative is another within a volt, and leads astray.
        states = _solve_finely(partial(advance, steps=2 * COARSE_STEPS), solution, scale, accept, job)
    fine = cycle(states, 2 * COARSE_STEPS)
    return solution, Run(deck, fine, states, coarse, solution.runs, solution.jacobian)


def _solve_finely(
    advance: Advance, coarse: PeriodicState, scale: States, accept: States, job: SteadyJob
) -> States:
    """The periodic state at half the step, searched from that at the whole one."""
    return solve_periodic(advance, coarse.states, scale, None, accept, confirm=not job.loaded).states


def _run_transient(job: TransientJob, states: States) -> Run:
    spice = simulator()
    deck = job.decks[0]
    if len(job.decks) > 1:
        severity = []
        for candidate in job.decks:
            spice.load(candidate)
            trial = spice.run(states, seconds=job.trial_seconds, max_step=job.max_step)
            severity.append(max(rms(trial.time, trial.vectors[name]) for name in job.trial_currents))
        deck = job.decks[int(np.argmax(severity))]
    spice.load(deck)
    waveforms = spice.run(states, seconds=job.seconds, max_step=job.max_step)
    return Run(deck, waveforms, states)
