"""The command line run in this process: real from the file to the output, the study itself made once."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from psucheck.engine.pool import Pool
from psucheck.report.view import Report
from psucheck.studies.check import check
from psucheck.supply.model import Description
from tests.conditions.supplies import SUPPLIES
from tests.studies.in_process import InProcess, checked

SUPPLY = SUPPLIES["centre-tapped"]
SOUND = SUPPLY.replace("22 uF 450 V", "22 uF 500 V").replace("250 mA", "300 mA")
"""Nothing of it is over: preamp capacitor and winding stand what they get."""


@pytest.fixture(scope="session")
def reports() -> dict[str, Report]:
    """The reports on the two descriptions, by their text."""
    return {text: checked(text) for text in (SUPPLY, SOUND)}


@pytest.fixture(autouse=True)
def no_user_parts(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Whoever runs the tests may have parts of their own."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))


@pytest.fixture
def write(tmp_path: Path) -> Callable[[str], Path]:
    """Writes a description to a file."""

    def to_file(text: str) -> Path:
        path = tmp_path / "supply.toml"
        path.write_text(text, "utf-8")
        return path

    return to_file


@pytest.fixture
def made_once(monkeypatch: pytest.MonkeyPatch, reports: dict[str, Report]) -> None:
    """Commands use no workers, and take the report that was made of these descriptions."""
    by_title = {(r.title, r.supply.filter["preamp"].capacitor): r for r in reports.values()}

    def study(description: Description, pool: Pool, *, ranges: bool = False) -> Report:
        found = by_title.get((description.found.title, description.found.filter["preamp"].capacitor))
        return check(description, pool, ranges=ranges) if found is None else found

    monkeypatch.setattr("psucheck.cli.loading.Pool", InProcess)
    monkeypatch.setattr("psucheck.studies.check.check", study)
    monkeypatch.delenv("FORCE_COLOR", raising=False)
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("COLUMNS", "80")
