"""Jobs for workers: what they do must stand in a module that a worker can import."""

from __future__ import annotations

import os
import time
from pathlib import Path

import numpy as np

from psucheck.circuit.network import GROUND
from psucheck.circuit.spice import write_deck
from psucheck.engine.here import in_worker
from psucheck.engine.jobs import SteadyJob, final_states
from psucheck.engine.simulator import SimulationError
from tests.engine_runs import Bench


def volts_behind(ohms: float) -> float:
    """DC behind a diode, loaded with so many ohms, as the simulator of the worker finds it."""
    bench = Bench(50.0, 10.0)
    bench.winding("lead", GROUND, 10.0, 1.0)
    bench.diode("lead", "out")
    bench.capacitor(bench.rail("out"), GROUND, 100e-6, 13.0)
    bench.resistor("out", GROUND, ohms)
    deck = write_deck(bench.network)
    ((run,),) = in_worker().run([[SteadyJob(deck, np.array([13.0]))]])
    return float(final_states(run.deck, run.waveforms)[0])


def process_of(number: int) -> int:
    """The process that the job is done in."""
    time.sleep(0.02)
    return os.getpid()


def where(number: int) -> tuple[str, str]:
    """The worker's current folder, and its home."""
    return os.getcwd(), str(Path.home())


def fails_at_three(number: int) -> int:
    """A simulation that fails for the third job alone."""
    if number == 3:
        raise SimulationError("timestep too small")
    return number


def crashes_at_three(number: int) -> int:
    """A simulator that takes its process with it."""
    if number == 3:
        time.sleep(0.5)
        os._exit(1)
    return number
