"""Reading TOML text, with every fault of its syntax at once and in the words of the trade.

:func:`tomllib.loads` stops at the first fault. Here the line at fault is mended where it is plain what was
meant (a value without quotes), else taken out, and the rest is read on.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass, field
from typing import Any

_PLACE = re.compile(r"\s*\((?:at line (\d+), column (\d+)|at end of document)\)$")
_UNQUOTED = re.compile(r"^(\s*[^=#\n]+?\s*=\s*)([^\s\"'\[{#][^#\"'\n]*?)(\s*(?:#.*)?)$")
_HEADER = re.compile(r"^\s*\[")
_TABLE = re.compile(r"^\s*\[+([^\[\]\n]+)\]")
_KEY = re.compile(r"^\s*([^=\n]+?)\s*=")
_MOST = 40
_OPEN = ("Unterminated string", "Unclosed array", "Unclosed inline table")
_DROPPED = "unreadable table "

_SAID = (
    ("Cannot overwrite a value", "{key} stands twice in this table: keep one of them"),
    ("Cannot mutate immutable", "{key} stands twice, or adds to a table that is closed already"),
    ("Duplicate inline table key", "a key stands twice between these braces: keep one of them"),
    ("Cannot declare", "the table {line} stands twice: put its keys together under one of them"),
    ("Cannot redefine", "the table {line} stands twice: put its keys together under one of them"),
    ("Expected '=' after a key", 'a line is KEY = "VALUE": no equals sign found after the key'),
    ("Expected ']' at the end of a table", "the table's name has no closing bracket: [NAME]"),
    ("Invalid initial character for a key part", "a key begins with a letter or digit, or stands in quotes"),
    ("Illegal character '\\n'", "the quotes are not closed on this line"),
    ("Unterminated string", "quotes that were opened on this line or above it are not closed"),
    ("Expected newline", "one key and its value a line: something more stands behind the value"),
    ("Unescaped '\\' in a string", r"a backslash is written \\ here, or put the text in single quotes"),
    ("Unclosed array", "a list above has no closing bracket, or a comma is missing in it"),
    ("Unclosed inline table", "braces above are not closed, or a comma is missing between them"),
    ("Invalid statement", 'this is no line of a description: KEY = "VALUE", or [TABLE]'),
    ("Invalid value", 'a value is wanted after the equals sign, in quotes: KEY = "VALUE"'),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class SyntaxFault:
    """A fault of syntax: line and columns from 1, the end column behind it, the key, what is wrong."""

    line: int
    column: int
    end_column: int
    key: str
    message: str


@dataclass(slots=True)
class Loaded:
    """What could be read.

    Attributes
    ----------
    tree
        The tree, without what could not be read.
    text
        The text that this tree stands for; its lines are those of the file but for those mended or taken out.
    faults
        What was wrong.
    whole
        Whether all keys are there, so that one may ask for what is missing.
    """

    tree: dict[str, Any] = field(default_factory=dict)
    text: str = ""
    faults: list[SyntaxFault] = field(default_factory=list)
    whole: bool = True


def load(text: str) -> Loaded:
    r"""Read TOML text with line ends ``\n``; all faults of syntax come back in the result."""
    loaded = Loaded(text=text)
    lines = text.split("\n")
    while True:
        loaded.text = "\n".join(lines)
        try:
            loaded.tree = tomllib.loads(loaded.text)
        except tomllib.TOMLDecodeError as error:
            line, column = _place(str(error), lines)
            if len(loaded.faults) >= _MOST or any(fault.line == line for fault in loaded.faults):
                loaded.faults = loaded.faults or [_fault(str(error), lines, line, column)]
                loaded.whole = False
                return loaded
            loaded.faults.append(_fault(str(error), lines, line, column))
            if str(error).startswith(_OPEN):
                # What stands open began somewhere above, and taking this line out would not close it.
                loaded.whole = False
                return loaded
            loaded.whole &= _mend(lines, line, column)
        except (
            ValueError,
            RecursionError,
        ):  # a number of thousands of digits, or brackets nested by hundreds
            loaded.faults.append(
                SyntaxFault(0, 1, 1, "", "this is no description: a number or a nest of brackets without end")
            )
            loaded.whole = False
            return loaded
        else:
            loaded.tree = {key: value for key, value in loaded.tree.items() if not key.startswith(_DROPPED)}
            return loaded


def _place(said: str, lines: list[str]) -> tuple[int, int]:
    found = _PLACE.search(said)
    if found and found[1]:
        return min(int(found[1]), len(lines)), int(found[2])
    last = max((i for i, line in enumerate(lines, 1) if line.strip()), default=1)
    return last, len(lines[last - 1]) + 1


def _fault(said: str, lines: list[str], line: int, column: int) -> SyntaxFault:
    shown = lines[line - 1]
    key = _KEY.match(shown)
    name = key[1] if key and not _HEADER.match(shown) else ""
    path = f"{_table(lines, line)}{name}" if name else ""
    unquoted = _unquoted(shown, column)
    if unquoted:
        value = unquoted[2].strip()
        start = unquoted.start(2) + 1
        return SyntaxFault(
            line, start, start + len(value), path, f'a value stands in quotes: {name} = "{value}"'
        )
    message = next((ours for theirs, ours in _SAID if said.startswith(theirs)), "")
    if not message:
        message = "this cannot be read: " + _PLACE.sub("", said)
    message = message.format(key=name or "a key", line=shown.split("#")[0].strip())
    if "twice" in message:
        first = len(shown) - len(shown.lstrip()) + 1
        return SyntaxFault(line, first, first + len(name or shown.strip()), path, message)
    return SyntaxFault(line, column, column + 1, path, message)


def _table(lines: list[str], line: int) -> str:
    """Dotted path of the table that a line stands in, with a dot behind it."""
    for above in reversed(lines[: line - 1]):
        header = _TABLE.match(above)
        if header:
            return f"{header[1].strip()}."
    return ""


def _unquoted(line: str, column: int) -> re.Match[str] | None:
    """The parts of a line whose value lacks its quotes, if that is what is wrong with it."""
    found = _UNQUOTED.match(line)
    if not found or column <= len(found[1].rstrip()):
        return None
    try:
        tomllib.loads(f'{found[1]}"x"')
        tomllib.loads(f"x = {found[2]}")
    except tomllib.TOMLDecodeError as error:
        return None if str(error).startswith("Expected '='") else found
    return None  # the value is sound, so something else is wrong


def _mend(lines: list[str], line: int, column: int) -> bool:
    """Mend a line or take it out; whether nothing was lost by it."""
    shown = lines[line - 1]
    unquoted = _unquoted(shown, column)
    if unquoted and "\\" not in unquoted[2]:
        lines[line - 1] = f'{unquoted[1]}"{unquoted[2].strip()}"'
        return True
    # A table that cannot be read keeps its lines to itself, or they would fall to the table before it.
    lines[line - 1] = f'["{_DROPPED}{line}"]' if _HEADER.match(shown) else ""
    return False
