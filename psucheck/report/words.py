"""Words, numbers and styles that all printed outputs share."""

from __future__ import annotations

import codecs
import io
import unicodedata
from typing import TextIO

from rich.cells import cell_len
from rich.console import Console, ConsoleOptions, RenderableType, RenderResult
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from psucheck import quantity
from psucheck.checks.finding import Finding, Verdict
from psucheck.checks.judging import shown
from psucheck.report.ruled import Ruled

STYLES: dict[Verdict, str] = {
    "over": "bold red",
    "marginal": "yellow",
    "ok": "green",
    "not checked": "cyan",
    "accepted": "magenta",
}
NONE = "-"

_NUMBERS = (
    "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"
)  # fmt: skip
_PLAIN = {
    "Ω": "ohm", "²": "^2", "µ": "u", "μ": "u", "×": "x", "·": ".", "°": "deg ", "±": "+-", "…": "~",
    "–": "-", "—": "-", "−": "-", "’": "'", "‘": "'", "“": '"', "”": '"', "≤": "<=", "≥": ">=", "√": "sqrt ",
}  # fmt: skip


def _spell(error: UnicodeError) -> tuple[str, int]:
    """Write what an encoding lacks in letters that it has, or as a question mark."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    missing = error.object[error.start : error.end]
    return "".join(_PLAIN.get(letter, "?") for letter in missing), error.end


codecs.register_error("psucheck-spell", _spell)


def console(file: TextIO, *, width: int | None = None, colour: bool | None = None) -> Console:
    """A console on ``file`` for results: no markup, no automatic highlighting.

    Unless ``colour`` settles it, rich looks at ``NO_COLOR``, and whether the file is a terminal. Signs that
    the file's encoding lacks are spelt out.
    """
    if isinstance(file, io.TextIOWrapper):
        file.reconfigure(errors="psucheck-spell")
    return Console(
        file=file,
        width=width,
        force_terminal=colour,
        color_system="standard" if colour else "auto",
        no_color=None if colour is None else not colour,
        markup=False,
        emoji=False,
        highlight=False,
    )


def plain(text: str) -> str:
    """The description's own words on one line, without control or direction characters."""
    flat = " ".join(text.split())
    return "".join(letter for letter in flat if unicodedata.category(letter) not in ("Cc", "Cf", "Cs"))


def number(count: int) -> str:
    """A count in words up to twelve, in figures beyond."""
    return _NUMBERS[count] if 0 <= count < len(_NUMBERS) else str(count)


def of_these(count: int, total: int) -> str:
    """``it``, ``all of these`` or ``seven of these``."""
    if count == total:
        return "it" if total == 1 else "all of these"
    return f"{number(count)} of these"


def plural(count: int, noun: str) -> str:
    """``1 guess``, ``2 guesses``, ``3 measurements``."""
    ending = "es" if noun.endswith("s") else "s"
    return f"{count} {noun}{'' if count == 1 else ending}"


_NOTHING = {"V": 1e-4, "A": 1e-6, "W": 1e-5, "J": 1e-5, "A^2 s": 1e-9}
"""Below this a figure is nothing that a bench instrument would show."""


def amount(value: float | None, unit: str) -> str:
    """A figure with its unit, as the trade writes it; a hyphen for none, a plain 0 for next to nothing."""
    if value is None:
        return NONE
    if abs(value) < _NOTHING.get(unit, 0.0):
        return f"0 {plain(unit)}"
    return shown(value, unit) if unit in (*quantity.UNITS, "", "1") else f"{value:.3g} {plain(unit)}"


def assumed(value: float, unit: str) -> str:
    """A value of the description with its unit; its percentages are shares of one."""
    return quantity.show(value, unit) if unit in quantity.UNITS else amount(value, unit)


def duration(seconds: float | None) -> str:
    """Seconds below two minutes, minutes from there on; ``not by itself`` for None."""
    if seconds is None:
        return "not by itself"
    return quantity.show(seconds, "s") if seconds < 120 else f"{seconds / 60:.1f} min"


_ABSURD = 99_999.5
"""Volts from which a column holds few figures, and their power of ten."""


def volts(value: float | None) -> str:
    """Volts in a table that names the unit in its heading: one decimal under 100, none from there on."""
    if value is None:
        return NONE
    if abs(value) >= _ABSURD:
        return f"{value:.3g}"
    text = f"{value:.1f}" if abs(value) < 99.95 else f"{value:.0f}"
    return text.removeprefix("-") if float(text) == 0.0 else text


def spot(finding: Finding) -> str:
    """Subject, and which part of it is meant."""
    return plain(f"{finding.subject}, {finding.part}" if finding.part else finding.subject)


