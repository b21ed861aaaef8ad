from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from psucheck.bench import bring_up
from psucheck.cli.main import main
from psucheck.engine.pool import Pool
from psucheck.report.sheet_view import Sheet
from psucheck.supply.model import Description
from tests.cli.conftest import SUPPLY
from tests.report.sheets import SHEET
from tests.studies.in_process import InProcess

Write = Callable[[str], Path]


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> list[tuple[float | None, float | None]]:
    """The commands' way from options to output, the sheet itself made by hand."""
    calls: list[tuple[float | None, float | None]] = []

    def study(
        description: Description, pool: Pool, *, wall: float | None = None, lamp: float | None = None
    ) -> Sheet:
        calls.append((wall, lamp))
        return SHEET

    monkeypatch.setattr("psucheck.cli.loading.Pool", InProcess)
    monkeypatch.setattr(bring_up, "bring_up", study)
    monkeypatch.setenv("COLUMNS", "80")
    return calls


def test_the_sheet_is_printed(
    asked: list[tuple[float | None, float | None]], write: Write, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["bringup", str(write(SUPPLY)), "--wall", "246V", "--lamp", "60W"]) == 0
    out, err = capsys.readouterr()
    assert asked == [(246.0, 60.0)]
    assert "Bring-up at a wall of 243 V" in out
    assert max(len(line) for line in out.splitlines()) <= 80
    assert err == ""


def test_only_the_steps_that_are_asked_for(
    asked: object, write: Write, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["bringup", str(write(SUPPLY)), "--steps", "a tenth", "--json"]) == 0
    document = json.loads(capsys.readouterr().out)
    assert document["schema"] == "psucheck/1"
    assert [step["name"] for step in document["steps"]] == ["a tenth"]


def test_lines_for_a_spreadsheet(asked: object, write: Write, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["bringup", str(write(SUPPLY)), "--csv"]) == 0
    assert capsys.readouterr().out.startswith("step,volts,in,")


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--wall", "246"], "needs a unit"),
        (["--lamp", "60V"], "a power is wanted"),
        (["--steps", "a tent"], 'did you mean "a tenth"'),
        (["--steps", "7"], "0 to 3"),
    ],
)
def test_what_cannot_be_used_is_named(
    asked: object, write: Write, capsys: pytest.CaptureFixture[str], arguments: list[str], said: str
) -> None:
    assert main(["bringup", str(write(SUPPLY)), *arguments]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert said in err
