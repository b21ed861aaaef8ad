"""Exit statuses, and the one way in which every command turns a failure into words and a status."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from psucheck.checks.registry import UnmatchedAccepted
    from psucheck.supply.errors import DescriptionError

UNUSABLE = 2
"""Command line or description unusable."""
STOPPED = 3
"""The simulation failed, or was stopped."""


def in_words(work: Callable[[], int], supply: Path | None = None) -> int:
    """Run ``work``; a failure that the user can do something about becomes a message and a status.

    ``supply`` is the description that it works on, for what is found out only once that is checked.
    """
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
    except UnmatchedAccepted as error:
        print(f"psucheck: {error}" if supply is None else _at_its_place(error, supply), file=sys.stderr)
        return UNUSABLE
    except (NoCluster, BadJobs) as error:
        print(f"psucheck: {error}", file=sys.stderr)
        return UNUSABLE
    except (LibraryNotFound, SimulationError) as error:
        print(f"psucheck: {error}", file=sys.stderr)
        return STOPPED


def _at_its_place(error: UnmatchedAccepted, supply: Path) -> DescriptionError:
    """The same with file, line and key."""
    from psucheck.parts.own import DataFault, Place
    from psucheck.supply.own_file import read_own_file

    file = read_own_file(supply, "a description")
    new = file.tables.get("new", {})
    of_new = isinstance(new, dict) and error.name in new.get("accepted", {})
    place: Place = (*(("new",) if of_new else ()), "accepted", error.name)
    return file.refused([DataFault(place, error.said, error.allowed, at_key=True)])
