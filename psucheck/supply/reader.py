"""Reading a description: from a file to the model, or to everything that is wrong with it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path as FilePath

from psucheck.parts import in_force
from psucheck.parts.shelves import Library
from psucheck.supply.canonical import Canonical, canonical
from psucheck.supply.errors import DescriptionError, Fault, Problem, dotted, quoted
from psucheck.supply.merge import proposed
from psucheck.supply.model import Description, Supply
from psucheck.supply.own_parts import library_with
from psucheck.supply.references import references
from psucheck.supply.spelling import FileText, Spelling
from psucheck.supply.text_file import is_there, read_text
from psucheck.supply.toml_positions import Path, Positions, scan
from psucheck.supply.toml_syntax import Loaded, SyntaxFault, load
from psucheck.supply.validation import validate


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


def supply_from(made: Canonical, *, whole: bool = True) -> tuple[Supply, list[Fault]]:
    """A supply as far as it can be read from a tree in the model's words, and all that is wrong with it.

    ``whole`` is false where lines were lost with the syntax: what is missing may have stood there.
    """
    draft, faults = validate(made)
    if not whole:
        return draft.supply, [fault for fault in faults if not fault.missing]
    # Of one value one thing is said: what it refers to matters once it can be read.
    said = {fault.path for fault in (*faults, *made.faults)}
    return draft.supply, faults + [fault for fault in references(draft) if fault.path not in said]


class _Reading:
    """One reading of one text."""

    def __init__(self, text: str, name: str) -> None:
        self.loaded: Loaded = load(text)
        positions = scan(self.loaded.text) if self.loaded.tree else Positions(text)
        self.text = FileText(name, text.split("\n"), positions)
        self.faults: list[Fault] = []
        self.library: Library | None = None

    def description(self, user_parts: FilePath | None) -> Description:
        self.library = self._library(user_parts)
        with in_force(self.library):
            return self._description()

    def _library(self, user_parts: FilePath | None) -> Library | None:
        """The library with the user's own parts before it; None where there are none."""
        path = self._beside("parts")
        if path is None and user_parts is None:
            return None
        return library_with(path, user_parts, self.loaded.tree.get("parts"))

    def _beside(self, key: str) -> FilePath | None:
        """The file that a key names, from the folder of the description; a fault where there is none."""
        named = self.loaded.tree.get(key)
        if not (isinstance(named, str) and named.strip() and named.isprintable()):
            return None
        path = FilePath(self.text.name).parent / named
        if is_there(path):
            return path
        self.faults.append(Fault((key,), f"there is no {key} file {quoted(path)}", named))
        return None

    def _description(self) -> Description:
        made = canonical(self.loaded.tree, self._source)
        self.faults += made.faults
        found, faults = supply_from(made, whole=self.loaded.whole)
        self.faults += faults
        merged = self._merged(made) if "new" in made.tree else None
        new = self._proposed(made, merged, faults) if merged is not None else None
        limits = self._beside("limits")
        problems = [self._of_syntax(fault) for fault in self.loaded.faults]
        problems += [self.text.problem(fault) for fault in dict.fromkeys(self.faults)]
        if problems:
            raise DescriptionError(problems)
        if self.library is not None:
            found = found.with_library(self.library)
            new = new and new.with_library(self.library)
        if limits is not None:
            found = found.with_limits_files((limits, str(found.limits)))
        return Description(found=found, proposed=new).spelled(Spelling(self.text, made, merged))

    def _source(self, path: Path) -> str:
        place = self.text.positions.places.get(path)
        return self.text.positions.source(place.value) if place else ""

    def _merged(self, made: Canonical) -> Canonical:
        merged, faults = proposed(made)
        self.faults += faults
        return merged

    def _proposed(self, made: Canonical, merged: Canonical, known: Iterable[Fault]) -> Supply:
        supply, faults = supply_from(merged, whole=self.loaded.whole)
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
        text = self.text.lines[fault.line - 1] if fault.line else ""
        return Problem(
            self.text.name, fault.line, fault.column, fault.key, text, fault.end_column, fault.message
        )
