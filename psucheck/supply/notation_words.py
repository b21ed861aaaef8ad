"""Reading a short form word by word: the cursor that the short forms of :mod:`.notation` share."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator
from typing import Any, NoReturn

from psucheck import quantity
from psucheck.quantity import QuantityError

Table = dict[str, Any]
"""The table form of a part, as the model reads it."""

NUMBER = r"(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)"
_ITEM = rf"{NUMBER}(?:\s*[A-Za-zΩ]+[0-9]*)?"
_SUM = rf"{_ITEM}(?:\s*\+\s*{_ITEM})+"
_MOST_WORDS = 3  # in one quantity: "10 A^2 s", "47 k ohm", "240 V RMS"

# Words that stand between quantities and so are never a unit, even behind a number that lacks one.
_JOINTS = {"at", "in", "with", "each", "off", "together", "and", "x"}


class NotationError(QuantityError):
    """A short form that cannot be read; text, reason, allowed form and column as in its base class."""


class Words:
    """A cursor over one short form, or over one part of it between commas.

    Columns in its errors count from the start of the whole text, so that a caret can point at the word.

    Parameters
    ----------
    text
        The whole short form.
    allowed
        An example of the form, for messages.
    start, end
        The part to read, when it is not the whole.
    """

    def __init__(self, text: str, allowed: str, start: int = 0, end: int | None = None) -> None:
        self.text = text
        self.allowed = allowed
        self._tidy = quantity.tidy(text)[: len(text) if end is None else end].rstrip()
        self._at = start
        self._skip_blanks()
        if self.done:
            self.fail("nothing is written here")

    def _skip_blanks(self) -> None:
        while self._at < len(self._tidy) and self._tidy[self._at] == " ":
            self._at += 1

    @property
    def done(self) -> bool:
        """Whether everything has been read."""
        return self._at >= len(self._tidy)

    @property
    def column(self) -> int:
        """Where the next word begins."""
        return self._at

    @property
    def word(self) -> str:
        """The next word, or nothing at the end."""
        return self._tidy[self._at :].split(" ", 1)[0]

    def fail(self, reason: str, column: int | None = None) -> NoReturn:
        """Refuse the text, pointing at the next word unless a column is given."""
        raise NotationError(self.text, reason, self.allowed, self._at if column is None else column)

    def match(self, pattern: str) -> re.Match[str] | None:
        """Read a pattern, upper and lower case alike."""
        found = re.compile(pattern, re.IGNORECASE).match(self._tidy, self._at)
        if found:
            self._at = found.end()
            self._skip_blanks()
        return found

    def peek(self, pattern: str) -> bool:
        """Whether the next words match a pattern, in upper and lower case as written."""
        return re.compile(pattern).match(self._tidy, self._at) is not None

    def take(self, *phrases: str) -> str | None:
        """Read one of the phrases and return it as it was offered; None if none of them stands here."""
        for phrase in phrases:
            if self.match(r"\s+".join(map(re.escape, phrase.split())) + r"(?=\s|$)"):
                return phrase
        return None

    def rest(self) -> str:
        """Everything that is left."""
        left, self._at = self._tidy[self._at :], len(self._tidy)
        return left

    def unknown(self, *words: str) -> NoReturn:
        """Refuse the next word, naming the nearest of the words that could stand here."""
        near = difflib.get_close_matches(self.word.lower(), words, 1, 0.7)
        hint = f"; did you mean {near[0]!r}?" if near else ""
        self.fail(f"{self.word!r} is not understood here{hint}")

    def quantity(self, *units: str, **bounds: bool) -> tuple[str, float]:
        """Read a quantity in one of the units; return that unit and the SI value.

        ``bounds`` are the keywords of :func:`psucheck.quantity.read`.
        """
        unit, end = self._longest(*units) or (units[0], 0)
        if not end:
            self._refuse_quantity(units)
        column, part = self._at, self.text[self._at : end]
        self._at = end
        self._skip_blanks()
        return unit, self.read(part, unit, column, **bounds)

    def maybe(self, *units: str) -> tuple[str, float] | None:
        """Read a quantity if one in these units stands here."""
        return self.quantity(*units) if self._longest(*units) else None

    def mentions(self, unit: str) -> bool:
        """Whether a quantity in this unit stands anywhere in what is left."""
        starts = [m.start() for m in re.compile(r"(?<![^\s+])\S").finditer(self._tidy, self._at)]
        ends = [m.end() for m in re.compile(r"\S+").finditer(self._tidy, self._at)]
        runs = ((a, b) for a in starts for b in [end for end in ends if end > a][:_MOST_WORDS])
        return any(quantity.is_quantity(self._tidy[a:b], unit) for a, b in runs)

    def read(self, part: str, unit: str, column: int, **bounds: bool) -> float:
        """Read a quantity that is a part of the text; errors point into the whole."""
        try:
            return quantity.read(part, unit, **bounds)
        except QuantityError as error:
            raise NotationError(self.text, error.reason, error.allowed, column + error.column) from None

    def sum(self, unit: str) -> list[float] | None:
        """Read quantities joined by plus signs, ``33 + 35 ohm``; None if there is no plus sign here.

        A bare number has the unit of the last one.
        """
        column = self._at
        found = self.match(_SUM)
        if not found:
            return None
        parts = list(re.finditer(r"[^+]+", found[0]))
        last = re.sub(rf"^\s*{NUMBER}\s*", "", parts[-1][0])
        bare = rf"\s*{NUMBER}\s*"
        return [
            self.read(part[0] + (last if re.fullmatch(bare, part[0]) else ""), unit, column + part.start())
            for part in parts
        ]

    def count(self) -> int:
        """Read ``2 x`` if it stands here; 1 otherwise."""
        column = self._at
        found = self.match(r"([0-9]{1,3})\s*x\s*(?=\S)")
        number = int(found[1]) if found else 1
        if not number:
            self.fail("at least one is wanted", column)
        return number

    def _ends(self) -> list[int]:
        """Ends of the next one, two and three words."""
        return [m.end() for m in re.compile(r"\S+").finditer(self._tidy, self._at)][:_MOST_WORDS]

    def _longest(self, *units: str) -> tuple[str, int] | None:
        """The longest run of words that is a quantity in one of the units, and where it ends."""
        for end in reversed(self._ends()):
            for unit in units:
                if quantity.is_quantity(self._tidy[self._at : end], unit):
                    return unit, end
        return None

    def _refuse_quantity(self, units: tuple[str, ...]) -> NoReturn:
        wanted = " or ".join(quantity.UNITS[unit].what for unit in units)
        if self.done:
            self.fail(f"{wanted} is missing")
        if not re.match(r"[-+]?[.0-9]", self.word):
            self.fail(f"{wanted} is wanted here, not {self.word!r}")
        ends = self._ends()
        bare = re.fullmatch(rf"[-+]?{NUMBER}", self.word)
        following = self._tidy[ends[0] : ends[1]].strip() if len(ends) > 1 else ""
        joins = following[:1].isalpha() and following.lower() not in _JOINTS
        end = ends[1] if bare and joins else ends[0]
        part = self.text[self._at : end]
        for unit in units:
            if quantity.is_doubtful(part, unit):
                self.read(part, unit, self._at)
        if len(units) > 1 and bare and not joins:
            usual = " or ".join(quantity.UNITS[unit].usual for unit in units)
            self.fail(f"{part} needs a unit: {usual}")
        if len(units) > 1 and any(quantity.is_quantity(part, unit) for unit in quantity.UNITS):
            self.fail(f"{wanted} is wanted here, not {part}")
        self.read(part, units[0], self._at)
        self.fail(f"{part!r} is not understood here")


def clauses(text: str, allowed: str) -> Iterator[Words]:
    """The parts between commas, each with its cursor.

    A comma between two digits is refused: it may be a decimal comma as well.
    """
    if found := re.search(r"[0-9],[0-9]", text):
        raise NotationError(
            text,
            "a comma between two digits: write a decimal point, or a blank after a comma that divides parts",
            allowed,
            found.start() + 1,
        )
    at = 0
    for part in text.split(","):
        yield Words(text, allowed, at, at + len(part))
        at += len(part) + 1


def put(found: Table, key: str, value: object, words: Words, column: int) -> None:
    """Note a value under its key; the same one given twice is refused."""
    if key in found:
        words.fail(f"{key.replace('_', ' ')} is given twice", column)
    found[key] = value
