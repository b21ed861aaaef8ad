from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from psucheck.cli.main import main
from psucheck.parts import shipped
from psucheck.parts.kinds import KIND_WORDS
from tests.parts.test_user_parts import DROP, GOOD


@pytest.fixture(autouse=True)
def plain_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("FORCE_COLOR", raising=False)
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("COLUMNS", "80")


@pytest.fixture
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    (tmp_path / "my-parts.toml").write_text(GOOD, "utf-8")
    monkeypatch.chdir(tmp_path)
    return "my-parts.toml"


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    assert main(["parts", *arguments]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    return out


def flat(text: str) -> str:
    return re.sub(r"\s+", " ", text).strip()


@pytest.mark.parametrize("columns", [80, 120])
def test_the_list_has_every_part_and_fits(
    columns: int, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    out = run(capsys)
    assert max(map(len, out.splitlines())) <= columns
    assert "\x1b" not in out
    held = shipped()
    for catalogue in (held.rectifier_valves, held.diodes, held.load_valves, held.chokes, held.ntcs):
        for part in catalogue:
            assert " = ".join((part.name, *part.aliases)) in flat(out)


def test_a_line_of_the_list(capsys: pytest.CaptureFixture[str]) -> None:
    assert "GZ34 = 5AR4 250 mA 1500 V 17 V, 225 mA" in flat(run(capsys))


@pytest.mark.parametrize("kind", KIND_WORDS)
def test_one_kind_alone(kind: str, capsys: pytest.CaptureFixture[str]) -> None:
    document = json.loads(run(capsys, "--kind", kind, "--json"))
    assert {part["kind"] for part in document["parts"]} == {kind}
    blocks = run(capsys, "--kind", kind).strip().split("\n\n")
    assert len(blocks) == 1


def test_a_part_with_every_value_and_its_source(capsys: pytest.CaptureFixture[str]) -> None:
    out = flat(run(capsys, "GZ34"))
    assert out.startswith("GZ34 = 5AR4: rectifier valve")
    assert (
        "drop 17 V, 225 mA GE/RCA 5AR4 data sheet (from memory, the source not opened; confidence high)."
        in out
    )
    assert "first capacitor 60 uF tubeofile.com, typed copy of the makers' sheets (second-hand" in out
    assert "also published 1700 V. RCA Receiving Tube Manual RC-30, 5AR4 (from memory" in out
    assert "300 V: 50 ohm; 350 V: 75 ohm" in out
    assert "Two sets circulate, 25 ohm apart" in out
    assert "perveance 3.21 mA/V^1.5" in out


@pytest.mark.parametrize("columns", ["80", "120"])
@pytest.mark.parametrize("name", ["EL34", "any fuse", "5 W single-ended", "UK", "SL10 10003", "Eaton S505"])
def test_pages_fit(
    name: str, columns: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", columns)
    assert max(map(len, run(capsys, name).splitlines())) <= int(columns)


def test_no_value_of_any_part_is_shown_without_its_source(capsys: pytest.CaptureFixture[str]) -> None:
    document = json.loads(run(capsys, "--json"))
    assert document["schema"] == "psucheck/1"
    values = [value for part in document["parts"] for value in part["values"]]
    assert len(values) > 400
    for value in [*values, *(other for one in values for other in one["also"])]:
        assert value["source"].strip()
        assert value["status"] in ("read", "second-hand", "recalled", "derived", "practice")
        assert value["quantities"]


def test_a_part_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    (part,) = json.loads(run(capsys, "5AR4", "--json"))["parts"]
    assert (part["name"], part["aliases"], part["kind"], part["file"]) == (
        "GZ34",
        ["5AR4"],
        "rectifiers",
        None,
    )
    (drop,) = (value for value in part["values"] if value["key"] == "drop")
    assert drop["quantities"] == {"volts": 17.0, "amps": 0.225}


def test_a_piece_of_a_name_lists_what_has_it(capsys: pytest.CaptureFixture[str]) -> None:
    out = run(capsys, "5U4")
    assert "5U4GB" in out
    assert "GZ34" not in out


@pytest.mark.parametrize("options", [(), ("--json",)])
def test_an_unknown_part_is_status_2_with_the_nearest(
    options: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["parts", "GZ43", *options]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err == 'psucheck: no part "GZ43"; the nearest: GZ34, GZ37, GZ32\n'


def test_a_part_of_another_kind_is_not_found(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["parts", "GZ34", "--kind", "diodes"]) == 2
    assert 'no part "GZ34" among the diodes' in capsys.readouterr().err


def test_an_unknown_kind_is_status_2_with_the_list(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["parts", "--kind", "fusess"]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert all(kind in err for kind in KIND_WORDS)


def test_own_parts_come_first_and_say_whose_they_are(own: str, capsys: pytest.CaptureFixture[str]) -> None:
    out = run(capsys, "--own", own, "--kind", "rectifiers", "--json")
    first, *others = json.loads(out)["parts"]
    assert (first["name"], first["file"], first["replaced"]) == ("GZ34", own, False)
    assert [part["name"] for part in others if part["replaced"]] == ["GZ34"]
    page = run(capsys, "GZ34", "--own", own)
    assert flat(page).startswith(f"GZ34: rectifier valve From {own}.")
    assert "Not used: a part of your own bears this name." in page


def test_the_users_file_is_read_where_there_is_one(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr("psucheck.cli.own.user_config_path", lambda *_, **__: tmp_path)
    assert main(["parts", "XD12"]) == 2
    capsys.readouterr()
    (tmp_path / "parts.toml").write_text(GOOD, "utf-8")
    assert "XD12 = XD-1200: silicon diode" in run(capsys, "XD12")


def test_a_bad_own_file_is_a_message_and_status_2(own: str, capsys: pytest.CaptureFixture[str]) -> None:
    Path(own).write_text(GOOD.replace(DROP, "drop = 3"), "utf-8")
    assert main(["parts", "--own", own]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert f"{own}, line 20, diodes.XD12.drop" in err
    assert "    drop = 3\n           ^" in err
    assert "Traceback" not in err


def test_an_own_file_that_is_not_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["parts", "--own", str(tmp_path / "none.toml")]) == 2
    assert "no such file" in capsys.readouterr().err
