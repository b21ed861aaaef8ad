"""A new description with what the readings settled; the old one stays as it is."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from psucheck.bench.editing import edited
from psucheck.bench.read_back import ReadBack
from psucheck.bench.settling import Settled, settled
from psucheck.supply.model import Description
from psucheck.supply.reader import parse_description


class CannotUpdate(ValueError):
    """No new description can be made, or none may be written there; the message says why."""


@dataclass(frozen=True)
class Updated:
    """The new description's text, what was settled in it, and what was left out, a sentence each."""

    text: str
    changes: tuple[Settled, ...]
    left: tuple[str, ...]


def updated(description: Description, text: str, back: ReadBack, readings_name: str) -> Updated:
    """The text of a description with what its readings settled.

    Parameters
    ----------
    text
        The description's own text.
    readings_name
        Name of the file of readings, for the remark at its top.

    Raises
    ------
    CannotUpdate
        If the description holds a proposal beside the supply as found, or the readings settle nothing.
    """
    if description.proposed is not None:
        raise CannotUpdate(
            "the description holds a proposal ([new]) beside the supply as found: put the supply "
            "that stands on the "
            "bench into a description of its own first"
        )
    changes, left = settled(back.plan, back.view.readings)
    if not changes:
        raise CannotUpdate("the readings settle nothing of the description")
    done = edited(text, changes)
    head = f"# What was read at the bench is marked so; the readings: {' '.join(readings_name.split())}\n"
    return Updated(head + done.text, changes, (*left, *done.left))


def write_new(path: Path, made: Updated, beside: Path) -> None:
    """Write the new description, whole or not at all, and never over another file.

    Raises
    ------
    CannotUpdate
        If something stands there already, or it cannot be written.
    DescriptionError
        If what was made cannot be read back.
    """
    # Read as if it stood beside the old one, where its parts file is.
    parse_description(made.text, str(beside.with_name(path.name)))
    try:
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.write(made.text)
    except FileExistsError:
        raise CannotUpdate(
            f"{path} is there already: a new description is never written over another file"
        ) from None
    except OSError as error:
        raise CannotUpdate(f"{path} cannot be written: {error.strerror}") from None
