"""How long the help of every command takes to start: the median of some runs. Asserts nothing.

python tests/benchmarks/help_time.py [RUNS]
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
COMMANDS: tuple[tuple[str, ...], ...] = (
    ("--help",),
    ("check", "--help"),
    ("netlist", "--help"),
    ("--version",),
)


def seconds(arguments: tuple[str, ...]) -> float:
    """Wall time of one run [s]."""
    started = time.perf_counter()
    subprocess.run(
        [sys.executable, "-m", "psucheck", *arguments], cwd=ROOT, stdout=subprocess.DEVNULL, check=True
    )
    return time.perf_counter() - started


def main() -> None:
    """Print a line a command."""
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 7
    seconds(COMMANDS[0])  # The first run compiles and fills the disk's cache.
    print(f"{'command':<20}{'median':>9}{'fastest':>9}   of {runs} runs, seconds")
    for arguments in COMMANDS:
        taken = [seconds(arguments) for _ in range(runs)]
        print(f"{' '.join(arguments):<20}{statistics.median(taken):>9.3f}{min(taken):>9.3f}")


if __name__ == "__main__":
    main()
