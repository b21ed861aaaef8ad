"""``psucheck check``."""

from __future__ import annotations

import sys
from pathlib import Path

from psucheck.cli.status import STOPPED, in_words


def check(
    supply: Path,
    *,
    long: bool = False,
    json: bool = False,
    strict: bool = False,
    ranges: bool = False,
    limits: Path | None = None,
    cures: bool = False,
) -> int:
    """Check a supply in every state of the amplifier, and say what is over.

    Parameters
    ----------
    supply
        The description, a TOML file.
    long
        Also show every part against its ratings, the currents, the assumptions and the sources.
    json
        Print one JSON document instead.
    strict
        Exit with 1 for what is marginal or not checked, too.
    ranges
        Work out how far every figure moves over the range of every guess; takes a minute or so.
    limits
        A file of your own limits (TOML); goes before the one that `limits` in the description names.
    cures
        For what is over or marginal, look for the smallest change that mends it; a check for each one tried.
    """
    return in_words(
        lambda: _check(supply, limits, long=long, json=json, strict=strict, ranges=ranges, cures=cures),
        supply,
    )


def _check(
    supply: Path,
    limits: Path | None,
    *,
    long: bool,
    json: bool,
    strict: bool,
    ranges: bool,
    cures: bool,
) -> int:
    # Imported here, so that --help does not wait for the numerical libraries.
    from psucheck.checks.registry import CrashedFinding
    from psucheck.cli.loading import load
    from psucheck.cli.progress import telling
    from psucheck.report.view import exit_status
    from psucheck.studies.check import check as study

    description, pool = load(supply, limits)
    with pool:
        if cures:
            from psucheck.studies.cures import check_with_cures

            with telling("Looking for cures") as told:
                report = check_with_cures(description, pool, ranges=ranges, told=told)
        else:
            report = study(description, pool, ranges=ranges)
    if json:
        from psucheck.report.document import document, dump

        print(dump(document(report)))
    else:
        from psucheck.report import words
        from psucheck.report.long import details
        from psucheck.report.screen import screen

        console = words.console(sys.stdout)
        console.print(screen(report, hint=not (long or ranges)))
        if long or ranges:
            console.print(details(report))
    if any(isinstance(finding, CrashedFinding) for finding in report.findings):
        return STOPPED
    return exit_status(report, strict=strict)