def place(finding: Finding) -> str:
    """Rule and subject, written as ``[accepted]`` and ``explain`` take them."""
    return plain(f"{finding.rule} {finding.subject}")


def share(part: float) -> str:
    """A share of one as a percentage, a digit after the point where it is below one per cent."""
    return f"{100 * part:.0f} %" if part >= 0.00995 or part == 0 else f"{100 * part:.1g} %"


def change(before: float | None, after: float | None) -> str:
    """By how much a figure has changed: ``+16 %``; ``0 %`` below half of one per cent; empty if unknown.

    Of a negative figure, as a bias is, the magnitude counts: ``+16 %`` is further from zero.
    """
    if before is None or after is None or not before or before * after < 0:
        return ""
    part = 100 * (abs(after) / abs(before) - 1.0)
    return f"{part:+.0f} %" if abs(part) >= 0.5 else "0 %"


def broken(finding: Finding) -> bool:
    """Whether the figure is beyond its limit, whatever the verdict made of it."""
    if finding.margin is not None:
        return finding.margin < 0
    if finding.figure is None or finding.limit is None or finding.figure == finding.limit:
        return False
    return (finding.figure < finding.limit) == finding.lower_limit


_MANIFOLD = 10.0
"""Beyond so many times its limit a figure is told by how many."""


def excess(finding: Finding, *, brief: bool = False) -> str:
    """How far from the limit: ``51 V over, 10 %``, ``3 V short, 1 %``, ``8 % inside``; empty if unknown.

    Beyond ten times it, ``760 times the limit``. ``brief`` leaves out the difference where a percentage says
    it: ``10 % over``.
    """
    if finding.figure is None or finding.limit is None:
        return ""
    distance = abs(finding.figure - finding.limit)
    part = share(abs(distance / finding.limit)) if finding.limit else None
    if not broken(finding):
        return "" if part is None else f"{part} inside"
    word = "short" if finding.lower_limit else "over"
    if finding.unit == "%":
        return f"{distance:.2g} points {word}"
    if part is None:
        return f"{_coarse(distance, finding.unit)} {word}"
    times = finding.figure / finding.limit if finding.limit else 0.0
    if times > _MANIFOLD:
        often = "over 999" if times >= 1000 else f"{float(f'{times:.2g}'):g}"
        return f"{often} times {'it' if brief else 'the limit'}"
    return f"{part} {word}" if brief else f"{_coarse(distance, finding.unit)} {word}, {part}"


def _coarse(value: float, unit: str) -> str:
    """A difference, to two digits: the third is not known."""
    return (
        quantity.show(value, unit, digits=2)
        if unit in quantity.UNITS
        else f"{value:.2g} {plain(unit)}".strip()
    )


def against(finding: Finding) -> str:
    """``551 V, limit 500 V``, ``screen 9 W, limit 8 W``; what there is of it."""
    if finding.figure is None:
        return ""
    figure = " ".join(each for each in (finding.part, amount(finding.figure, finding.unit)) if each)
    if finding.limit is None:
        return figure
    kind = "at least" if finding.lower_limit else "limit"
    return f"{figure}, {kind} {amount(finding.limit, finding.unit)}"


def verdict_text(verdict: Verdict) -> Text:
    """The verdict's word in its colour; the word alone carries the meaning."""
    return Text(verdict, style=STYLES[verdict], no_wrap=True)


def ruled(*headings: str, left: int = 1) -> Ruled:
    """An empty table; the first ``left`` columns hold words, the others numbers."""
    return Ruled(*headings, left=left)


def row(table: Table, *cells: str | RenderableType) -> None:
    """Add a row; text is taken as it stands, never as markup."""
    table.add_row(*(Text(plain(cell)) if isinstance(cell, str) else cell for cell in cells))


def indented(text: str) -> Padding:
    """Text set in by two blanks, every line of it."""
    return Padding(Text(plain(text)), (0, 0, 0, 2))


class Fitting:
    """A line of text in the longest of several wordings that fits.

    Where none fits the last one is cut to the width, or wrapped if it may not be ``cut``.
    """

    def __init__(self, *wordings: str, style: str = "", cut: bool = True) -> None:
        self.wordings = [plain(wording) for wording in wordings]
        self.style = style
        self.cut = cut

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        """Choose by the width at hand."""
        fitting = (wording for wording in self.wordings if cell_len(wording) <= options.max_width)
        chosen = next(fitting, self.wordings[-1])
        yield Text(chosen, style=self.style, no_wrap=self.cut, overflow="ellipsis" if self.cut else "fold")


def heading(text: str) -> Text:
    """The heading of a section."""
    return Text(text, style="bold")
