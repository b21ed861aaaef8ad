from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import jsonschema
import pytest

from psucheck.checks.finding import Cure
from psucheck.checks.registry import CrashedFinding
from psucheck.cli.main import main
from psucheck.report.document import schema
from psucheck.report.view import Report
from psucheck.supply.model import Description
from tests.cli.conftest import SOUND, SUPPLY

pytestmark = pytest.mark.usefixtures("made_once")
Write = Callable[[str], Path]
_COLOUR = re.compile(r"\x1b\[[0-9;]*3[0-9]")


def _check(path: Path, *options: str) -> int:
    return main(["check", str(path), *options])


@pytest.mark.parametrize(("text", "status"), [(SUPPLY, 1), (SOUND, 0)], ids=["over", "nothing over"])
def test_the_status_says_whether_anything_is_over(
    text: str, status: int, write: Write, capsys: pytest.CaptureFixture[str]
) -> None:
    assert _check(write(text)) == status
    out, err = capsys.readouterr()
    assert out.splitlines()[0] == "centre-tapped"
    assert out.splitlines()[1].startswith("OVER: " if status else "NOTHING OVER: 0 over")
    assert err == ""


def test_strict_also_minds_what_is_marginal_or_not_checked(
    write: Write, reports: dict[str, Report], capsys: pytest.CaptureFixture[str]
) -> None:
    verdicts = {finding.verdict for finding in reports[SOUND].findings}
    assert verdicts & {"marginal", "not checked"}
    assert _check(write(SOUND), "--strict") == 1
    assert capsys.readouterr().err == ""


