"""``psucheck try``."""

from __future__ import annotations

import re
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

from cyclopts import Parameter

from psucheck.cli.status import STOPPED, UNUSABLE, in_words

_STARTS = re.compile(r"""(?P<path>[A-Za-z_"][\w."' -]*?)\s*=\s*(?P<value>.*)""", re.DOTALL)


class BadTrial(ValueError):
    """What is to be tried cannot be understood; the message says why."""


def trial(
    supply: Path,
    values: Annotated[list[str], Parameter(negative="", allow_leading_hyphen=True)],
    /,
    *,
    as_proposal: bool = False,
    csv: bool = False,
    json: bool = False,
    graph: Path | None = None,
    jobs: int | None = None,
    cluster: str | None = None,
) -> int:
    """Try other values in a supply: each is checked whole, the best come first.

    Exit status 0 if any of them has nothing over, else 1.

    Parameters
    ----------
    supply
        The description, a TOML file.
    values
        A path in the description and what to put there, then further values for it:
        filter.reservoir="47 uF 450 V" "50 uF 500 V". A range of preferred values: "10k..47k E12 1 W".
        A list in one text: "10k; 15k". Another path=... makes a grid.
    as_proposal
        What was read (volts, currents, bias) was read in the supply as it is, and holds for the changed one.
    csv
        Print comma-separated values instead of a table.
    json
        Print one JSON document instead.
    graph
        Also draw the figures into this file (SVG).
    jobs
        Worker processes; as many as there are cores, if not given.
    cluster
        Address of a Dask scheduler whose workers are used instead: tcp://10.0.0.5:8786.
    """
    return in_words(
        lambda: _trial(
            supply, values, as_proposal=as_proposal, form="csv" if csv else "json" if json else "table",
            clash=csv and json, graph=graph, jobs=jobs, cluster=cluster,
        )
    )  # fmt: skip


def _trial(
    supply: Path,
    values: Sequence[str],
    *,
    as_proposal: bool,
    form: str,
    clash: bool,
    graph: Path | None,
    jobs: int | None,
    cluster: str | None,
) -> int:
    from psucheck.cli.own import user_parts
    from psucheck.cli.progress import progress, workers_of
    from psucheck.cli.writing import write
    from psucheck.report.graph import svg
    from psucheck.report.trial import Trial
    from psucheck.studies.trial import TooMany, points, try_values
    from psucheck.supply.ranges import BadRange
    from psucheck.supply.reader import read_description

    try:
        if clash:
            raise BadTrial("--csv and --json are two forms of the same: give one of them")
        _drawable(graph)
        wanted = tried(values)
        count = len(points(wanted))
    except (BadTrial, BadRange, TooMany) as error:
        print(f"psucheck: {error}", file=sys.stderr)
        return UNUSABLE
    workers = workers_of(jobs, cluster)
    description = read_description(supply, user_parts())
    with progress("supplies tried", count + 1) as told:
        made: Trial = try_values(description, wanted, workers, told, as_proposal=as_proposal)
    if made.all:
        _print(made, form)
    if made.stopped is not None:
        said = f"{made.stopped}: {len(made.rows)} of {made.wanted} are shown"
        print(f"psucheck: {said}", file=sys.stderr)
    drawn = write(graph, svg(made), "utf-8") if graph is not None and made.rows else 0
    if drawn:
        return drawn
    if made.stopped is not None or any(row.outcome.failed is not None for row in made.rows):
        return STOPPED
    return 0 if any(not row.outcome.over for row in made.rows) else 1


def _print(made: object, form: str) -> None:
    from psucheck.report import words
    from psucheck.report.document import dump, trial_document
    from psucheck.report.trial import Trial, as_csv, screen

    assert isinstance(made, Trial)
    if form == "csv":
        print(as_csv(made), end="")
    elif form == "json":
        print(dump(trial_document(made)), end="")
    else:
        words.console(sys.stdout).print(screen(made))


def _drawable(graph: Path | None) -> None:
    """Tell before a long run that its graph could not be written."""
    if graph is None:
        return
    if graph.suffix.lower() != ".svg":
        raise BadTrial(f"--graph {graph}: the graph is an SVG file, so its name ends in .svg")
    if not graph.parent.is_dir():
        raise BadTrial(f"--graph {graph}: there is no folder {graph.parent}")


def tried(values: Sequence[str]) -> dict[str, list[str]]:
    """Path -> values: ``path=value`` begins a path, what follows without a path belongs to it.

    Raises
    ------
    BadTrial, BadRange
        If no path begins, one comes twice, or a value is empty or not understood.
    """
    from psucheck.supply.ranges import values_of

    found: dict[str, list[str]] = {}
    at: list[str] | None = None
    for text in values:
        start = _STARTS.fullmatch(text)
        value = text
        if start is not None:
            path, value = start["path"], start["value"]
            if path in found:
                raise BadTrial(f"{path} comes twice: write its values one after the other behind {path}=")
            at = found[path] = []
        if at is None:
            raise BadTrial(f'"{text}": a path comes first, such as filter.reservoir="{text}"')
        if not value.strip():
            raise BadTrial(f'"{text}": nothing stands behind the equals sign')
        at += [each for each in values_of(value) if each not in at]
    return found
