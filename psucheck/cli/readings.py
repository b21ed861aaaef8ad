"""``psucheck readings``."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

from psucheck.cli.status import UNUSABLE, in_words

if TYPE_CHECKING:
    from psucheck.bench.read_back import ReadBack
    from psucheck.bench.reading import Reading
    from psucheck.supply.model import Description


def readings(
    supply: Path,
    readings: Path | None = None,
    /,
    *,
    ask: bool = False,
    update: Path | None = None,
    json: bool = False,
) -> int:
    """Hold readings taken at the bench against what they should be at the wall voltage of that moment.

    Parameters
    ----------
    supply
        The description, a TOML file.
    readings
        The readings: TOML, a table a step; or CSV, also a sheet of `bringup --csv` that was filled in. With
        --ask the file into which they are written, which must not be there yet.
    ask
        Ask for them step by step instead, and stop at one that is dangerous to go on from.
    update
        Write a new description with what the readings settled into this file, which must not be there yet.
    json
        Print one JSON document instead.
    """
    if readings is None and not ask:
        print("psucheck: readings needs a file of them, or --ask", file=sys.stderr)
        return UNUSABLE
    for new in (update, readings if ask else None):
        if new is not None and new.exists():
            print(f"psucheck: {new} is there already; nothing is written over it", file=sys.stderr)
            return UNUSABLE
    return in_words(lambda: _readings(supply, readings, update, ask=ask, json=json))


def _readings(supply: Path, file: Path | None, update: Path | None, *, ask: bool, json: bool) -> int:
    from psucheck.bench.read_back import ask_for, points_of, read_back
    from psucheck.bench.readings_file import read_readings
    from psucheck.cli.loading import load
    from psucheck.report import words
    from psucheck.report.document import dump
    from psucheck.report.readings import readings as text
    from psucheck.report.readings import readings_document

    description, pool = load(supply)
    with pool:
        if ask:
            back, asked = ask_for(description, pool, _ask, lambda line: print(line, file=sys.stderr))
            if file is not None and not _keep(file, asked.readings, back.plan.filled.supply.title):
                return UNUSABLE
        else:
            assert file is not None  # asked for above
            with pool.closed_on_error():
                taken = read_readings(file, points_of(description))
            back = read_back(description, taken, pool)
    if json:
        print(dump(readings_document(back.view)), end="")
    else:
        words.console(sys.stdout).print(text(back.view))
    if update is not None and not _update(supply, description, back, file, update):
        return UNUSABLE
    return 1 if any(each.verdict == "off" or each.danger for each in back.view.readings) else 0


def _ask(question: str) -> str:
    """The question on the error stream, the answer from standard input."""
    print(question, end="", file=sys.stderr, flush=True)
    answer = sys.stdin.readline()
    if not answer:
        print(file=sys.stderr)
        raise EOFError
    return answer


def _keep(file: Path, taken: list[Reading], title: str) -> bool:
    """Write the readings that were asked for into a new file; whether that went."""
    from psucheck.bench.readings_out import readings_toml
    from psucheck.report.words import plural

    try:
        with file.open("x", encoding="utf-8", newline="\n") as opened:
            opened.write(readings_toml(taken, title))
    except OSError as error:
        print(f"psucheck: {file} cannot be written: {error.strerror}", file=sys.stderr)
        return False
    print(f"psucheck: {plural(len(taken), 'reading')} written to {file}", file=sys.stderr)
    return True


def _update(supply: Path, description: Description, back: ReadBack, file: Path | None, new: Path) -> bool:
    """Write the new description; whether that went."""
    from psucheck.bench.updating import CannotUpdate, updated, write_new
    from psucheck.report.words import plural
    from psucheck.supply.text_file import read_text

    try:
        made = updated(description, read_text(supply), back, file.name if file is not None else "asked for")
        write_new(new, made, supply)
    except CannotUpdate as error:
        print(f"psucheck: {error}", file=sys.stderr)
        return False
    print(f"psucheck: {new}: {plural(len(made.changes), 'value')} settled by the readings", file=sys.stderr)
    for left in made.left:
        print(f"psucheck: {left}", file=sys.stderr)
    return True
