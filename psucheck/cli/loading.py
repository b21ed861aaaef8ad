"""Reading a description while the workers start."""

from __future__ import annotations

from pathlib import Path

from psucheck.cli.own import limits_files, user_parts
from psucheck.engine.library import LibraryNotFound
from psucheck.engine.pool import Pool
from psucheck.supply.model import Description
from psucheck.supply.reader import read_description


def load(path: Path, limits: Path | None = None) -> tuple[Description, Pool]:
    """The description, and a pool that is ready for it.

    Parameters
    ----------
    path
        The description.
    limits
        A limits file that goes before the description's and the user's own.

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
        _read(path, limits)
        raise
    with pool.closed_on_error():
        return _read(path, limits), pool


def _read(path: Path, limits: Path | None) -> Description:
    description = read_description(path, user_parts())
    found = description.found
    named = 0 if limits is None else 1
    before, after = limits_files(limits)[:named], limits_files(limits)[named:]
    found = found.with_limits_files(*before, *found.limits_files, *after)
    return description.model_copy(update={"found": found})
