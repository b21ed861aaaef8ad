"""Reading a description: from a file to the model, or to everything that is wrong with it."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path as FilePath
from typing import Any

from psucheck.parts import UnknownPart, in_force, library
from psucheck.parts.rectifiers import Diode
from psucheck.parts.shelves import Library
from psucheck.supply import notation
from psucheck.supply.canonical import Canonical, canonical
from psucheck.supply.errors import DescriptionError, Fault, Problem, dotted, quoted
from psucheck.supply.merge import proposed
from psucheck.supply.model import Description, Device, Supply
from psucheck.supply.own_parts import library_with
from psucheck.supply.references import references
from psucheck.supply.text_file import is_there, read_text
from psucheck.supply.toml_positions import Path, Positions, Span, offset_in_string, scan
from psucheck.supply.toml_syntax import Loaded, SyntaxFault, load
from psucheck.supply.validation import validate

_WORD = re.compile(r"[^\s,]+")


def read_description(path: FilePath, user_parts: FilePath | None = None) -> Description:
    """Read a description file.

    Parameters
    ----------
    path
        The file.
    user_parts
        A parts file of the user's own that holds for every description.

    Raises
    ------
    DescriptionError
        If it cannot be read, with everything that is wrong with it.
    """
    return parse_description(read_text(path), str(path), user_parts)


def parse_description(text: str, name: str, user_parts: FilePath | None = None) -> Description:
    """Read the text of a description.

    Parameters
    ----------
    text
        TOML text.
    name
        Name of the file, for messages; a parts file that it names is looked for beside it.
    user_parts
        A parts file of the user's own that holds for every description.

    Raises
    ------
    DescriptionError
        With everything that is wrong, in the order of the file.
    """
    text = text.replace("\r\n", "\n")
    if not text.strip():
        raise DescriptionError([Problem(name, 0, 1, "", "", 1, "the file is empty")])
    return _Reading(text, name).description(user_parts)


class _Reading:
    """One reading of one text."""

    def __init__(self, text: str, name: str) -> None:
        self.name = name
        self.lines = text.split("\n")
        self.loaded: Loaded = load(text)
        self.positions: Positions = scan(self.loaded.text) if self.loaded.tree else Positions(text)
        self.faults: list[Fault] = []
        self.library: Library | None = None

    def description(self, user_parts: FilePath | None) -> Description:
        self.library = self._library(user_parts)
        with in_force(self.library):
            return self._description()

    def _library(self, user_parts: FilePath | None) -> Library | None:
        """The library with the user's own parts before it; None where there are none."""
        named = self.loaded.tree.get("parts")
        path = None
        if isinstance(named, str) and named.strip() and named.isprintable():
            path = FilePath(self.name).parent / named
            if not is_there(path):
                self.faults.append(Fault(("parts",), f"there is no parts file {quoted(path)}", named))
                path = None
        if path is None and user_parts is None:
            return None
        return library_with(path, user_parts, named)

    def _description(self) -> Description:
        made = canonical(self.loaded.tree, self._source)
        self.faults += made.faults
        found, faults = self._supply(made)
        self.faults += faults
        new = self._proposed(made, faults) if "new" in made.tree else None
        problems = [self._of_syntax(fault) for fault in self.loaded.faults]
        problems += [self._problem(fault) for fault in dict.fromkeys(self.faults)]
        if problems:
            raise DescriptionError(problems)
        if self.library is not None:
            found = found.with_library(self.library)
            new = new and new.with_library(self.library)
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
