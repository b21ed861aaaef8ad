"""``psucheck faultfind``."""

from __future__ import annotations

import sys
from pathlib import Path

from psucheck.cli.status import in_words

FOUND = 1
"""Exit status when something is wrong."""


def faultfind(supply: Path, readings: Path, *, json: bool = False) -> int:
    """Say what is wrong with an amplifier, from readings taken at the bench.

    Exit status 0: nothing wrong shows in them. 1: something does.

    Parameters
    ----------
    supply
        The description, a TOML file.
    readings
        What was read, TOML or CSV: step, test point, value, wall volts. Ohms alone will do.
    json
        Print one JSON document instead.
    """
    return in_words(lambda: _faultfind(supply, readings, json=json))


def _faultfind(supply: Path, readings: Path, *, json: bool) -> int:
    # Imported here, so that --help does not wait for the numerical libraries.
    from psucheck.bench.fault_report import fault_report
    from psucheck.bench.faultfind import NothingToGoOn
    from psucheck.bench.further_points import further_points
    from psucheck.bench.points import points
    from psucheck.bench.readings_file import read_readings
    from psucheck.bench.taken import intake
    from psucheck.cli.loading import load
    from psucheck.parts import in_force
    from psucheck.supply.errors import DescriptionError, Problem
    from psucheck.supply.fill import fill

    description, pool = load(supply)
    with pool:
        with pool.closed_on_error():
            as_found = filled = fill(description.found)
            if description.proposed is not None:
                filled = fill(description.proposed, loads_of=as_found)
            with in_force(filled.supply.library):
                known = (*points(filled), *further_points(filled))
                given = intake(filled, read_readings(readings, known))
        try:
            report = fault_report(filled, given.taken, pool, as_found=as_found, left_out=given.left_out)
        except NothingToGoOn as error:
            why = "; ".join((*given.left_out, *error.left_out))
            said = f"{error}: {why}" if why else str(error)
            raise DescriptionError([Problem(str(readings), 0, 1, "", "", 1, said)]) from error
    if json:
        from psucheck.report.document import dump
        from psucheck.report.fault_document import fault_document

        print(dump(fault_document(report)))
    else:
        from psucheck.report import words
        from psucheck.report.fault_screen import fault_screen

        words.console(sys.stdout).print(fault_screen(report))
    return 0 if report.sound else FOUND
