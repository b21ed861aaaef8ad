"""What is wrong with a description: where it stands, what was read, what is allowed, what was meant."""

from __future__ import annotations

import difflib
import re
import textwrap
from collections.abc import Iterable
from dataclasses import dataclass

from psucheck.supply.toml_positions import Path

_PLAIN = re.compile(r"[A-Za-z0-9_-]+")


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong, by its path in the file; :class:`Problem` has its place in the text.

    Attributes
    ----------
    path
        Path of the key in the file, as the file spells it.
    message
        What is wrong, in the words of the trade.
    read
        What was read.
    allowed
        What may stand there.
    nearest
        The allowed word that is most like what was read.
    column
        Index in the string at ``path`` of the offending word; the whole value is meant if ``None``.
    at_key
        The key itself is wrong, not its value.
    missing
        Name of a key that the table at ``path`` lacks.
    about
        Section in which something was looked for, where that is another than the path's own.
    """

    path: Path
    message: str
    read: str = ""
    allowed: str = ""
    nearest: str = ""
    column: int | None = None
    at_key: bool = False
    missing: str = ""
    about: str = ""


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong with a description file.

    Attributes
    ----------
    file
        Name of the file as it was given.
    line, column
        Where it stands, both counted from 1. Line 0 means the file as a whole.
    key
        Dotted path of the key.
    text
        The line itself.
    end_column
        Column after the last character that is meant; the caret marks ``column`` up to here.
    message
        What is wrong, in the words of the trade.
    read, allowed, nearest
        What was read, what may stand there, and the allowed word most like it; empty if nothing fits.
    """

    file: str
    line: int
    column: int
    key: str
    text: str
    end_column: int
    message: str
    read: str = ""
    allowed: str = ""
    nearest: str = ""

    def sentence(self) -> str:
        """The message with the nearest match and what is allowed, in one line."""
        said = self.message
        if self.nearest:
            said += f'; did you mean "{self.nearest}"?'
        if self.allowed:
            said += f" Allowed: {self.allowed}" if self.nearest else f"; allowed: {self.allowed}"
        return said

    def render(self, width: int = 80) -> str:
        """The problem as a person reads it: where, the line with a caret under the fault, what is wrong.

        Parameters
        ----------
        width
            Columns to fill at most; lines from the file are cut to it around the fault.
        """
        where = [self.file, f"line {self.line}" if self.line else "", self.key]
        lines = [", ".join(part for part in where if part)]
        if self.text.strip():
            lines += [f"    {part}" for part in self._marked(max(width - 4, 20))]
        lines += textwrap.wrap(
            self.sentence(),
            max(width, 24),
            initial_indent="  ",
            subsequent_indent="  ",
            break_on_hyphens=False,
        )
        return "\n".join(lines)

    def _marked(self, width: int) -> tuple[str, str]:
        """The line and its caret, cut to ``width`` columns."""
        shown = "".join(sign if sign.isprintable() else " " for sign in self.text)
        first = len(shown) - len(shown.lstrip())
        start = max(self.column - 1, first)
        end = min(max(self.end_column - 1, start + 1), len(shown) + 1)
        if len(shown) - first > width:
            first = min(max(start - width // 3, first), max(len(shown) - width, first))
            shown = shown[: first + width]
            end = min(end, first + width)
        return shown[first:].rstrip(), " " * (start - first) + "^" * max(end - start, 1)


class DescriptionError(Exception):
    """A description that cannot be used, with everything that is wrong with it.

    Attributes
    ----------
    problems : list[Problem]
        All problems, in the order of the file.
    """

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = sorted(problems, key=lambda problem: (problem.line, problem.column))
        super().__init__(self.problems)

    def __str__(self) -> str:
        return self.render()

    def render(self, width: int = 80) -> str:
        """All problems, a blank line between them."""
        return "\n\n".join(problem.render(width) for problem in self.problems)


def dotted(path: Path) -> str:
    """A path as TOML writes it: ``windings."rectifier heater"``, ``filter.bias.range[0]``."""
    said = ""
    for part in path:
        if isinstance(part, int):
            said += f"[{part}]"
        else:
            shown = "".join(sign if sign.isprintable() else "?" for sign in part[:60])
            said += f".{shown}" if _PLAIN.fullmatch(part) else f'."{shown}"'
    return said.removeprefix(".")


def nearest(word: str, allowed: Iterable[str]) -> str:
    """The allowed word most like ``word``, or an empty string if none is like it."""
    by_fold = {candidate.casefold(): candidate for candidate in allowed}
    found = difflib.get_close_matches(word.casefold()[:80], list(by_fold), n=1, cutoff=0.6)
    return by_fold[found[0]] if found else ""


def listed(words: Iterable[str]) -> str:
    """Words as a list for a message: ``"a", "b" or "c"``."""
    quoted = [f'"{word}"' for word in words]
    if len(quoted) < 2:
        return "".join(quoted)
    return ", ".join(quoted[:-1]) + f" or {quoted[-1]}"


def quoted(text: object, limit: int = 60) -> str:
    """What was read, in quotes, cut to ``limit`` characters, signs that cannot be printed replaced."""
    shown = "".join(sign if sign.isprintable() else "?" for sign in str(text))
    return f'"{shown}"' if len(shown) <= limit else f'"{shown[: limit - 3]}..."'
