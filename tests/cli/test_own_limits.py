"""Every output of a check with limits of the user's own says so."""

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

pytestmark = pytest.mark.usefixtures("made_once")
Write = Callable[[str], Path]
LIMITS = """\
[capacitor-voltage]
rating = { value = "120 %", why = "the cans on this bench are marked low" }
practice = { value = 0.95, why = "so" }
[fault-clearing]
start = { value = "60 degC", why = "a fan" }
[relay-pull-in]
practice = { value = "130 %", why = "weak mains" }
"""
RATING = "capacitor-voltage.rating: 120 % (yours; house 100 %, looser)"
OTHER = SUPPLY.replace('title = "centre-tapped"', 'title = "own limits"').replace("250 mA", "300 mA")


@pytest.fixture
def limits(tmp_path: Path) -> Path:
    path = tmp_path / "my-limits.toml"
    path.write_text(LIMITS, "utf-8")
    return path


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    status = main(list(arguments))
    out, err = capsys.readouterr()
    return status, re.sub(r"\s+", " ", out), re.sub(r"\s+", " ", err)


def test_the_first_screen_and_the_rest(
    write: Write, limits: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    supply = write('limits = "my-limits.toml"\n' + OTHER)
    status, out, _ = run(capsys, "check", str(supply), "--long")
    assert status == 0, "the one thing over is the preamp's capacitor, and by these limits it is not"
    head = out[: out.index("Volts DC")]
    assert RATING in head
    assert "relay-pull-in" not in head, "there is no relay"
    assert re.search(r"Milder by your limits alone: .*capacitor-voltage preamp \(house: over\)", head)
    rest = out[out.index("Limits of yours") :]
    assert f"{RATING}, from my-limits.toml" in rest
    assert 'Yours: "the cans on this bench are marked low". Used in: capacitor-voltage ' in rest
    assert "capacitor-voltage preamp: ok by yours, over by the house's." in rest
    assert "Not used here." in rest
    assert limits.exists()


def test_the_document(write: Write, limits: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(write(OTHER)), "--json", "--limits", str(limits)]) == 0
    document = json.loads(capsys.readouterr().out)
    jsonschema.validate(document, schema())
    own = {one["name"]: one for one in document["own_limits"]}
    used = {"capacitor-voltage.rating", "capacitor-voltage.practice", "fault-clearing.start"}
    assert set(own) == used | {"relay-pull-in.practice"}
    assert {name for name, one in own.items() if one["used_in"]} == used
    rating = own["capacitor-voltage.rating"]
    assert (rating["value"], rating["house"], rating["unit"], rating["way"]) == (1.2, 1.0, "1", "looser")
    assert rating["file"] == str(limits)
    preamp = next(
        one
        for one in document["findings"]
        if (one["rule"], one["subject"]) == ("capacitor-voltage", "preamp")
    )
    assert (preamp["verdict"], preamp["house_verdict"]) == ("ok", "over")
    assert preamp["own_limits"] == ["capacitor-voltage.rating", "capacitor-voltage.practice"]
    assert preamp["limit"] == pytest.approx(540.0)


def test_why(limits: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = run(capsys, "why", "capacitor-voltage", "--limits", str(limits))
    assert status == 0
    assert "120 %" in out
    assert f"marked low (yours, from {limits}; house 100 %)" in out.replace("/ ", "/")
    assert main(["why", "capacitor-voltage", "--json", "--limits", str(limits)]) == 0
    entries = {one["name"]: one for one in json.loads(capsys.readouterr().out)["rule"]["limits"]}
    assert entries["capacitor-voltage.rating"]["house"] == 1.0
    assert entries["capacitor-voltage.rating"]["status"] == "yours"
    assert "house" not in entries.get("duty.full-output", {})


def test_the_user_s_own_file_holds_for_every_description(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "config" / "psucheck"
    folder.mkdir(parents=True)
    (folder / "limits.toml").write_text(LIMITS, "utf-8")
    status, out, _ = run(capsys, "why", "capacitor-voltage")
    assert status == 0
    assert "120 %" in out


def test_the_option_goes_before_the_description_and_that_before_the_user_s(
    tmp_path: Path, write: Write
) -> None:
    from psucheck.checks.own_limits import limits_of
    from psucheck.cli.loading import load

    folder = tmp_path / "config" / "psucheck"
    folder.mkdir(parents=True)
    files = (tmp_path / "option.toml", tmp_path / "beside.toml", folder / "limits.toml")
    entries = [
        'rating = { value = 1.1, why = "option" }\n',
        'rating = { value = 1.2, why = "beside" }\npractice = { value = 0.8, why = "beside" }\n',
        'practice = { value = 0.7, why = "user" }\n[duty]\nfull-output = { value = 0.4, why = "user" }\n',
    ]
    for file, text in zip(files, entries, strict=True):
        file.write_text("[capacitor-voltage]\n" + text, "utf-8")
    description, pool = load(write('limits = "beside.toml"\n' + SUPPLY), files[0])
    with pool:
        limits = limits_of(description.found)
    assert [limit.source for limit in limits.own] == ["beside", "option", "user"]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (LIMITS.replace('"120 %"', "nan"), "a limit is a number above 0"),
        (LIMITS.replace("rating =", "ratings ="), 'did you mean "rating"?'),
        (LIMITS.replace('"60 degC"', '"60 V"'), "degC"),
    ],
)
@pytest.mark.parametrize("command", ["check", "why"])
def test_a_bad_file_ends_in_a_message(
    command: str, text: str, said: str, write: Write, limits: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    limits.write_text(text, "utf-8")
    asked = str(write(OTHER)) if command == "check" else "capacitor-voltage"
    status, out, err = run(capsys, command, asked, "--limits", str(limits))
    assert status == 2
    assert out == ""
    assert said in err
    assert "my-limits.toml, line" in err.replace("- ", "-")


@pytest.mark.parametrize("how", ["option", "key"])
def test_a_file_that_is_not_there(how: str, write: Write, capsys: pytest.CaptureFixture[str]) -> None:
    text = 'limits = "none.toml"\n' + OTHER if how == "key" else OTHER
    options = ["--limits", "none.toml"] if how == "option" else []
    status, out, err = run(capsys, "check", str(write(text)), *options)
    assert (status, out) == (2, "")
    assert "none.toml" in err
    assert ("line 1, limits" in err) == (how == "key")


def test_without_own_limits_nothing_is_said(write: Write, capsys: pytest.CaptureFixture[str]) -> None:
    path = str(write(SUPPLY))
    _, out, _ = run(capsys, "check", path, "--long")
    assert "yours" not in out
    assert main(["check", path, "--json"]) in (0, 1)
    document = json.loads(capsys.readouterr().out)
    assert "own_limits" not in document
    assert all("own_limits" not in finding for finding in document["findings"])
