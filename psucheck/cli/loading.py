"""Reading a description while the workers start."""

from __future__ import annotations

from pathlib import Path

from psucheck.cli.own import user_parts
from psucheck.engine.library import LibraryNotFound
from psucheck.engine.pool import Pool
from psucheck.supply.model import Description
from psucheck.supply.reader import read_description


def load(path: Path) -> tuple[Description, Pool]:
    """The description, and a pool that is ready for it.

    Raises
    ------
    DescriptionError
        If the description is unusable; that comes before a missing simulator.
    LibraryNotFound
        If there is no simulator.
    """
    try:
        pool = Pool()
    except LibraryNotFound:
        read_description(path, user_parts())
        raise
    with pool.closed_on_error():
        return read_description(path, user_parts()), pool
