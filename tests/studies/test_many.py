"""Many jobs: the same results on any number of workers and on a cluster; an early end leaves what is done."""

from __future__ import annotations

import os
import socket
from collections.abc import Iterator

import pytest

from psucheck.studies.many import Done, Failed, NoCluster, Workers, each_done, run_many
from tests.studies import tasks

LOADS = [500.0, 1e3, 2e3, 4e3, 8e3]


@pytest.fixture(scope="module")
def on_two() -> Done[float]:
    return run_many(tasks.volts_behind, LOADS, Workers(2))


def test_results_come_in_the_order_of_the_jobs(on_two: Done[float]) -> None:
    assert on_two.stopped is None
    assert list(on_two.results) == [0, 1, 2, 3, 4]
    volts = [result for result in on_two.results.values() if not isinstance(result, Failed)]
    assert volts == sorted(volts)
    assert volts[-1] == pytest.approx(10.0 * 2**0.5, abs=0.05)


def test_one_worker_and_two_give_the_same(on_two: Done[float]) -> None:
    assert run_many(tasks.volts_behind, LOADS, Workers(1)) == on_two


def test_a_job_never_runs_in_the_process_that_asks() -> None:
    done = run_many(tasks.process_of, range(4), Workers(1))
    assert os.getpid() not in done.results.values()


def test_workers_live_in_an_empty_folder() -> None:
    (place,) = run_many(tasks.where, [0], Workers(2)).results.values()
    assert not isinstance(place, Failed)
    folder, home = place
    assert folder == home != os.getcwd()


def test_a_failed_simulation_is_that_jobs_result() -> None:
    done = run_many(tasks.fails_at_three, range(6), Workers(2))
    assert done.stopped is None
    assert done.results[3] == Failed("timestep too small")
    assert [done.results[n] for n in (0, 1, 2, 4, 5)] == [0, 1, 2, 4, 5]


def test_a_crash_hands_back_what_is_done() -> None:
    done = run_many(tasks.crashes_at_three, range(100), Workers(2))
    assert done.stopped is not None
    assert "crashed" in done.stopped
    assert 3 not in done.results
    assert len(done.results) < 100
    assert all(result == number for number, result in done.results.items())
    assert run_many(tasks.fails_at_three, range(2), Workers(2)).results == {0: 0, 1: 1}


def test_ctrl_c_hands_back_what_is_done() -> None:
    def interrupted(done: int) -> None:
        if done == 4:
            raise KeyboardInterrupt

    done = run_many(tasks.process_of, range(1000), Workers(2), interrupted)
    assert done.stopped == "stopped"
    assert len(done.results) == 4


def test_told_counts_what_is_done() -> None:
    told: list[int] = []
    run_many(tasks.fails_at_three, range(5), Workers(2), told.append)
    assert told == [1, 2, 3, 4, 5]


def test_jobs_are_taken_as_workers_become_free() -> None:
    taken = []

    def endless() -> Iterator[int]:
        number = 0
        while True:
            taken.append(number)
            yield number
            number += 1

    done = each_done(tasks.process_of, endless(), Workers(2))
    first = [next(done) for _ in range(5)]
    done.close()
    assert len(first) == 5
    assert len(taken) < 200


@pytest.mark.filterwarnings("default")  # Dask's own
def test_a_cluster_gives_the_same(on_two: Done[float]) -> None:
    from distributed import LocalCluster

    with LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster:
        workers = Workers(cluster=cluster.scheduler_address)
        assert run_many(tasks.volts_behind, LOADS, workers) == on_two


@pytest.mark.filterwarnings("default")
def test_a_cluster_that_does_not_answer_is_one_message() -> None:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        address = f"tcp://127.0.0.1:{free.getsockname()[1]}"
        with pytest.raises(NoCluster, match=f"no cluster answers at {address}"):
            run_many(tasks.where, [0], Workers(cluster=address))
    with pytest.raises(NoCluster, match="no cluster answers at nonsense"):
        run_many(tasks.where, [0], Workers(cluster="nonsense"))
