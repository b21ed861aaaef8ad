"""Exit statuses, and the one way in which every command turns a failure into words and a status."""

from __future__ import annotations

import sys
from collections.abc import Callable

UNUSABLE = 2
"""Command line or description unusable."""
STOPPED = 3
"""The simulation failed, or was stopped."""


def in_words(work: Callable[[], int]) -> int:
    """Run ``work``; a failure that the user can do something about becomes a message and a status."""
    from psucheck.checks.registry import UnmatchedAccepted
    from psucheck.cli.progress import BadJobs
    from psucheck.engine.library import LibraryNotFound
    from psucheck.engine.simulator import SimulationError
    from psucheck.studies.many import NoCluster
    from psucheck.supply.errors import DescriptionError

    try:
        return work()
    except DescriptionError as error:
        print(error, file=sys.stderr)
        return UNUSABLE
    except (UnmatchedAccepted, NoCluster, BadJobs) as error:
        print(f"psucheck: {error}", file=sys.stderr)
        return UNUSABLE
    except (LibraryNotFound, SimulationError) as error:
        print(f"psucheck: {error}", file=sys.stderr)
        return STOPPED
