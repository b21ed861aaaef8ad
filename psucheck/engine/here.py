"""Chains of jobs run one after another in this process: what a worker of many jobs does for each of them."""

from __future__ import annotations

import os
import tempfile
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from functools import cache

from psucheck.engine.jobs import Job, Run, run_chain, simulator
from psucheck.engine.pool import TIME_LIMIT, without_options

_ONE_AT_A_TIME = threading.Lock()
"""A simulator is not safe for threads, and a worker of a cluster may have several."""
HUNG = 70
"""Exit status of a process that was ended because its simulator hung."""


class Here:
    """Stands for a :class:`~psucheck.engine.pool.Pool` inside a worker process.

    Parameters
    ----------
    time_limit
        Seconds that a chain may take; a call into the simulator cannot be interrupted, so this process ends
        when they are over. None: no limit.
    """

    def __init__(self, time_limit: float | None = None) -> None:
        self._time_limit = time_limit

    @property
    def workers(self) -> int:
        """How many chains run at a time: always one, so that results do not hang on the machine."""
        return 1

    def run(self, chains: Sequence[Sequence[Job]]) -> list[list[Run]]:
        """Run each chain of jobs; results in the chains' order.

        Raises
        ------
        SimulationError
            If a run fails.
        """
        with _ONE_AT_A_TIME:
            _load_simulator()
            return [self._run(chain) for chain in chains]

    def _run(self, chain: Sequence[Job]) -> list[Run]:
        if self._time_limit is None:
            return run_chain(chain)
        watch = threading.Timer(self._time_limit, os._exit, (HUNG,))
        watch.daemon = True
        watch.start()
        try:
            return run_chain(chain)
        finally:
            watch.cancel()


def in_worker() -> Here:
    """What a worker process runs its chains with."""
    return Here(TIME_LIMIT)


@cache
def _load_simulator() -> None:
    """Load it where no start-up file and no option of the user's can reach it, then leave all as it was."""
    with _empty_surroundings():
        simulator()


@contextmanager
def _empty_surroundings() -> Iterator[None]:
    environment, folder = dict(os.environ), os.getcwd()
    with tempfile.TemporaryDirectory(prefix="psucheck-") as empty:
        try:
            os.chdir(empty)
            without_options(empty)
            yield
        finally:
            os.chdir(folder)
            for added in os.environ.keys() - environment.keys():
                del os.environ[added]
            os.environ.update(environment)
