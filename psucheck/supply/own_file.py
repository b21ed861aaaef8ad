"""A file of the user's own beside the description, read with the place of every fault in it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path as FilePath
from typing import Any

from psucheck.parts.own import DataFault
from psucheck.supply.errors import DescriptionError, Problem, dotted, listed, nearest
from psucheck.supply.text_file import read_text
from psucheck.supply.toml_positions import Positions, scan
from psucheck.supply.toml_syntax import load


@dataclass(frozen=True)
class OwnFile:
    """The tables of a file, and its text for messages."""

    path: FilePath
    text: str
    tables: Mapping[str, Any]

    @cached_property
    def _positions(self) -> Positions:
        return scan(self.text)

    def refused(self, faults: Iterable[DataFault]) -> DescriptionError:
        """The error that tells all ``faults``, each at its place in the file."""
        return DescriptionError(dict.fromkeys(self._problem(fault) for fault in faults))

    def _problem(self, fault: DataFault) -> Problem:
        file, lines = str(self.path), self.text.split("\n")
        key = dotted((*fault.place, fault.missing) if fault.missing else fault.place)
        words = fault.allowed
        near = nearest(str(fault.place[-1]), words) if fault.at_key and fault.place else ""
        allowed = ", ".join(words) if fault.at_key or len(words) == 1 else listed(words)
        deepest = self._positions.deepest(fault.place)
        if not deepest:
            return Problem(file, 0, 1, key, "", 1, fault.message, allowed=allowed, nearest=near)
        place = self._positions.places[deepest]
        span = place.key if fault.at_key or fault.missing else place.value
        line, column = self._positions.line_column(span.start)
        end = min(column + span.end - span.start, len(lines[line - 1]) + 1)
        return Problem(
            file, line, column, key, lines[line - 1], end, fault.message, allowed=allowed, nearest=near
        )


def read_own_file(path: FilePath, what: str) -> OwnFile:
    """The tables of a file of the user's own.

    Parameters
    ----------
    path
        The file.
    what
        What it should be, for messages: ``"a parts file"``.

    Raises
    ------
    DescriptionError
        If it cannot be read, or is no TOML, with every fault of its syntax.
    """
    text = read_text(path, what).replace("\r\n", "\n")
    loaded = load(text)
    if not loaded.faults:
        return OwnFile(path, text, loaded.tree)
    lines = text.split("\n")
    raise DescriptionError(
        Problem(
            str(path),
            fault.line,
            fault.column,
            fault.key,
            lines[fault.line - 1] if fault.line else "",
            fault.end_column,
            fault.message.replace("of a description", f"of {what}").replace(
                "this is no description", f"this is no {what.removeprefix('a ')}"
            ),
        )
        for fault in loaded.faults
    )


def shown_of_home(path: FilePath) -> str:
    """A path as outputs show it: no more of the machine than needs be."""
    home = FilePath.home()
    return f"~/{path.relative_to(home).as_posix()}" if path.is_relative_to(home) else str(path)
