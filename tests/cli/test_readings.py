from __future__ import annotations

import io
import json
from collections.abc import Callable
from pathlib import Path

import pytest

from psucheck.bench import read_back
from psucheck.cli.main import main
from tests.bench.benches import TEXTS, plan
from tests.studies.in_process import InProcess

Write = Callable[[str], Path]
GOOD = 'wall = "240 V"\n[cold]\n"ht a ohms" = "18.2 ohm"\n"ht b ohms" = "19.1 ohm"\n'
OFF = 'wall = "240 V"\n[cold]\n"ht a ohms" = "30 ohm"\n'


@pytest.fixture(autouse=True)
def wound_up_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """The commands' way from file to output, on a supply that was wound up before."""
    monkeypatch.setattr("psucheck.cli.loading.Pool", InProcess)
    monkeypatch.setattr(read_back, "plan_of", lambda *_: plan("hundred watts"))
    monkeypatch.setattr(read_back, "sheet_cautions", lambda *_: ("Highest voltage: 496 V DC.", "One hand."))
    monkeypatch.setenv("COLUMNS", "80")


@pytest.fixture
def supply(write: Write) -> str:
    return str(write(TEXTS["hundred watts"]))


def taken(tmp_path: Path, text: str, name: str = "readings.toml") -> str:
    (tmp_path / name).write_text(text, "utf-8")
    return str(tmp_path / name)


def test_in_band_is_status_0_and_off_is_1(
    supply: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["readings", supply, taken(tmp_path, GOOD)]) == 0
    out, err = capsys.readouterr()
    assert "IN BAND: 2 readings; 2 in band" in out
    assert "One hand." in out
    assert max(len(line) for line in out.splitlines()) <= 80
    assert err == ""
    assert main(["readings", supply, taken(tmp_path, OFF)]) == 1
    assert "OFF: 1 reading; 1 off" in capsys.readouterr().out


def test_one_document(supply: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["readings", supply, taken(tmp_path, OFF), "--json"]) == 1
    document = json.loads(capsys.readouterr().out)
    assert (document["schema"], document["readings"][0]["verdict"]) == ("psucheck/1", "off")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('[cold]\n"ht a ohm" = "18 ohm"\n', 'did you mean "ht a ohms"'),
        ("", "empty"),
        ("x = [\n", "a value is wanted"),
    ],
)
def test_bad_readings_are_named_with_their_file(
    supply: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], text: str, said: str
) -> None:
    path = taken(tmp_path, text)
    assert main(["readings", supply, path]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert path in err
    assert said in " ".join(err.split())


def test_without_readings_there_is_nothing_to_do(supply: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["readings", supply]) == 2
    assert "--ask" in capsys.readouterr().err


def test_a_new_description_is_written_and_the_old_one_stays(
    supply: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    new = tmp_path / "new.toml"
    arguments = ["readings", supply, taken(tmp_path, GOOD), "--update", str(new)]
    assert main(arguments) == 0
    assert "18.2 + 19.1 ohm" in new.read_text("utf-8")
    assert Path(supply).read_text("utf-8") == TEXTS["hundred watts"]
    assert "1 value settled" in capsys.readouterr().err
    assert main(arguments) == 2
    assert "is there already" in capsys.readouterr().err


def test_asked_for_they_are_judged_and_kept(
    supply: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    # The sheet asks for the plug first; the second answer stops it: shorted turns.
    monkeypatch.setattr("sys.stdin", io.StringIO("3.3\n2 ohm\n"))
    kept = tmp_path / "kept.toml"
    assert main(["readings", supply, str(kept), "--ask"]) == 1
    out, err = capsys.readouterr()
    assert "STOP. 2 ohm for 18 ohm: shorted turns burn. No mains." in err
    assert "STOP ht a ohms (cold)" in out
    assert '"plug ohms" = "3.3 ohm"' in kept.read_text("utf-8")
    assert main(["readings", supply, str(kept), "--ask"]) == 2
