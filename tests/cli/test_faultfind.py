"""``psucheck faultfind``, from a file of readings to the screen and the document."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest

from psucheck.cli.main import main
from psucheck.report.document import schema

SUPPLY = "netlists/two-el34-head.toml"
DEAD = "docs/examples/dead-readings.toml"
ROOT = Path(__file__).parents[2]


@pytest.fixture(autouse=True)
def _at_the_root(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setenv("NO_COLOR", "1")


def test_a_dead_amplifier_from_ohms_alone(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["faultfind", SUPPLY, DEAD]) == 1
    said = " ".join(capsys.readouterr().out.split())
    assert "LIKELIEST" in said
    assert "the screens capacitor has a short" in said.split("Next,")[0]
    assert "Lift one end of the screens capacitor" in said
    assert "discharge through a resistor" in said
    assert "Highest voltage: 439 V DC at reservoir" in said
    assert "A variac does not isolate" in said


def test_its_document_keeps_to_the_schema(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["faultfind", SUPPLY, DEAD, "--json"]) == 1
    text = capsys.readouterr().out
    text.encode("ascii")
    read = json.loads(text)
    whole = schema()
    wanted = {"$schema": whole["$schema"], "$ref": "#/$defs/faultfind", "$defs": whole["$defs"]}
    jsonschema.Draft202012Validator(wanted).validate(read)
    assert read["faultfind"]["groups"][0]["causes"][0]["id"] == "shorted capacitor"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('[cold]\n"choke ohms" = "110 ohm"\n', 'no test point "choke ohms"'),
        ('["full wal"]\n"reservoir DC" = "393 V"\n', 'no step "full wal"'),
        ('wall = "243 V"\n["full wall"]\n"reservoir DC" = "393"\n', "needs a unit"),
        ('wall = "243 V"\n["full wall"]\n"mains volts" = "243 V"\n', "none of the readings can be used"),
        (
            'wall = "243 V"\n["full wall"]\n"mains watts" = "90 VA"\n',
            "mains watts at full wall: read in VA, where W is wanted",
        ),
    ],
)
def test_a_file_that_cannot_be_used_is_one_message(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], text: str, said: str
) -> None:
    path = tmp_path / "readings.toml"
    path.write_text(text, "utf-8")
    assert main(["faultfind", SUPPLY, str(path)]) == 2
    captured = capsys.readouterr()
    assert said in " ".join(captured.err.split())
    assert captured.out == ""