def test_a_rule_that_fails_is_status_3_and_the_rest_is_shown(
    write: Write,
    reports: dict[str, Report],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    crashed = CrashedFinding("ripple", "all", None, "not checked", "The rule itself failed.", "")
    report = reports[SUPPLY]
    monkeypatch.setattr(
        "psucheck.studies.check.check",
        lambda *_, **__: replace(report, findings=[*report.findings, crashed]),
    )
    assert _check(write(SUPPLY)) == 3
    assert "The rule itself failed." in capsys.readouterr().out


def test_json_is_one_document_by_the_schema(write: Write, capsys: pytest.CaptureFixture[str]) -> None:
    assert _check(write(SUPPLY), "--json") == 1
    out, err = capsys.readouterr()
    document = json.loads(out)
    jsonschema.validate(document, schema())
    assert document["schema"] == "psucheck/1"
    assert document["title"] == "centre-tapped"
    assert err == ""
    assert not _COLOUR.search(out)


def test_json_says_what_the_tables_say(
    write: Write, reports: dict[str, Report], capsys: pytest.CaptureFixture[str]
) -> None:
    _check(write(SUPPLY), "--json")
    document = json.loads(capsys.readouterr().out)
    _check(write(SUPPLY))
    shown = " ".join(capsys.readouterr().out.split())
    for finding in document["findings"]:
        if finding["verdict"] == "over":
            assert f"{finding['rule']} {finding['subject']}" in shown
    assert [f["verdict"] for f in document["findings"]] == [f.verdict for f in reports[SUPPLY].findings]


def test_long_shows_more(write: Write, capsys: pytest.CaptureFixture[str]) -> None:
    _check(write(SUPPLY))
    short = capsys.readouterr().out
    _check(write(SUPPLY), "--long")
    long = capsys.readouterr().out
    assert len(long.splitlines()) > 3 * len(short.splitlines())
    assert "--long" in short
    assert "--long" not in long


def test_cures_are_looked_for_where_they_are_asked_for(
    write: Write,
    reports: dict[str, Report],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    cure = Cure((), "nothing was found in the test")
    report = reports[SUPPLY]
    cured = [replace(f, cure=cure) if f.verdict == "over" else f for f in report.findings]

    def study(_: object, __: object, *, ranges: bool, told: Callable[[str], None]) -> Report:
        told("something")
        assert not ranges
        return replace(report, findings=cured)

    monkeypatch.setattr("psucheck.studies.cures.check_with_cures", study)
    assert _check(write(SUPPLY), "--cures") == 1
    out, err = capsys.readouterr()
    assert "No cure: nothing was found in the test." in out
    assert err == "", "progress is for a terminal"
    _check(write(SUPPLY))
    assert "No cure" not in capsys.readouterr().out


@pytest.mark.parametrize("columns", [80, 120])
@pytest.mark.parametrize("options", [(), ("--long",)])
def test_lines_are_as_wide_as_the_terminal(
    columns: int,
    options: tuple[str, ...],
    write: Write,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    _check(write(SUPPLY), *options)
    lines = capsys.readouterr().out.splitlines()
    assert max(map(len, lines)) <= columns
    if columns == 120:
        assert max(map(len, lines)) > 80


def test_a_pipe_gets_no_colour(write: Write, capsys: pytest.CaptureFixture[str]) -> None:
    _check(write(SUPPLY), "--long")
    assert "\x1b" not in capsys.readouterr().out


def test_colour_where_it_is_asked_for_and_none_with_no_color(
    write: Write, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("FORCE_COLOR", "1")
    monkeypatch.setenv("TERM", "xterm-256color")
    _check(write(SUPPLY))
    coloured = capsys.readouterr().out
    assert _COLOUR.search(coloured)
    monkeypatch.setenv("NO_COLOR", "1")
    _check(write(SUPPLY))
    plain = capsys.readouterr().out
    assert not _COLOUR.search(plain)
    strip = re.compile(r"\x1b\[[0-9;]*m")
    assert strip.sub("", coloured) == strip.sub("", plain)


# --- what is unusable -------------------------------------------------------------------------------------


def test_a_bad_description_is_a_message_and_status_2(
    write: Write, capsys: pytest.CaptureFixture[str]
) -> None:
    path = write(SUPPLY.replace('device = "1N4007"', 'device = "1N40O7"'))
    assert _check(path) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert str(path) in err
    assert '"1N40O7"' in err
    assert "1N4007" in err
    assert "^" in err
    assert "Traceback" not in err


@pytest.mark.parametrize("options", [(), ("--json",), ("--long",)])
def test_nothing_of_a_bad_description_is_printed(
    options: tuple[str, ...], write: Write, capsys: pytest.CaptureFixture[str]
) -> None:
    assert _check(write("title = 3\n"), *options) == 2
    assert capsys.readouterr().out == ""


def test_a_file_that_is_not_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert _check(tmp_path / "none.toml") == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert "none.toml" in err
    assert "no such file" in err


def test_an_accepted_finding_that_is_none(
    write: Write,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    reports: dict[str, Report],
) -> None:
    from psucheck.checks.registry import accept

    def study(description: Description, *_: object, **__: object) -> Report:
        accept(reports[SUPPLY].findings, description.found.accepted)
        return reports[SUPPLY]

    monkeypatch.setattr("psucheck.studies.check.check", study)
    path = write(f'{SUPPLY}\n[accepted]\n"capacitor-voltage preampp" = "so"\n')
    line = path.read_text("utf-8").count("\n")
    assert _check(path) == 2
    out, err = capsys.readouterr()
    assert out == ""
    flat = " ".join(err.split())
    assert f'line {line}, accepted."capacitor-voltage preampp"' in flat
    assert 'did you mean "capacitor-voltage preamp"?' in flat


def test_an_accepted_rule_that_is_none_is_told_before_any_run(
    write: Write, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_run(*_: object, **__: object) -> None:
        raise AssertionError("nothing is run")

    monkeypatch.setattr("psucheck.studies.check.run_conditions", no_run)
    monkeypatch.setattr("psucheck.studies.check.place_readings", no_run)
    text = SUPPLY.replace('title = "', 'title = "other ')
    assert _check(write(f'{text}\n[accepted]\n"capacitor-volts preamp" = "so"\n')) == 2
    assert "capacitor-voltage preamp" in capsys.readouterr().err
