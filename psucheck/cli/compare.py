"""``psucheck compare``."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

from cyclopts import Parameter

from psucheck.cli.status import STOPPED, UNUSABLE, in_words


def compare(
    supplies: Annotated[list[Path], Parameter(negative="")],
    /,
    *,
    readings_of_first: bool = False,
    long: bool = False,
    json: bool = False,
    jobs: int | None = None,
    cluster: str | None = None,
) -> int:
    """Hold supplies side by side: what changes in volts, currents and margins, which findings appear or go.

    Exit status 1 if anything is over in the last one.

    Parameters
    ----------
    supplies
        Two descriptions or more, the first being what the others are held against; or one with [new], as
        found and as proposed.
    readings_of_first
        What was read in the first (volts, currents, bias) holds for the others, as it does for [new]: another
        transformer in the same amplifier. Without it each has its own readings.
    long
        Every figure in every state, also where it is the same.
    json
        Print one JSON document instead.
    jobs
        Worker processes; as many as there are cores, if not given.
    cluster
        Address of a Dask scheduler whose workers are used instead: tcp://10.0.0.5:8786.
    """
    return in_words(
        lambda: _compare(
            supplies, readings_of_first=readings_of_first, long=long, json=json, jobs=jobs, cluster=cluster
        )
    )


def _compare(
    supplies: list[Path],
    *,
    readings_of_first: bool,
    long: bool,
    json: bool,
    jobs: int | None,
    cluster: str | None,
) -> int:
    from psucheck.cli.own import user_parts
    from psucheck.cli.progress import progress, workers_of
    from psucheck.report import words
    from psucheck.report.compare import screen, whole
    from psucheck.report.document import comparison, dump
    from psucheck.report.view import exit_status
    from psucheck.studies.compare import compare as study
    from psucheck.supply.reader import read_description

    workers = workers_of(jobs, cluster)
    described = list(
        zip(_headings(supplies), [read_description(path, user_parts()) for path in supplies], strict=True)
    )
    if len(described) == 1 and described[0][1].proposed is None:
        said = "compare needs two descriptions, or one that holds [new] (what is proposed)"
        print(f"psucheck: {said}", file=sys.stderr)
        return UNUSABLE
    with progress("supplies checked", 2 if len(described) == 1 else len(described)) as told:
        compared = study(described, workers, told, readings_of_first=readings_of_first)
    for heading, why in compared.failures.items():
        print(f"psucheck: {heading}: {why}", file=sys.stderr)
    if compared.columns:
        if json:
            print(dump(comparison(compared.columns)), end="")
        else:
            words.console(sys.stdout).print(screen(compared.columns, long=long))
    if compared.stopped is not None:
        print(f"psucheck: {compared.stopped}; what is shown was done by then", file=sys.stderr)
    if compared.stopped is not None or compared.failures:
        return STOPPED
    return exit_status(whole(compared.columns)[-1][1])


def _headings(supplies: list[Path]) -> list[str]:
    """The files' names without their ends; whole paths where two are alike."""
    stems = [path.stem for path in supplies]
    return stems if len(set(stems)) == len(stems) else [str(path) for path in supplies]
