"""A pool that does not run the same thing twice: a job's outcome hangs on nothing but the job."""

from __future__ import annotations

import hashlib
import pickle
from collections.abc import Sequence

from psucheck.engine.jobs import Job, Run
from psucheck.engine.pool import Runner


class Remembering:
    """Runs on another pool's workers, and gives again what a chain of the same jobs has given before.

    A check of a supply in which only a rating differs runs the same circuits. The other pool is its owner's
    to close.

    Attributes
    ----------
    keeps
        Whether what is run is kept. Turn it off where what comes is not likely to come again: waveforms are
        large.
    """

    def __init__(self, pool: Runner) -> None:
        self._pool = pool
        self._held: dict[bytes, list[Run]] = {}
        self.keeps = True

    @property
    def workers(self) -> int:
        """How many chains run at a time."""
        return self._pool.workers

    def run(self, chains: Sequence[Sequence[Job]]) -> list[list[Run]]:
        """Run the chains that have not been run before; results in the chains' order.

        Raises
        ------
        SimulationError
            As the other pool's.
        """
        keys = [_key(chain) for chain in chains]
        wanted = {key: chain for key, chain in zip(keys, chains, strict=True) if key not in self._held}
        found = dict(zip(wanted, self._pool.run(list(wanted.values())), strict=True)) if wanted else {}
        results = [self._held[key] if key in self._held else found[key] for key in keys]
        if self.keeps:
            self._held |= found
        return results


def _key(chain: Sequence[Job]) -> bytes:
    """What tells chains apart: every value of every job, bit by bit."""
    return hashlib.sha256(pickle.dumps(list(chain), protocol=5)).digest()
