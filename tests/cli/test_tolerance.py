from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable
from pathlib import Path

import pytest

from psucheck.cli.main import main
from tests.conditions.supplies import SUPPLIES

Write = Callable[[str], Path]
SUPPLY = SUPPLIES["bridge"]
FEW = ("--sets", "2", "--states", "idle", "--only", "mains")


@pytest.fixture(autouse=True)
def _eighty_columns(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setenv("NO_COLOR", "1")


def _tolerance(path: Path, *options: str) -> int:
    return main(["tolerance", str(path), *options])


def test_the_screen_and_the_status(write: Write, capsys: pytest.CaptureFixture[str]) -> None:
    status = _tolerance(write(SUPPLY), *FEW)
    out, err = capsys.readouterr()
    assert err == ""
    assert out.splitlines()[0] == "bridge"
    assert out.splitlines()[1].startswith("2 sets of parts, seed 1, 1 value")
    assert status == (0 if "Nothing is over in any set, nor" in out else 1)


def test_json_and_csv_hold_the_same(write: Write, capsys: pytest.CaptureFixture[str]) -> None:
    path = write(SUPPLY)
    status = _tolerance(path, *FEW, "--json")
    document = json.loads(capsys.readouterr().out)["tolerance"]
    assert _tolerance(path, *FEW, "--csv", "--jobs", "1") == status
    rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out)))
    assert len(rows) == len(document["figures"]) + len(document["limits"])
    assert [float(row["p5"]) for row in rows if row["kind"] == "figure"] == pytest.approx(
        [one["p5"] for one in document["figures"]]
    )


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--sets", "0"), "--sets 0: a whole number from 1 to 100000 is wanted"),
        (("--seed", "-3"), "--seed -3: a whole number from 0 up is wanted"),
        (("--jobs", "0"), "--jobs 0: a whole number from 1 up is wanted"),
        (("--states", "idel"), 'Did you mean "idle"?'),
        (("--only", "filter.reservior.capacitance"), "near it: filter.reservoir.capacitance"),
        (("--json", "--csv"), "one of the two is wanted"),
    ],
)
def test_a_bad_option_is_one_message(
    options: tuple[str, ...], said: str, write: Write, capsys: pytest.CaptureFixture[str]
) -> None:
    assert _tolerance(write(SUPPLY), *options) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert said in err
    assert err.startswith("psucheck: ")
    assert err.count("\n") == 1


@pytest.mark.parametrize("option", [("--sets", "many"), ("--mains", "200 V"), ("--set", "3")])
def test_what_is_no_option_is_refused(
    option: tuple[str, ...], write: Write, capsys: pytest.CaptureFixture[str]
) -> None:
    assert _tolerance(write(SUPPLY), *option) == 2
    assert capsys.readouterr().out == ""


def test_a_bad_description_comes_first(write: Write, capsys: pytest.CaptureFixture[str]) -> None:
    assert _tolerance(write(SUPPLY.replace("bridge", "brigde", 2)), *FEW) == 2
    assert "brigde" in capsys.readouterr().err
