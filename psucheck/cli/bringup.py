"""``psucheck bringup``."""

from __future__ import annotations

import sys
from pathlib import Path

from psucheck.cli.status import UNUSABLE, in_words


def bringup(
    supply: Path,
    *,
    wall: str | None = None,
    lamp: str | None = None,
    steps: str | None = None,
    json: bool = False,
    csv: bool = False,
) -> int:
    """Print the sheet to take to the bench: step by step, what every test point should read.

    Parameters
    ----------
    supply
        The description, a TOML file.
    wall
        What the wall reads: 246V. Without it the description's wall, or its nominal voltage.
    lamp
        A filament lamp in series: 60W. What it lets through, valves out and in, and what that proves.
    steps
        Only these steps, by number or name: 0-3, or "a tenth, full wall".
    json
        Print one JSON document instead.
    csv
        Print lines for a spreadsheet instead; filled in, `readings` reads them.
    """
    return in_words(lambda: _bringup(supply, wall, lamp, steps, json=json, csv=csv))


def _bringup(
    supply: Path, wall: str | None, lamp: str | None, steps: str | None, *, json: bool, csv: bool
) -> int:
    from dataclasses import replace

    from psucheck.bench.bring_up import bring_up
    from psucheck.bench.choosing import UnknownStep, chosen
    from psucheck.cli.loading import load
    from psucheck.cli.options import BadOption, amount
    from psucheck.report import words
    from psucheck.report.document import dump
    from psucheck.report.sheet import sheet
    from psucheck.report.sheet_files import sheet_csv, sheet_document

    try:
        volts, watts = amount("--wall", wall, "V"), amount("--lamp", lamp, "W")
    except BadOption as error:
        print(f"psucheck: {error}", file=sys.stderr)
        return UNUSABLE
    description, pool = load(supply)
    with pool:
        view = bring_up(description, pool, wall=volts, lamp=watts)
    try:
        view = replace(view, steps=chosen(steps, view.steps))
    except UnknownStep as error:
        print(f"psucheck: {error}", file=sys.stderr)
        return UNUSABLE
    if json:
        print(dump(sheet_document(view)), end="")
    elif csv:
        print(sheet_csv(view), end="")
    else:
        words.console(sys.stdout).print(sheet(view))
    return 0
