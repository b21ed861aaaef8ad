"""Fixed-width rendering for the tests of the printed outputs."""

from __future__ import annotations

import io

from rich.console import RenderableType

from psucheck.report import words


def text(shown: RenderableType, width: int) -> str:
    """As a pipe of ``width`` columns gets it; blanks at the ends of lines are left out."""
    file = io.StringIO()
    words.console(file, width=width, colour=False).print(shown)
    return "\n".join(line.rstrip() for line in file.getvalue().splitlines())


def coloured(shown: RenderableType, width: int) -> str:
    """As a colour terminal of ``width`` columns gets it."""
    console = words.console(io.StringIO(), width=width, colour=True)
    with console.capture() as capture:
        console.print(shown)
    return "\n".join(line.rstrip() for line in capture.get().splitlines())
