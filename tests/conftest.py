"""Gathers the rows of docs/accuracy.md: ``pytest --accuracy FILE`` writes them as JSON."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from docs.accuracy_page import identities, identity
from tests.accuracy import Accuracy, rows_of

ROWS: pytest.StashKey[list[dict[str, Any]]] = pytest.StashKey()
PAGE = Path(__file__).parents[1] / "docs" / "accuracy.md"


@cache
def _page() -> str:
    return PAGE.read_text("utf-8") if PAGE.exists() else ""


LONG = (
    "seeded/test_corpus.py",
    "studies/cures/test_search.py",
    "bench/test_matrix.py",
    "studies/test_sure.py",
    "netlists/test_examples.py",
    "cli/test_own_limits.py",
)
"""Files that take longest, the longest first: begun last, one of them would keep a worker busy by itself."""


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Begin with the long files; within them, and behind them, the random order stands."""
    places = {str(Path(__file__).parent / name): place for place, name in enumerate(LONG)}
    items.sort(key=lambda item: places.get(str(item.path), len(LONG)))


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--accuracy", metavar="FILE", help="write the rows of docs/accuracy.md to FILE, as JSON")


def pytest_configure(config: pytest.Config) -> None:
    config.stash[ROWS] = []


@pytest.fixture
def accuracy(request: pytest.FixtureRequest) -> Accuracy:
    """Records rows of docs/accuracy.md and asserts them; without ``--accuracy`` the page must have them."""
    making = request.config.getoption("--accuracy") is not None
    return Accuracy(request.node, None if making else _page())


class _Gatherer:
    """Takes the rows out of the reports, in the process that runs the session."""

    def __init__(self, config: pytest.Config) -> None:
        self._config = config

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.when == "call":
            self._config.stash[ROWS] += rows_of(report)


@pytest.hookimpl(trylast=True)
def pytest_sessionstart(session: pytest.Session) -> None:
    if not hasattr(session.config, "workerinput"):
        session.config.pluginmanager.register(_Gatherer(session.config))


@pytest.hookimpl(trylast=True)
def pytest_sessionfinish(session: pytest.Session, exitstatus: int) -> None:
    config = session.config
    if hasattr(config, "workerinput"):
        return
    rows = config.stash[ROWS]
    path = config.getoption("--accuracy")
    if path is not None:
        Path(path).write_text(json.dumps(rows, indent=1), "utf-8")
    elif exitstatus == 0 and _whole(config):
        left = identities(_page()) - {identity(row) for row in rows}
        if left:
            reporter = config.pluginmanager.get_plugin("terminalreporter")
            if reporter is not None:
                reporter.ensure_newline()
                reporter.write_line(f"docs/accuracy.md has rows that no test records: {sorted(left)}")
            session.exitstatus = pytest.ExitCode.TESTS_FAILED


def _whole(config: pytest.Config) -> bool:
    """Whether this session runs every test there is."""
    chosen = ("keyword", "markexpr", "lf", "deselect", "ignore", "ignore_glob", "collectonly", "stepwise")
    everything = [str(path) for path in config.getini("testpaths")]
    return config.args == everything and not any(config.getoption(name, None) for name in chosen)
