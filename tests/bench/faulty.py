"""Readings of supplies with a fault in them, made by simulation as they would be taken at a bench."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from psucheck.bench.amplifier import Amplifier, amplifier
from psucheck.bench.causes.cause import Cause
from psucheck.bench.drifts import WALL, drifts_of
from psucheck.bench.meter_spread import Meter
from psucheck.bench.observing import measure_ohms, observe, winding_called
from psucheck.bench.responses import Slot, is_dead, put
from psucheck.bench.runs import Setting
from psucheck.circuit.condition import Readings
from psucheck.circuit.spice import write_deck
from psucheck.conditions.chains import start_states
from psucheck.engine.jobs import SteadyJob
from psucheck.engine.pool import Runner
from psucheck.supply.filled import FilledSupply

STEP_WALL = 0.005
"""How far the wall wanders between steps, on top of what is typed wrong for all [1]."""


@dataclass(frozen=True)
class Specimen:
    """One amplifier on the bench: its parts as they happen to be, and what is wrong with it, if anything."""

    filled: FilledSupply
    readings: Readings
    settings: tuple[Setting, ...]
    faults: tuple[tuple[Cause, float | None], ...]
    seed: int

    def amplifiers(self) -> list[Amplifier]:
        """The amplifier in each setting, with its own parts and the wall as it really is."""
        random = np.random.default_rng(self.seed)
        nominal = [amplifier(self.filled, s.condition, self.readings) for s in self.settings]
        fullest = max(nominal, key=lambda amp: len(amp.network.elements))
        # All inside a range are alike here; the fault finder takes them as normal.
        factors = {
            drift.name: float(np.exp(drift.spread * random.uniform(-1.7, 1.7)))
            for drift in drifts_of(fullest)
            if drift.name != "wall"
        }
        wall = 1.0 + WALL * random.choice((-1.0, 1.0))
        found = []
        for setting, amp in zip(self.settings, nominal, strict=True):
            volts = setting.volts * wall * (1.0 + STEP_WALL * random.uniform(-1.0, 1.0))
            amp = amplifier(self.filled, replace(setting, volts=volts).condition, self.readings)
            for drift in drifts_of(fullest):
                if drift.name in factors:
                    amp = drift.put(amp, factors[drift.name])
            found.append(amp)
        return found


def jobs_of(specimen: Specimen) -> list[tuple[Amplifier, SteadyJob | None]]:
    """The amplifier in each setting with its faults in it, and its run; no run where it is dead."""
    found: list[tuple[Amplifier, SteadyJob | None]] = []
    for amp in specimen.amplifiers():
        dead = False
        for cause, size in specimen.faults:
            if amp.condition.state in cause.states:
                amp = put(cause, amp, size)
                dead = dead or is_dead(amp, cause)
        loaded = amp.condition.state != "valves out"
        start = start_states(amp.network)
        job = SteadyJob(write_deck(amp.network), start, loaded=loaded, fine=False, may_fail=True)
        found.append((amp, None if dead else job))
    return found


def read_all(
    specimens: list[Specimen], pool: Runner, meter: Meter | None = None
) -> list[dict[Slot, float] | None]:
    """What is read on each; None for one that has no steady state somewhere."""
    meter = meter or Meter()
    made = [jobs_of(specimen) for specimen in specimens]
    chains = [[job] for one in made for _, job in one if job is not None]
    runs = iter(pool.run(chains))
    found: list[dict[Slot, float] | None] = []
    for specimen, one in zip(specimens, made, strict=True):
        random = np.random.default_rng([specimen.seed, 1])
        values: dict[Slot, float] | None = {}
        for setting, (amp, job) in zip(specimen.settings, one, strict=True):
            run = next(runs) if job is not None else []
            if job is not None and not run:
                values = None
            if values is None:
                continue
            if run:
                values |= {(setting, name): value for name, value in observe(amp, run[0]).items()}
            else:
                values |= {(setting, name): 0.0 for name in _names(amp)}
        if values is not None:
            cold = one[0][0]
            values |= {(None, name): value for name, value in measure_ohms(cold).items()}
            values = {slot: _shown(slot[1], value, meter, random) for slot, value in values.items()}
        found.append(values)
    return found


def _names(amp: Amplifier) -> list[str]:
    """The live points of an amplifier of which nothing is alive."""
    names = [f"{node} {what}" for node in amp.network.layout.nodes for what in ("DC", "AC", "hum")]
    for name, ends in amp.network.layout.winding_ends.items():
        called = winding_called(amp, name)
        names += [called] if len(ends) == 1 else [f"{called} a", f"{called} b"]
    for name in amp.heater_halves or {}:
        names += [f"{name} at the pins", f"{name} end a to chassis", f"{name} end b to chassis"]
    for socket in amp.sockets:
        load, n = socket.load, socket.number
        names += [f"{load} anode {n}", f"{load} screen {n}", f"{load} screen resistor {n} drop"]
        names += [f"{load} cathode {n} mV", f"bias at {load} {n}", f"{load} cathode DC"]
        names += [f"{load} transformer a drop", f"{load} transformer b drop", f"{load} transformer drop"]
    return [*names, "mains amps", "mains watts"]


def _shown(name: str, value: float, meter: Meter, random: np.random.Generator) -> float:
    """What the meter shows; of the hum only whether it has the mains' frequency or twice that."""
    if name.endswith(" hum"):
        return float(value > 0.5)
    bound = float(meter.bound(value))
    return value + bound * random.uniform(-1.0, 1.0)


def on_the_sheet(slots: list[Slot]) -> list[Slot]:
    """The readings that are really taken: five to eight a step, the ripple only at idle."""
    tenth = min((s.volts for s, _ in slots if s is not None), default=0.0)
    return [slot for slot in slots if slot[0] is not None and _taken(slot[0], slot[1], tenth)]


def _taken(setting: Setting, name: str, lowest: float) -> bool:
    if setting.state == "idle":
        return not name.endswith((" to chassis", " can 1 DC", " can 2 DC")) and (
            not name.endswith((" AC", " hum"))
            or name in ("reservoir AC", "reservoir hum", "screens AC", "bias AC")
        )
    low = setting.volts < 60.0 and setting.volts == lowest
    if name == "mains watts":
        return not low
    if name.endswith((" can 1 DC", " can 2 DC")):
        return not low
    if name.endswith(" to chassis"):
        return setting.volts == lowest
    return not name.endswith((" hum", " drop", " AC")) or name == "reservoir AC"
