"""Worker processes: a crash, a hang or Ctrl-C in the simulator never reaches the terminal as one."""

from __future__ import annotations

import atexit
import os
import shutil
import signal
import tempfile
import threading
from collections.abc import Iterator, Sequence
from concurrent.futures import TimeoutError as FutureTimeout
from concurrent.futures import wait
from contextlib import contextmanager
from functools import cache
from typing import Protocol

from joblib.externals.loky import get_reusable_executor
from joblib.externals.loky.process_executor import BrokenProcessPool, ShutdownExecutorError

from psucheck.engine.jobs import Job, Run, run_chain, simulator
from psucheck.engine.library import find_library
from psucheck.engine.simulator import SimulationError

TIME_LIMIT = 60.0
"""Seconds that one chain of jobs may take; a check of an eight-node supply takes about one."""


class Runner(Protocol):
    """Whatever runs chains of jobs: a :class:`Pool`, or this process itself."""

    @property
    def workers(self) -> int:
        """How many chains run at a time."""
        ...

    def run(self, chains: Sequence[Sequence[Job]]) -> list[list[Run]]:
        """Run each chain of jobs; results in the chains' order."""
        ...


@cache
def empty_folder() -> str:
    """One folder for all workers of this process, gone at its end."""
    folder = tempfile.mkdtemp(prefix="psucheck-")
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    return folder


def prepare_worker(empty: str) -> None:
    """Make this process a worker that lives in the folder ``empty``."""
    # Ctrl-C is the parent's to handle: it ends the workers itself.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    # ngspice reads start-up files from the current folder and the home folder, and options from the
    # environment: the worker gets an empty folder and none of those variables.
    os.chdir(empty)
    without_options(empty)


def without_options(home: str) -> None:
    """Take from this process's environment what ngspice reads of it; ``home`` is the home folder then."""
    os.environ.update(HOME=home, USERPROFILE=home)
    for name in [name for name in os.environ if name.startswith(("SPICE", "NGSPICE"))]:
        del os.environ[name]


@contextmanager
def deaf_to_interrupts() -> Iterator[None]:
    """Ignore Ctrl-C meanwhile; processes started now inherit that. Only the main thread may say so."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


def _warm_up() -> None:
    simulator()


class Pool:
    """A few worker processes, each with a simulator. Use as a context manager."""

    def __init__(self, workers: int | None = None, time_limit: float = TIME_LIMIT) -> None:
        find_library()
        self._workers = workers or os.cpu_count() or 1
        self._time_limit = time_limit
        self._executor = get_reusable_executor(
            max_workers=self._workers, timeout=300, initializer=prepare_worker, initargs=(empty_folder(),)
        )
        # Workers load the simulator while the caller still reads the description. Ctrl-C is the parent's to
        # handle, so they are started deaf to it.
        with deaf_to_interrupts():
            for _ in range(self._workers):
                self._executor.submit(_warm_up)

    def __enter__(self) -> Pool:
        return self

    def __exit__(self, *exception: object) -> None:
        self._executor.shutdown(wait=True)

    @contextmanager
    def closed_on_error(self) -> Iterator[None]:
        """End the workers if what is done meanwhile fails."""
        try:
            yield
        except BaseException:
            self._kill()
            raise

    @property
    def workers(self) -> int:
        """How many chains run at a time."""
        return self._workers

    def run(self, chains: Sequence[Sequence[Job]]) -> list[list[Run]]:
        """Run each chain of jobs in one worker, all chains at once; results in the chains' order.

        Raises
        ------
        SimulationError
            If a run fails, a worker dies, or the time limit passes.
        """
        try:
            futures = [self._executor.submit(run_chain, chain) for chain in chains]
        except ShutdownExecutorError as error:
            raise SimulationError("the workers were stopped by a run before this one") from error
        try:
            return [future.result(timeout=self._time_limit) for future in futures]
        except FutureTimeout as error:
            self._kill()
            raise SimulationError(
                f"the simulation took longer than {self._time_limit:g} s and was stopped"
            ) from error
        except BrokenProcessPool as error:
            self._kill()
            raise SimulationError("the simulator crashed; no figure of this run is used") from error
        except SimulationError:
            # The caller may go on with these workers; one that hangs meanwhile would hold up the end.
            if wait(futures, timeout=self._time_limit).not_done:
                self._kill()
            raise
        except KeyboardInterrupt:
            self._kill()
            raise

    def _kill(self) -> None:
        self._executor.shutdown(wait=False, kill_workers=True)
