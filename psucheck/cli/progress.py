"""What commands of many jobs have in common: where they run, and how far they are."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from psucheck.studies.many import Workers


class BadJobs(ValueError):
    """A number of worker processes that there cannot be."""


def workers_of(jobs: int | None, cluster: str | None) -> Workers:
    """The workers that ``--jobs`` and ``--cluster`` ask for.

    Raises
    ------
    BadJobs
        For a number of processes that there cannot be, or if both are given.
    """
    from psucheck.studies.many import Workers

    if jobs is not None and cluster is not None:
        raise BadJobs("--jobs is for this machine's workers; with --cluster the cluster has its own")
    if jobs is not None and not 1 <= jobs <= 1024:
        raise BadJobs(f"--jobs {jobs}: give 1 or more worker processes, 1024 at most")
    return Workers(jobs, cluster)


@contextmanager
def progress(noun: str, total: int) -> Iterator[Callable[[int], None]]:
    """A bar on a terminal's error stream, gone at the end; yields what tells it how many jobs are done."""
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    console = Console(file=sys.stderr)
    with Progress(*columns, console=console, transient=True, disable=not console.is_terminal) as shown:
        bar = shown.add_task(noun, total=total)
        yield lambda done: shown.update(bar, completed=done)


@contextmanager
def telling(what: str) -> Iterator[Callable[[str], None]]:
    """Show ``what`` and, after a colon, whatever the function is told that is handed out; gone at the end."""
    from rich.console import Console
    from rich.markup import escape

    console = Console(file=sys.stderr)
    if not console.is_terminal:
        yield lambda _: None
        return
    with console.status(escape(what)) as status:
        count = 0

        def told(step: str) -> None:
            nonlocal count
            count += 1
            room = max(console.width - len(what) - 12, 20)
            shown = step if len(step) <= room else f"{step[: room - 3]}..."
            status.update(escape(f"{what}, {count}: {shown}"))

        yield told
