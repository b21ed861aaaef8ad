"""Whole studies run in this process, so that a test needs no workers of its own."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path

from psucheck.engine.here import Here
from psucheck.report.view import Report
from psucheck.studies.check import check
from psucheck.supply.model import Description
from psucheck.supply.reader import parse_description, read_description

NETLISTS = Path(__file__).parents[2] / "netlists"
EXAMPLES = sorted(path.stem for path in NETLISTS.glob("*.toml"))


class InProcess(Here):
    """A pool that can stand in for the command line's."""

    def __enter__(self) -> InProcess:
        return self

    def __exit__(self, *exception: object) -> None:
        """Nothing to end."""

    @contextmanager
    def closed_on_error(self) -> Iterator[None]:
        """Nothing to end."""
        yield


def checked(text: str) -> Report:
    """The report on a description's text."""
    return check(parse_description(text, "test"), InProcess())


def example(name: str) -> Description:
    """An example's description."""
    return read_description(NETLISTS / f"{name}.toml")


@cache
def example_report(name: str) -> Report:
    """The report on an example, made once in a process."""
    return check(example(name), InProcess())
