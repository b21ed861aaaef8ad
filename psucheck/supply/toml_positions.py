"""Where each key and value of a TOML text stands.

:mod:`tomllib` gives the values and no places. This scanner gives the places and no values: it walks a text
that :mod:`tomllib` has accepted and notes, for each dotted path of the tree, the stretch of text that holds
its key and the stretch that holds its value. Since the text is known to be sound, the scanner looks only for
where things end and judges nothing.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from dataclasses import dataclass, field

Path = tuple[str | int, ...]
"""Path of a value: keys by name, items of an array by their index."""

_BARE = re.compile(r"[A-Za-z0-9_-]+")
_BLANK = re.compile(r"[ \t]*")
_VOID = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_SCALAR = re.compile(r"[^,\]}#\n]*")
_BASIC = re.compile(r'"(?:[^"\\\n]|\\.)*"')
_LITERAL = re.compile(r"'[^'\n]*'")
_LONG_BASIC = re.compile(r'"""(?:[^"\\]|\\.|"(?!""))*"{3,5}', re.DOTALL)
_LONG_LITERAL = re.compile(r"'''(?:[^']|'(?!''))*'{3,5}", re.DOTALL)
_ESCAPE = re.compile(r"\\(?:u[0-9A-Fa-f]{4}|U[0-9A-Fa-f]{8}|x[0-9A-Fa-f]{2}|.)")
_ESCAPED = {"b": "\b", "t": "\t", "n": "\n", "f": "\f", "r": "\r", '"': '"', "\\": "\\", "e": "\x1b"}


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of the text: offsets of its first character and of the one after its last."""

    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Place:
    """Where a key and its value stand. An item of an array has no key: both are the item."""

    key: Span
    value: Span


@dataclass(slots=True)
class Positions:
    """The places of all paths of one text."""

    text: str
    places: dict[Path, Place] = field(default_factory=dict)

    def line_column(self, offset: int) -> tuple[int, int]:
        """Line and column, both counted from 1, of an offset into the text."""
        starts = [0, *(match.end() for match in re.finditer("\n", self.text))]
        line = bisect_right(starts, offset)
        return line, offset - starts[line - 1] + 1

    def source(self, span: Span) -> str:
        """The text of a span as it stands in the file."""
        return self.text[span.start : span.end]

    def deepest(self, path: Path) -> Path:
        """The longest beginning of a path that stands in the text; ``()`` when none does."""
        while path and path not in self.places:
            path = path[:-1]
        return path


def scan(text: str) -> Positions:
    r"""Find the places of all keys and values.

    Parameters
    ----------
    text
        A text that :func:`tomllib.loads` accepts, with line ends ``\n``.
    """
    return _Scanner(text).document()


class _Scanner:
    """One walk through a text."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.found = Positions(text)
        self.tables_so_far: dict[Path, int] = {}
        """Of each array of tables, how many of its tables have been met."""

    def document(self) -> Positions:
        table: Path = ()
        while True:
            self._skip(_VOID)
            if self.at >= len(self.text):
                return self.found
            table = self._header() if self.text[self.at] == "[" else self._statement(table)

    def _skip(self, pattern: re.Pattern[str]) -> Span:
        match = pattern.match(self.text, self.at)
        start = self.at
        # A text that tomllib accepted always matches; one step keeps any other from looping for ever.
        self.at = match.end() if match else self.at + 1
        return Span(start, self.at)

    def _header(self) -> Path:
        """Read ``[a.b]`` or ``[[a.b]]``; the path of the table that it opens."""
        start = self.at
        array = self.text.startswith("[[", self.at)
        self.at += 2 if array else 1
        parts = self._key()
        self.at += 2 if array else 1
        whole = Span(start, self.at)
        path: Path = ()
        for name, span in parts:
            path = self._latest((*path, name))
            if path not in self.found.places and (name, span) != parts[-1]:
                self.found.places[path] = Place(span, whole)
        if array:
            path = self._next_table(path, Place(parts[-1][1], whole))
        self.found.places[path] = Place(parts[-1][1], whole)
        return path

    def _latest(self, path: Path) -> Path:
        """A path with the index of the table last met, if it names an array of tables."""
        count = self.tables_so_far.get(path)
        return path if count is None else (*path, count - 1)

    def _next_table(self, path: Path, place: Place) -> Path:
        if path and isinstance(path[-1], int):
            path = path[:-1]
        self.found.places.setdefault(path, place)
        count = self.tables_so_far.get(path, 0)
        self.tables_so_far[path] = count + 1
        return (*path, count)

    def _statement(self, table: Path) -> Path:
        """Read ``key = value`` inside a table; the table's own path comes back."""
        path = table
        parts = self._key()
        self._skip(_BLANK)
        self.at += 1  # the equals sign
        self._skip(_BLANK)
        for name, span in parts[:-1]:
            path = (*path, name)
            self.found.places.setdefault(path, Place(span, span))
        name, span = parts[-1]
        self._value((*path, name), span)
        return table

    def _key(self) -> list[tuple[str, Span]]:
        """Read a dotted key: each part with its span."""
        parts: list[tuple[str, Span]] = []
        while True:
            self._skip(_BLANK)
            sign = self.text[self.at : self.at + 1]
            span = self._skip({'"': _BASIC, "'": _LITERAL}.get(sign, _BARE))
            source = self.found.source(span)
            parts.append((_unquoted(source) if sign and sign in "\"'" else source, span))
            self._skip(_BLANK)
            if self.text[self.at : self.at + 1] != ".":
                return parts
            self.at += 1

    def _value(self, path: Path, key: Span | None) -> None:
        start = self.at
        sign = self.text[start : start + 1]
        if sign == "[":
            self._array(path)
        elif sign == "{":
            self._inline_table(path)
        elif self.text.startswith('"""', start):
            self._skip(_LONG_BASIC)
        elif self.text.startswith("'''", start):
            self._skip(_LONG_LITERAL)
        elif sign and sign in "\"'":
            self._skip(_BASIC if sign == '"' else _LITERAL)
        else:
            self._skip(_SCALAR)
            self.at = start + len(self.text[start : self.at].rstrip())
        value = Span(start, self.at)
        self.found.places[path] = Place(key or value, value)

    def _array(self, path: Path) -> None:
        self.at += 1
        index = 0
        while True:
            self._skip(_VOID)
            if self._closed("]"):
                return
            self._value((*path, index), None)
            index += 1
            self._skip(_VOID)
            if self.text[self.at : self.at + 1] == ",":
                self.at += 1

    def _inline_table(self, path: Path) -> None:
        self.at += 1
        while True:
            self._skip(_VOID)
            if self._closed("}"):
                return
            self._statement(path)
            self._skip(_VOID)
            if self.text[self.at : self.at + 1] == ",":
                self.at += 1

    def _closed(self, sign: str) -> bool:
        if self.at >= len(self.text):
            return True
        if self.text[self.at] != sign:
            return False
        self.at += 1
        return True


def _unescape(match: re.Match[str]) -> str:
    escape = match.group()
    if escape[1] in "uUx" and len(escape) > 2:
        return chr(int(escape[2:], 16))
    return _ESCAPED.get(escape[1], escape)


def _unquoted(source: str) -> str:
    """The text of a one-line string as it stands in the file, quotes included."""
    inner = source[1:-1]
    return inner if source.startswith("'") else _ESCAPE.sub(_unescape, inner)


def offset_in_string(source: str, index: int) -> int | None:
    """Where a character of a one-line string stands within its source.

    Parameters
    ----------
    source
        The string as it stands in the file, quotes included.
    index
        Index of the character in the string's value.

    Returns
    -------
    int | None
        Offset within ``source``; ``None`` for a string of several lines or no string at all.
    """
    if source[:3] in ('"""', "'''") or source[:1] not in ('"', "'"):
        return None
    if source.startswith("'"):
        return index + 1
    at = 1
    for _ in range(index):
        escape = _ESCAPE.match(source, at)
        at = escape.end() if escape else at + 1
    return at
