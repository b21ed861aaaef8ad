"""Worker processes: crash, hang, Ctrl-C and start-up files end in one clear message, and the next run
works.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any, cast

import numpy as np
import pytest

from psucheck.circuit.network import GROUND
from psucheck.circuit.spice import write_deck
from psucheck.engine.jobs import Job, SteadyJob, TransientJob
from psucheck.engine.pool import Pool
from psucheck.engine.simulator import SimulationError
from tests.engine_runs import Bench

ROOT = Path(__file__).parents[2]


class Poisoned:
    """Something that calls ``function`` in the worker that unpacks it."""

    def __init__(self, function: Any, *arguments: Any) -> None:
        self.call = (function, arguments)

    def __reduce__(self) -> tuple[Any, tuple[Any, ...]]:
        return self.call


def _good(seconds: float = 0.0) -> Job:
    bench = Bench(50.0, 10.0)
    bench.winding("lead", GROUND, 10.0, 1.0)
    bench.diode("lead", "out")
    bench.capacitor(bench.rail("out"), GROUND, 100e-6, 13.0)
    bench.resistor("out", GROUND, 1e3)
    deck = write_deck(bench.network)
    if seconds:
        return TransientJob((deck,), seconds=seconds, max_step=20e-6, states=np.zeros(1))
    return SteadyJob(deck, np.array([13.0]))


@pytest.fixture(autouse=True)
def fresh_workers() -> Iterator[None]:
    """Every test starts with workers of its own and leaves none behind."""
    Pool(1)._kill()
    yield
    Pool(1)._kill()


def _still_works() -> bool:
    with Pool(1, time_limit=60) as pool:
        return pool.run([[_good()]])[0][0].cycles > 0


def test_results_come_in_the_order_of_the_chains() -> None:
    with Pool(2) as pool:
        runs = pool.run([[_good()], [_good(0.1)], [_good(), _good()]])
    assert [len(chain) for chain in runs] == [1, 1, 2]
    assert runs[1][0].waveforms.time[-1] == pytest.approx(0.1)


def test_a_crash_is_one_message() -> None:
    with Pool(1) as pool, pytest.raises(SimulationError, match="crashed"):
        pool.run([[cast(Job, Poisoned(os._exit, 1))]])
    assert _still_works()


@pytest.mark.skipif(sys.platform == "win32", reason="no SIGKILL there")
def test_a_killed_worker_is_one_message() -> None:
    with Pool(1) as pool:
        pool.run([[_good()]])
        (worker,) = pool._executor._processes

        def kill() -> None:
            os.kill(worker, signal.SIGKILL)

        timer = threading.Timer(0.3, kill)
        timer.start()
        with pytest.raises(SimulationError, match="crashed"):
            pool.run([[_good(30.0)]])
        timer.join()


def test_a_hang_is_stopped_at_the_time_limit() -> None:
    started = time.monotonic()
    with Pool(1, time_limit=2.0) as pool:
        with pytest.raises(SimulationError, match="longer than 2 s"):
            pool.run([[cast(Job, Poisoned(time.sleep, 600))]])
        with pytest.raises(SimulationError, match="stopped by a run before this one"):
            pool.run([[_good()]])
    assert time.monotonic() - started < 30


def test_a_hang_beside_a_failed_run_does_not_hold_up_the_end() -> None:
    started = time.monotonic()
    with Pool(2, time_limit=2.0) as pool, pytest.raises(SimulationError, match="nomodel"):
        pool.run([[_broken()], [cast(Job, Poisoned(time.sleep, 600))]])
    assert time.monotonic() - started < 30


def test_no_folder_is_left_behind(tmp_path: Path) -> None:
    code = "from psucheck.engine.pool import Pool\nwith Pool(1) as pool: pass"
    environment = {**os.environ, "TMPDIR": str(tmp_path), "TEMP": str(tmp_path), "TMP": str(tmp_path)}
    subprocess.run([sys.executable, "-c", code], check=True, cwd=ROOT, env=environment, timeout=60)
    assert not list(tmp_path.glob("psucheck-*"))


def test_ctrl_c_ends_the_workers_and_goes_on_up(monkeypatch: pytest.MonkeyPatch) -> None:
    ended = []

    class Interrupted:
        def result(self, timeout: float) -> None:
            raise KeyboardInterrupt

    with Pool(1) as pool:
        monkeypatch.setattr(pool._executor, "submit", lambda *_: Interrupted())
        kill = pool._kill

        def noted() -> None:
            ended.append(True)
            kill()

        monkeypatch.setattr(pool, "_kill", noted)
        with pytest.raises(KeyboardInterrupt):
            pool.run([[_good()]])
    assert ended == [True]


def _broken() -> Job:
    bench = Bench(50.0, 10.0)
    bench.capacitor("out", GROUND, 1e-6, 10.0)
    bench.resistor("out", GROUND, 1e3)
    deck = write_deck(bench.network)
    broken = type(deck)(
        (*deck.lines, "Dbad out 0 nomodel"), deck.says, deck.states, deck.currents, deck.hertz
    )
    return SteadyJob(broken, np.zeros(1))


def test_a_failed_run_keeps_its_words() -> None:
    with Pool(1) as pool, pytest.raises(SimulationError, match="nomodel"):
        pool.run([[_broken()]])


@pytest.mark.skipif(sys.platform == "win32", reason="the start-up file uses a shell command")
def test_a_start_up_file_in_the_current_folder_is_not_run(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    marker = tmp_path / "was-run"
    (tmp_path / ".spiceinit").write_text(f"shell touch {marker}\n")
    # That the file would be run, were ngspice started here in the ordinary way:
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    subprocess.run(
        [sys.executable, "-c", "from psucheck.engine.jobs import simulator; simulator()"],
        cwd=tmp_path, env=environment, capture_output=True, check=False, timeout=60,
    )  # fmt: skip
    assert marker.exists()
    marker.unlink()

    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("HOME", str(tmp_path))
    assert _still_works()
    assert not marker.exists()
