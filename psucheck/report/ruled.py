"""A table that never cuts a word: names of groups run across it; where it does not fit, its rows are told."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rich.box import Box
from rich.console import Console, ConsoleOptions, RenderableType, RenderResult
from rich.measure import Measurement
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

RULED = Box("    \n    \n -- \n    \n    \n    \n    \n    \n", ascii=True)
"""A rule of hyphens beneath the heading and nothing else, so that it prints in any encoding."""

_NONE = "-"
_GAP, _LINE = 2, 1
"""Blanks after a column, and the divider's own."""


class Ruled(Table):
    """A heading with a rule beneath it. A row of which only the first cell says something names a group.

    The first ``left`` columns hold words and wrap between them; the others hold numbers and do not.
    """

    def __init__(self, *headings: str, left: int = 1) -> None:
        super().__init__(
            box=RULED, show_edge=False, pad_edge=False, padding=(0, _GAP, 0, 0), header_style="bold"
        )
        for index, heading in enumerate(headings):
            if index < left:
                self.add_column(Text(heading), overflow="fold")
            else:
                self.add_column(Text(heading), justify="right", overflow="fold")

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        """As a table where that fits, else every row in words."""
        widths = self._fitting(console, options)
        if widths is None:
            yield from self._told()
            return
        part = self._like(widths, header=True)
        for cells in self._cells():
            if _names_a_group(cells):
                yield part
                yield cells[0]
                part = self._like(widths, header=False)
            else:
                part.add_row(*cells)
        if part.row_count or part.show_header:
            yield part

    def _cells(self) -> Iterator[tuple[RenderableType, ...]]:
        return zip(*(column.cells for column in self.columns), strict=True)

    def _like(self, widths: Sequence[int], *, header: bool) -> Table:
        part = Table(
            box=self.box if header else None,
            show_header=header,
            show_edge=False,
            pad_edge=False,
            padding=(0, _GAP if header else _GAP + _LINE, 0, 0),
            header_style="bold",
        )
        for column, width in zip(self.columns, widths, strict=True):
            part.add_column(column.header, justify=column.justify, overflow="fold", width=width)
        return part

    def _fitting(self, console: Console, options: ConsoleOptions) -> list[int] | None:
        """The columns' widths; None where some word, or number, would have to be cut."""
        rows = [cells for cells in self._cells() if not _names_a_group(cells)]
        least, most = [], []
        for index, column in enumerate(self.columns):
            cells = [Measurement.get(console, options, cells[index]) for cells in rows]
            heading = Measurement.get(console, options, column.header)
            whole = column.justify == "right" or column.no_wrap
            least.append(max([heading.minimum, *(c.maximum if whole else c.minimum for c in cells)]))
            most.append(max([heading.maximum, *(cell.maximum for cell in cells)]))
        room = options.max_width - (_GAP + _LINE) * (len(self.columns) - 1)
        if sum(least) > room:
            return None
        return _shared(least, most, room)

    def _told(self) -> Iterator[RenderableType]:
        """Each row as a sentence: the first cell, then every other behind its heading."""
        headings = [_text(column.header) for column in self.columns]
        for cells in self._cells():
            yield cells[0]
            said = [
                " ".join(part for part in (heading, _text(cell)) if part)
                for heading, cell in zip(headings[1:], cells[1:], strict=True)
                if _text(cell) not in ("", _NONE)
            ]
            if said:
                yield Padding(Text("; ".join(said)), (0, 0, 0, 4))


def _names_a_group(cells: Sequence[RenderableType]) -> bool:
    return len(cells) > 1 and not any(_text(cell) for cell in cells[1:])


def _text(cell: RenderableType) -> str:
    if isinstance(cell, Padding):
        return _text(cell.renderable)
    return cell.plain if isinstance(cell, Text) else str(cell)


def _shared(least: Sequence[int], most: Sequence[int], room: int) -> list[int]:
    """Widths between the least and the most that each column can use, what is left shared by need."""
    widths, left = list(least), room - sum(least)
    wanting = sum(most) - sum(least)
    if wanting <= left:
        return list(most)
    for index, (low, high) in enumerate(zip(least, most, strict=True)):
        widths[index] += left * (high - low) // wanting
    return widths
