"""What the search for a steady state costs, against running from cold until the supply has settled as well.

    python tests/benchmarks/steady_state.py [REPEATS]

Both in one process, by turns, at the same longest step, in processor time, so that a busy machine counts
little; beside them plain ``ngspice -b`` on the exported netlist from cold. Equal accuracy: the run from cold
is as long as it takes for every state to come within what a search accepts (1e-4 of its scale) of a solution
found ten times as sharp. Then how both grow with the nodes of a ladder. Asserts nothing.
"""

from __future__ import annotations

import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from psucheck.circuit.build import build_network  # noqa: E402 - after the path is set
from psucheck.circuit.condition import Condition  # noqa: E402
from psucheck.circuit.deck import Deck  # noqa: E402
from psucheck.circuit.export import export  # noqa: E402
from psucheck.circuit.network import Network  # noqa: E402
from psucheck.circuit.spice import write_deck  # noqa: E402
from psucheck.conditions.chains import start_states  # noqa: E402
from psucheck.conditions.run import place_readings  # noqa: E402
from psucheck.engine.here import Here  # noqa: E402
from psucheck.engine.jobs import COARSE_STEPS, simulator  # noqa: E402
from psucheck.engine.periodic import solve_periodic  # noqa: E402
from psucheck.engine.simulator import States  # noqa: E402
from psucheck.supply.fill import fill  # noqa: E402
from psucheck.supply.reader import parse_description, read_description  # noqa: E402
from tests.conditions.supplies import RESERVOIR, SUPPLIES, describe  # noqa: E402

SHARPER = 0.1
MOST_CYCLES = 3000
_VALVE = ('device = "1N4007"', 'device = "GZ34"')


def ladder(droppers: int) -> str:
    """A supply with so many RC droppers behind its reservoir."""
    nodes = [f'n{number} = "{2.2 + number:g}k 1 W, 22 uF 450 V"' for number in range(1, droppers)]
    rest = ('screens = "choke 5 H 90 ohm 200 mA, 47 uF 500 V"', *nodes, 'preamp = "10k 1 W, 22 uF 450 V"')
    return describe(f"{droppers + 2} nodes", ladder=(RESERVOIR, *rest))


TEXTS = {
    "silicon, capacitor input": SUPPLIES["centre-tapped"],
    "valve, capacitor input": SUPPLIES["centre-tapped"].replace(*_VALVE),
    "silicon, choke input": SUPPLIES["choke input"],
    "valve, choke input": SUPPLIES["choke input"].replace(*_VALVE),
    "silicon, preamplifier ladder of 8 droppers": ladder(8),
}
FILES = {"valve, series capacitors, bias from a tap": ROOT / "netlists" / "rebuilt-valve-supply.toml"}


@dataclass(frozen=True)
class Case:
    """A supply at idle at nominal mains: its network and deck."""

    name: str
    network: Network
    deck: Deck

    @property
    def period(self) -> float:
        """A mains cycle [s]."""
        return 1.0 / self.deck.hertz

    def advance(self, states: States, cycles: int = 1) -> States:
        """The states so many mains cycles later."""
        seconds = cycles * self.period
        return simulator().end(states, seconds=seconds, max_step=self.period / COARSE_STEPS)

    def search(self, sharper: float = 1.0) -> tuple[States, int]:
        """The periodic state, and the cycles that finding it took."""
        scale = np.array([state.scale for state in self.deck.states])
        accept = np.array([state.accept for state in self.deck.states]) * sharper
        found = solve_periodic(self.advance, start_states(self.network), scale, None, accept, confirm=False)
        return found.states, found.runs


def cases() -> Iterator[Case]:
    """Every supply, ready to run."""
    described = {name: parse_description(text, name) for name, text in TEXTS.items()}
    described |= {name: read_description(path) for name, path in FILES.items()}
    for name, description in described.items():
        yield case(name, description)


def case(name: str, description: object) -> Case:
    """A description at idle."""
    filled = fill(description.found)  # type: ignore[attr-defined]
    readings = place_readings(filled, Here())
    network = build_network(filled, Condition("idle", "nominal", filled.mains.nominal), readings)
    return Case(name, network, write_deck(network))


def cycles_from_cold(case: Case, target: States) -> int:
    """Mains cycles from empty capacitors until all states stay within what a search accepts of ``target``."""
    scale = np.array([state.scale for state in case.deck.states])
    accept = np.array([state.accept for state in case.deck.states])
    states, last = np.zeros_like(target), 0
    for cycle in range(1, MOST_CYCLES + 1):
        states = case.advance(states)
        if (np.abs(states - target) > accept * scale).any():
            last = cycle
        elif cycle > 1.2 * last + 20:
            break
    return last + 1


def processor(work: Callable[[], object]) -> float:
    """Processor time of this process [s]."""
    started = time.process_time()
    work()
    return time.process_time() - started


def plain_ngspice(case: Case, cycles: int) -> float | None:
    """Processor time of ``ngspice -b`` on the netlist from cold [s]; None where the program is missing."""
    program = shutil.which("ngspice")
    if program is None:
        return None
    seconds, step = cycles * case.period, case.period / COARSE_STEPS
    cold = np.zeros(len(case.deck.states))
    text = export(case.name, "from cold", case.network, case.deck, cold, seconds, step)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "cold.cir"
        path.write_text(text, "utf-8")
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run([program, "-b", path.name], cwd=folder, check=True, capture_output=True)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return (after.ru_utime + after.ru_stime) - (before.ru_utime + before.ru_stime)


def compared(case: Case, repeats: int) -> str:
    """A line of the table: cycles and processor time of each, and their ratios."""
    simulator().load(case.deck)
    target, _ = case.search(SHARPER)
    cycles = cycles_from_cold(case, target)
    cold = np.zeros(len(target))
    taken, from_cold, plain = [], [], []
    found = 0
    for _ in range(repeats):
        taken.append(processor(case.search))
        found = case.search()[1]
        from_cold.append(processor(lambda: case.advance(cold, cycles)))
        plain.append(plain_ngspice(case, cycles) or float("nan"))
    ratio = statistics.median(a / b for a, b in zip(taken, from_cold, strict=True))
    beside = statistics.median(a / b for a, b in zip(taken, plain, strict=True))
    times = [1e3 * statistics.median(each) for each in (taken, from_cold, plain)]
    return (
        f"{case.name:<44}{len(target):>7}{found:>7}{cycles:>7}"
        f"{times[0]:>9.0f}{times[1]:>9.0f}{times[2]:>9.0f}{ratio:>8.3f}{beside:>8.3f}"
    )


def main(arguments: Sequence[str]) -> None:
    """Print the tables."""
    repeats = int(arguments[0]) if arguments else 5
    head = f"{'':<44}{'states':>7}{'search':>7}{'cold':>7}{'search':>9}{'cold':>9}{'ngspice':>9}"
    print(f"{head}{'search':>8}{'search':>8}")
    units = f"{'':<44}{'':>7}{'cycles':>7}{'cycles':>7}{'ms':>9}{'ms':>9}{'-b ms':>9}{'/cold':>8}{'/-b':>8}"
    print(units)
    for each in cases():
        print(compared(each, repeats), flush=True)
    for droppers in (1, 2, 4, 8, 12):
        described = parse_description(ladder(droppers), "ladder")
        print(compared(case(f"{droppers + 2} nodes", described), repeats), flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
