"""Reading a description: from a file to the model, or to everything that is wrong with it."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path as FilePath
from typing import Any

from psucheck.parts import UnknownPart, library
from psucheck.parts.rectifiers import Diode
from psucheck.supply import notation
from psucheck.supply.canonical import Canonical, canonical
from psucheck.supply.errors import DescriptionError, Fault, Problem, dotted
from psucheck.supply.merge import proposed
from psucheck.supply.model import Description, Device, Supply
from psucheck.supply.references import references
from psucheck.supply.toml_positions import Path, Positions, Span, offset_in_string, scan
from psucheck.supply.toml_syntax import Loaded, SyntaxFault, load
from psucheck.supply.validation import validate

LARGEST = 1_000_000
"""Size of the largest file that is read [bytes]."""

_WORD = re.compile(r"[^\s,]+")


def read_description(path: FilePath) -> Description:
    """Read a description file.

    Parameters
    ----------
    path
        The file.

    Raises
    ------
    DescriptionError
        If it cannot be read, with everything that is wrong with it.
    """
    return parse_description(_text(path), str(path))


def _text(path: FilePath) -> str:
    try:
        with path.open("rb") as file:
            data = file.read(LARGEST + 1)
    except FileNotFoundError:
        raise _unreadable(path, "there is no such file") from None
    except IsADirectoryError:
        raise _unreadable(path, "this is a folder; a description is a file") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise _unreadable(path, f"the file cannot be read: {reason}") from None
    if len(data) > LARGEST:
        raise _unreadable(path, f"the file is larger than {LARGEST // 1_000_000} MB: that is no description")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        said = f"the file is not UTF-8 text (byte {error.start + 1}): save it as UTF-8"
        raise DescriptionError([Problem(str(path), line, 1, "", "", 1, said)]) from None


def _unreadable(path: FilePath, message: str) -> DescriptionError:
    return DescriptionError([Problem(str(path), 0, 1, "", "", 1, message)])


def parse_description(text: str, name: str) -> Description:
    """Read the text of a description.

    Parameters
    ----------
    text
        TOML text.
    name
        Name of the file, for messages.

    Raises
    ------
    DescriptionError
        With everything that is wrong, in the order of the file.
    """
    text = text.replace("\r\n", "\n")
    if not text.strip():
        raise DescriptionError([Problem(name, 0, 1, "", "", 1, "the file is empty")])
    return _Reading(text, name).description()


class _Reading:
    """One reading of one text."""

    def __init__(self, text: str, name: str) -> None:
        self.name = name
        self.lines = text.split("\n")
        self.loaded: Loaded = load(text)
        self.positions: Positions = scan(self.loaded.text) if self.loaded.tree else Positions(text)
        self.faults: list[Fault] = []

    def description(self) -> Description:
        made = canonical(self.loaded.tree, self._source)
        self.faults += made.faults
        found, faults = self._supply(made)
        self.faults += faults
        new = self._proposed(made, faults) if "new" in made.tree else None
        problems = [self._of_syntax(fault) for fault in self.loaded.faults]
        problems += [self._problem(fault) for fault in dict.fromkeys(self.faults)]
        if problems:
            raise DescriptionError(problems)
        return Description(found=found, proposed=new)

    def _source(self, path: Path) -> str:
        place = self.positions.places.get(path)
        return self.positions.source(place.value) if place else ""

    def _supply(self, made: Canonical) -> tuple[Supply, list[Fault]]:
        """A supply as far as it can be read, and all that is wrong with it."""
        draft, faults = validate(made)
        if not self.loaded.whole:
            # Lines were lost with the syntax: what is missing may have stood there.
            return draft.supply, [fault for fault in faults if not fault.missing]
        # Of one value one thing is said: what it refers to matters once it can be read.
        said = {fault.path for fault in (*faults, *made.faults)}
        return draft.supply, faults + [fault for fault in references(draft) if fault.path not in said]

    def _proposed(self, made: Canonical, known: Iterable[Fault]) -> Supply:
        merged, faults = proposed(made, _is_silicon)
        self.faults += faults
        supply, faults = self._supply(merged)
        known = set(known)
        self.faults += [self._in_new(made, fault) for fault in faults if fault not in known]
        return supply

    def _in_new(self, made: Canonical, fault: Fault) -> Fault:
        """A fault of the supply as proposed, where ``[new]`` brought it about."""
        if fault.path[:1] == made.where(("new",)):
            return fault
        path = made.where(("new", fault.about)) if fault.about else made.where(("new",))
        said = f"with [new] in force, {dotted(fault.path)}: {fault.message}"
        return replace(fault, path=path, message=said, column=None, at_key=True)

    def _of_syntax(self, fault: SyntaxFault) -> Problem:
        text = self.lines[fault.line - 1] if fault.line else ""
        return Problem(self.name, fault.line, fault.column, fault.key, text, fault.end_column, fault.message)

    def _problem(self, fault: Fault) -> Problem:
        key = dotted((*fault.path, fault.missing) if fault.missing else fault.path)
        deepest = self.positions.deepest(fault.path)
        if not deepest:
            return Problem(
                self.name, 0, 1, key, "", 1, fault.message, fault.read, fault.allowed, fault.nearest
            )
        span = self._span(deepest, fault)
        line, column = self.positions.line_column(span.start)
        text = self.lines[line - 1]
        # A value of several lines is marked on its first.
        end = min(column + span.end - span.start, len(text) + 1)
        return Problem(
            self.name, line, column, key, text, end, fault.message, fault.read, fault.allowed, fault.nearest
        )

    def _span(self, path: Path, fault: Fault) -> Span:
        place = self.positions.places[path]
        if fault.at_key:
            return place.key
        source = self.positions.source(place.value)
        if fault.column is None:
            # A word of a short form is marked alone, if it can be found there.
            at = source.find(fault.read) if fault.read and source.count(fault.read) == 1 else -1
            if source[:1] not in ('"', "'") or at < 0 or len(fault.read) == len(source) - 2:
                return place.value
            return Span(place.value.start + at, place.value.start + at + len(fault.read))
        start = offset_in_string(source, fault.column)
        if start is None:
            return place.value
        word = _WORD.match(source[:-1], start)
        end = word.end() if word else start + 1
        if (start, end) == (1, len(source) - 1):
            return place.value  # the word is the whole value: mark its quotes too
        return Span(place.value.start + start, place.value.start + end)


def _is_silicon(device: Any) -> bool:
    """Whether a device, in its short or table form, is silicon; False where that cannot be told."""
    try:
        described = Device.model_validate(notation.device(device) if isinstance(device, str) else device)
        if described.kind is not None:
            return described.kind == "silicon"
        return isinstance(library().rectifier(described.type or ""), Diode)
    except (ValueError, UnknownPart):
        return False
