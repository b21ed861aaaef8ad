"""psucheck compare: statuses, messages, the document."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest

from psucheck.cli.main import main
from psucheck.report.document import schema
from tests.studies.small import TEXT


@pytest.fixture
def pair(tmp_path: Path) -> tuple[str, str]:
    first, second = tmp_path / "old.toml", tmp_path / "new.toml"
    first.write_text(TEXT, "utf-8")
    second.write_text(TEXT.replace("47 uF 450 V", "100 uF 350 V"), "utf-8")
    return str(first), str(second)


def test_the_document_and_the_status_of_the_last(
    pair: tuple[str, str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["compare", *pair, "--json"]) == 1
    out, err = capsys.readouterr()
    assert err == ""
    told = json.loads(out)
    jsonschema.validate(told, schema("comparison"))
    assert told["comparison"]["columns"] == ["old", "new"]
    (line,) = [f for f in told["comparison"]["findings"] if f["name"] == "capacitor-voltage reservoir"]
    assert line["verdicts"] == ["ok", "over"]


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ((), "compare needs two descriptions, or one that holds [new]"),
        (("--jobs", "0"), "--jobs 0: give 1 or more worker processes"),
        (("--jobs", "2", "--cluster", "tcp://127.0.0.1:1"), "--jobs is for this machine's workers"),
    ],
)
def test_what_cannot_be_compared_is_one_message(
    options: tuple[str, ...], said: str, pair: tuple[str, str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["compare", pair[0], *options]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert said in err
    assert "Traceback" not in err


def test_a_bad_description_is_told_with_its_line(
    pair: tuple[str, str], capsys: pytest.CaptureFixture[str]
) -> None:
    Path(pair[1]).write_text(TEXT.replace("47 uF", "47 uff"), "utf-8")
    assert main(["compare", *pair]) == 2
    assert "filter.reservoir" in capsys.readouterr().err
