"""Every output of a supply with a part of the user's own says so."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

import jsonschema
import pytest

from psucheck.cli.main import main
from psucheck.report.document import schema
from tests.cli.conftest import SUPPLY
from tests.parts.test_user_parts import DROP, GOOD

pytestmark = pytest.mark.usefixtures("made_once")
Write = Callable[[str], Path]
DESCRIPTION = 'parts = "my-parts.toml"\n' + SUPPLY.replace('"1N4007"', '"XD12"', 1)
SAID = "XD12 from my-parts.toml"


@pytest.fixture
def supply(write: Write) -> str:
    path = write(DESCRIPTION.replace('title = "centre-tapped"', 'title = "own parts"'))
    (path.parent / "my-parts.toml").write_text(GOOD, "utf-8")
    return str(path)


def test_the_first_screen_and_the_sources(supply: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", supply, "--long"]) in (0, 1)
    out = re.sub(r"\s+", " ", capsys.readouterr().out)
    assert f"Own parts: {SAID}." in out
    assert "printed on the box, entered in my-parts.toml (read in the source)" in out


def test_the_document(supply: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", supply, "--json"]) in (0, 1)
    document = json.loads(capsys.readouterr().out)
    jsonschema.validate(document, schema())
    assert document["own_parts"] == [SAID]
    assert document["supply"]["parts"] == "my-parts.toml"
    reverse = next(one for one in document["findings"] if one["rule"] == "rectifier-reverse-voltage")
    assert reverse["limit"] == 1200.0
    assert "entered in my-parts.toml" in reverse["source"]


def test_the_netlist(supply: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["netlist", supply]) == 0
    assert f"* own part: {SAID}\n" in capsys.readouterr().out


def test_without_own_parts_nothing_is_said(write: Write, capsys: pytest.CaptureFixture[str]) -> None:
    path = str(write(SUPPLY))
    assert main(["check", path]) in (0, 1)
    assert "Own parts" not in capsys.readouterr().out
    assert main(["check", path, "--json"]) in (0, 1)
    assert "own_parts" not in json.loads(capsys.readouterr().out)


@pytest.mark.parametrize("command", ["check", "netlist"])
def test_a_bad_parts_file_is_a_message_and_status_2(
    command: str, supply: str, capsys: pytest.CaptureFixture[str]
) -> None:
    own = Path(supply).parent / "my-parts.toml"
    own.write_text(GOOD.replace(DROP, ""), "utf-8")
    assert main([command, supply]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert f"{own}, line 15, diodes.XD12.drop\n" in err
    assert '[diodes.XD12] lacks "drop"' in err
