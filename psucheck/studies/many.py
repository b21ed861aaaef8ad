"""Many independent jobs on worker processes, of this machine or of a cluster.

joblib hands the jobs out: to processes of this machine (its ``loky`` backend), or to the workers of a Dask
cluster. Each worker has a simulator of its own, and a job runs its chains there one after another
(:func:`psucheck.engine.here.in_worker`), so that its result hangs neither on the number of workers nor on
what ran before it.
"""

from __future__ import annotations

import os
import socket
import warnings
from collections.abc import Callable, Generator, Iterable, Iterator, Mapping
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from typing import Any, Generic, TypeVar

from joblib import Parallel, delayed, parallel_config
from joblib.externals.loky.process_executor import BrokenProcessPool

from psucheck.engine.library import find_library
from psucheck.engine.pool import deaf_to_interrupts, empty_folder, prepare_worker
from psucheck.engine.simulator import SimulationError

T = TypeVar("T")
R = TypeVar("R")

_CONNECTING = 10.0
"""Seconds in which a cluster must answer."""
_STALLED = 600.0
"""Seconds after which, no job having ended meanwhile, none is waited for any longer: a cluster does not say
that a job has killed every worker that took it."""


class NoCluster(RuntimeError):
    """The cluster cannot be used; the message says why, and what to do."""


@dataclass(frozen=True, slots=True)
class Workers:
    """Where jobs run.

    Attributes
    ----------
    jobs
        Processes of this machine; None: as many as it has cores.
    cluster
        Address of a Dask scheduler (``"tcp://10.0.0.5:8786"``), whose workers are then used instead.
    """

    jobs: int | None = None
    cluster: str | None = None

    @property
    def processes(self) -> int:
        """How many processes of this machine."""
        return self.jobs or os.cpu_count() or 1


@dataclass(frozen=True, slots=True)
class Failed:
    """Stands for the result of a job whose simulation failed; ``why`` in the simulator's words."""

    why: str


@dataclass(frozen=True)
class Done(Generic[R]):
    """What jobs came to.

    Attributes
    ----------
    results
        Number of the job -> its result, in the jobs' order; all of them unless ``stopped``.
    stopped
        Why the rest was not run: Ctrl-C, or a worker that crashed or hung.
    """

    results: Mapping[int, R | Failed] = field(default_factory=dict)
    stopped: str | None = None


def run_many(
    task: Callable[[T], R],
    jobs: Iterable[T],
    workers: Workers,
    told: Callable[[int], None] | None = None,
) -> Done[R]:
    """Do ``task`` for each of ``jobs``; on Ctrl-C, or when a worker dies, hand back what is done by then.

    Parameters
    ----------
    task
        A function of a module (workers import it), or a ``functools.partial`` of one. What it raises, other
        than a :class:`SimulationError`, ends everything.
    jobs
        Taken from the iterable as workers become free.
    told
        Called with the number of jobs done, whenever one more is.

    Raises
    ------
    NoCluster
        If the cluster cannot be used.
    LibraryNotFound
        If this machine has no simulator, and is to simulate.
    """
    results: dict[int, R | Failed] = {}
    stopped = None
    try:
        with closing(each_done(task, jobs, workers)) as done:
            for number, result in done:
                results[number] = result
                if told is not None:
                    told(len(results))
    except KeyboardInterrupt:
        stopped = "stopped"
    except SimulationError as error:
        stopped = str(error)
    return Done(dict(sorted(results.items())), stopped)


def each_done(
    task: Callable[[T], R], jobs: Iterable[T], workers: Workers
) -> Generator[tuple[int, R | Failed], None, None]:
    """Number and result of each of ``jobs``, as they are done, in no order.

    Nothing is kept of what was handed out, so that memory stays flat however many jobs there are. Close the
    iterator, or let an exception pass through it, to end the workers' work.

    Raises
    ------
    SimulationError
        If a worker crashed or hung.
    """
    calls = (delayed(_one)(task, number, job) for number, job in enumerate(jobs))
    with _backend(workers) as dispatch:
        done: Any = None
        try:
            # Ctrl-C is for this process to handle, so its workers are started deaf to it.
            with deaf_to_interrupts():
                done = Parallel(
                    return_as="generator_unordered", timeout=_STALLED, max_nbytes=None, **dispatch
                )(calls)
            # Not ``yield from``, which would close joblib's iterator before it can be done quietly.
            for result in done:  # noqa: UP028
                yield result
        except BrokenProcessPool as error:
            said = "the simulator crashed, or hung and was stopped; what was not done by then is left out"
            raise SimulationError(said) from error
        except TimeoutError as error:
            said = f"no worker has ended a job for {_STALLED:g} s; what was not done by then is left out"
            raise SimulationError(said) from error
        finally:
            if done is not None:
                _close(done)


def _close(done: Generator[Any, None, None]) -> None:
    """End what is still being worked on, without joblib's remark that it might have been wanted."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)
        done.close()


def _one(task: Callable[[T], R], number: int, job: T) -> tuple[int, R | Failed]:
    try:
        return number, task(job)
    except SimulationError as error:
        return number, Failed(str(error))


@contextmanager
def _backend(workers: Workers) -> Iterator[dict[str, Any]]:
    """Make joblib use ``workers``; yields how jobs are to be dispatched."""
    if workers.cluster is not None:
        with _client(workers.cluster) as client, parallel_config("dask", client=client):
            yield {"n_jobs": -1}
        return
    find_library()
    # joblib runs a single job in the process that asks for it, where a crash of the simulator would end
    # everything. So there are always two processes; for one job at a time one of them idles.
    dispatch: dict[str, Any] = {"n_jobs": max(workers.processes, 2)}
    if workers.processes == 1:
        dispatch |= {"pre_dispatch": 1, "batch_size": 1}
    with parallel_config("loky", initializer=prepare_worker, initargs=(empty_folder(),)):
        yield dispatch


@contextmanager
def _client(address: str) -> Iterator[Any]:
    """A client of the cluster at ``address``.

    Raises
    ------
    NoCluster
        If Dask is not installed, nothing answers, or nobody works there.
    """
    try:
        from distributed import Client
        from distributed.comm.addressing import parse_address, parse_host_port
    except ImportError as error:
        said = 'a cluster needs Dask, which is not installed: pip install "psucheck[cluster]"'
        raise NoCluster(said) from error
    try:
        # Asked for first, since a client that gets no answer goes on asking for half a minute.
        socket.create_connection(parse_host_port(parse_address(address)[1]), _CONNECTING).close()
        client: Any = Client(address, timeout=_CONNECTING, set_as_default=False)
    except (OSError, ValueError) as error:
        raise NoCluster(f"no cluster answers at {address}: {error}") from error
    with client:
        if not client.scheduler_info()["workers"]:
            raise NoCluster(
                f"the cluster at {address} has no workers: start some with: dask worker {address}"
            )
        yield client
