"""The whole fault matrix on seeds that nothing was settled on; writes ``tests/bench/data/fault_matrix.toml``.

    python tests/benchmarks/fault_matrix.py [SEED ...]

Takes some minutes. What was settled (priors, thresholds) was settled on seed 1.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from psucheck.engine.pool import Pool  # noqa: E402 - after the path is set
from tests.bench.amplifiers import AMPLIFIERS  # noqa: E402
from tests.bench.matrix import Finder, Result, cases, placed, responses_of  # noqa: E402

SEEDS = (11, 12)
PATH = ROOT / "tests" / "bench" / "data" / "fault_matrix.toml"


def main(seeds: Sequence[int]) -> None:
    """Run the matrix and write its figures."""
    results = []
    with Pool() as pool:
        for name in AMPLIFIERS:
            filled, readings = placed(name, pool)
            finder = Finder(responses_of(filled, readings, pool))
            for seed in seeds:
                results += [finder.result(name, case) for case in cases(filled, readings, seed, pool)]
    PATH.write_text("\n".join(lines(results, seeds)) + "\n", "utf-8")


def lines(results: Sequence[Result], seeds: Sequence[int]) -> Iterator[str]:
    """The data file."""
    yield "# The fault matrix, written by tests/benchmarks/fault_matrix.py; nothing here is edited by hand."
    yield f"seeds = {list(seeds)}"
    for name in dict.fromkeys(result.supply for result in results):
        here = [result for result in results if result.supply == name]
        faults = [result for result in here if not result.sound]
        sound = [result for result in here if result.sound]
        together = [result.together for result in faults]
        yield ""
        yield f'[supplies."{name}"]'
        yield f"faults = {len(faults)}"
        yield f"first = {sum(result.rank == 1 for result in faults)}"
        yield f"in_three = {sum(result.rank <= 3 for result in faults)}"
        yield f"sound = {len(sound)}"
        yield f"sound_first = {sum(result.rank == 1 for result in sound)}"
        yield f"together = {sum(together) / len(together):.2f}"
        yield f"most_together = {max(together)}"
        yield "# What was not first: what it was taken for, and where it came."
        missed = (f"{r.key or 'sound'}: {r.first or 'nothing wrong'}, {r.rank}" for r in here if r.rank > 1)
        yield f"missed = {json.dumps(list(missed))}"


if __name__ == "__main__":
    main([int(each) for each in sys.argv[1:]] or SEEDS)
