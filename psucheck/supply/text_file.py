"""The text of a file that a user wrote, or why it cannot be had."""

from __future__ import annotations

from pathlib import Path

from psucheck.supply.errors import DescriptionError, Problem

LARGEST = 1_000_000
"""Size of the largest file that is read [bytes]."""


def read_text(path: Path, what: str = "a description") -> str:
    """The text of a file.

    Parameters
    ----------
    path
        The file.
    what
        What it should be, for messages.

    Raises
    ------
    DescriptionError
        If it cannot be read.
    """
    try:
        with path.open("rb") as file:
            data = file.read(LARGEST + 1)
    except FileNotFoundError:
        raise _unreadable(path, "there is no such file") from None
    except IsADirectoryError:
        raise _unreadable(path, f"this is a folder; {what} is a file") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise _unreadable(path, f"the file cannot be read: {reason}") from None
    if len(data) > LARGEST:
        named = what.removeprefix("a ")
        raise _unreadable(path, f"the file is larger than {LARGEST // 1_000_000} MB: that is no {named}")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        said = f"the file is not UTF-8 text (byte {error.start + 1}): save it as UTF-8"
        raise DescriptionError([Problem(str(path), line, 1, "", "", 1, said)]) from None


def is_there(path: Path) -> bool:
    """Whether something stands at a path; also where that cannot be told, since reading it then says why."""
    try:
        return path.exists()
    except OSError:
        return True


def _unreadable(path: Path, message: str) -> DescriptionError:
    return DescriptionError([Problem(str(path), 0, 1, "", "", 1, message)])
