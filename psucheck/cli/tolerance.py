"""``psucheck tolerance``."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Literal

from psucheck.cli.status import STOPPED, UNUSABLE, in_words

Mains = Literal["range", "nominal", "low", "high", "wall"]


def tolerance(
    supply: Path,
    *,
    sets: int = 1000,
    seed: int = 1,
    states: str = "idle, full output, valves out",
    mains: Mains = "range",
    only: str = "",
    jobs: int | None = None,
    long: bool = False,
    json: bool = False,
    csv: bool = False,
) -> int:
    """Say how figures and verdicts hold over the tolerances of the parts.

    Every part is put somewhere within its own tolerance, or that of its kind, so many times over. For each
    figure: between what it lies in nine sets of ten, how far it goes with every part at its worst end, and
    which part drives it. For each limit: in what share of the sets it is broken.

    Parameters
    ----------
    supply
        The description, a TOML file.
    sets
        How many sets of parts.
    seed
        Another seed draws other sets; the same seed gives the same result.
    states
        What the amplifier does: any of "idle", "full output", "cold", "valves out", with commas between.
    mains
        "range" draws the mains too; any other holds them at that level.
    only
        Put only these off, by the keys that --json lists, with * for anything: "mains, filter.*.capacitance".
    jobs
        Processes to run on; all cores unless told otherwise.
    long
        Also show all figures, and every tolerance with its source.
    json
        Print one JSON document instead.
    csv
        Print one table as CSV instead.
    """
    return in_words(lambda: _tolerance(supply, sets, seed, states, mains, only, jobs, long, json, csv))


def _tolerance(
    path: Path,
    sets: int,
    seed: int,
    states: str,
    mains: Mains,
    only: str,
    jobs: int | None,
    long: bool,
    json: bool,
    csv: bool,
) -> int:
    # Imported here, so that --help does not wait for the numerical libraries.
    from psucheck.cli.own import user_parts
    from psucheck.studies.many import Workers
    from psucheck.studies.tolerance import tolerance as study
    from psucheck.studies.tolerance_options import Asked, BadOption, states_of
    from psucheck.supply.reader import read_description

    try:
        if json and csv:
            raise BadOption("--json and --csv: one of the two is wanted")
        if jobs is not None and jobs < 1:
            raise BadOption(f"--jobs {jobs}: a whole number from 1 up is wanted")
        patterns = tuple(part.strip() for part in only.split(",")) if only else ()
        asked = Asked(sets, seed, states_of(states), None if mains == "range" else mains, patterns)
        description = read_description(path, user_parts())
        with _progress() as told:
            report = study(description, asked, Workers(jobs), told=told)
    except BadOption as error:
        print(f"psucheck: {error}", file=sys.stderr)
        return UNUSABLE
    from psucheck.report.tolerance import tolerance_csv, tolerance_document, tolerance_screen

    if json:
        from psucheck.report.document import dump

        print(dump(tolerance_document(report)))
    elif csv:
        print(tolerance_csv(report), end="")
    else:
        from psucheck.report import words

        words.console(sys.stdout).print(tolerance_screen(report, long=long))
    if report.stopped is not None:
        return STOPPED
    return 1 if report.anything_over else 0


@contextmanager
def _progress() -> Iterator[Callable[[str, int, int], None]]:
    """A function to call with what is being done, how many of how many; only a terminal shows it."""
    if not sys.stderr.isatty():
        yield lambda what, done, total: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as shown:
        tasks: dict[str, object] = {}

        def told(what: str, done: int, total: int) -> None:
            if what not in tasks:
                tasks[what] = shown.add_task(what, total=total)
            shown.update(tasks[what], completed=done)  # type: ignore[arg-type]

        yield told
