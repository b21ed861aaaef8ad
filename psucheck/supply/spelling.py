"""How a description is spelled: its text, and the trees that were read from it.

What is told of a fault, and changing a description without reading its file again, need more than the model.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from psucheck.supply.canonical import Canonical
from psucheck.supply.errors import Fault, Problem, dotted
from psucheck.supply.toml_positions import Path, Positions, Span, offset_in_string

_WORD = re.compile(r"[^\s,]+")


@dataclass(frozen=True, slots=True)
class FileText:
    """The text of a description.

    Attributes
    ----------
    name
        Name of the file, for messages.
    lines
        Its lines, as they stand there.
    positions
        Where each key and value stands in it.
    """

    name: str
    lines: list[str]
    positions: Positions

    def problem(self, fault: Fault) -> Problem:
        """A fault with its place in the text; line 0 if nothing of its path stands there."""
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


@dataclass(frozen=True, slots=True)
class Spelling:
    """What a description was read from. Descriptions that say the same are equal however they are spelled.

    Attributes
    ----------
    text
        The file's text.
    found, proposed
        The trees of the supply as found, and as proposed, in the model's words. They are not changed.
    """

    text: FileText = field(compare=False)
    found: Canonical = field(compare=False)
    proposed: Canonical | None = field(compare=False)
