from __future__ import annotations

import json
import re

import pytest

from psucheck.checks.limits import default_limits
from psucheck.checks.manual import SECTIONS, limits_of, page
from psucheck.checks.registry import RULES
from psucheck.cli.main import main

IDS = [rule.ID for rule in RULES]


@pytest.fixture(autouse=True)
def plain_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("FORCE_COLOR", raising=False)
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("COLUMNS", "80")


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    assert main(["why", *arguments]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    return out


def flat(text: str) -> str:
    return re.sub(r"\s+", " ", text.replace("``", "")).strip()


def test_without_a_rule_all_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    lines = run(capsys).splitlines()
    assert [line.split()[0] for line in lines[2:]] == IDS
    for rule, line in zip(RULES, lines[2:], strict=True):
        assert line.rstrip().endswith(rule.TITLE)


@pytest.mark.parametrize("columns", [80, 120])
@pytest.mark.parametrize("rule", RULES, ids=IDS)
def test_a_page_has_every_section_and_every_limit(
    rule: object, columns: int, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    made = page(rule)  # type: ignore[arg-type]
    out = run(capsys, made.id)
    assert max(map(len, out.splitlines())) <= columns
    assert "\x1b" not in out
    assert "``" not in out
    headings = [line.rstrip() for line in out.splitlines() if line.rstrip() in SECTIONS]
    assert tuple(headings) == SECTIONS
    for text in made.sections.values():
        for paragraph in text.split("\n\n"):
            assert flat(paragraph) in flat(out)
    squeezed = re.sub(r"\s", "", out)
    for limit in limits_of(rule, default_limits()):  # type: ignore[arg-type]
        assert re.sub(r"\s", "", limit.name.removeprefix(f"{made.id}.")) in squeezed


def test_the_numbers_and_sources_of_the_limits(capsys: pytest.CaptureFixture[str]) -> None:
    out = flat(run(capsys, "capacitor-voltage"))
    assert "practice 90 % lasting voltage stays below this share of the rating." in out
    assert "common practice, no source." in out
    assert "chemi-con.com" in out


@pytest.mark.parametrize(
    ("rule", "entry"),
    [
        ("winding-current", "duty.full-output"),
        ("fuse-running", "duty.full-output"),
        ("winding-current", "winding-current.guide-bridge-choke"),
    ],
)
def test_limits_shared_with_other_rules_are_shown_too(rule: str, entry: str) -> None:
    module = next(one for one in RULES if rule == one.ID)
    assert entry in [limit.name for limit in limits_of(module, default_limits())]


def test_every_entry_of_the_table_of_limits_is_on_some_page() -> None:
    limits = default_limits()
    shown = {limit.name for rule in RULES for limit in limits_of(rule, limits)}
    assert {
        name for name in limits.entries if name not in shown and not name.startswith("cautions.")
    } == set()


@pytest.mark.parametrize("asked", ["capacitor-voltage reservoir", "Capacitor-Voltage", " capacitor-voltage "])
def test_a_findings_name_will_do(asked: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(capsys, asked) == run(capsys, "capacitor-voltage")


@pytest.mark.parametrize("options", [(), ("--json",)])
@pytest.mark.parametrize(
    ("asked", "nearest"), [("capcitor-voltage", "capacitor-voltage"), ("fuse-runing", "fuse-running")]
)
def test_an_unknown_rule_is_status_2_with_the_nearest_and_the_list(
    asked: str, nearest: str, options: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["why", asked, *options]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert f'no rule "{asked}"; the nearest is "{nearest}"' in err
    assert all(one in err for one in IDS)


@pytest.mark.parametrize("asked", ["xyzzy", "", "\x1b[31m"])
def test_what_is_near_nothing(asked: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["why", asked]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert "nearest" not in err
    assert "\x1b" not in err
    assert "capacitor-voltage" in err


def test_the_list_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    document = json.loads(run(capsys, "--json"))
    assert document["schema"] == "psucheck/1"
    assert [rule["id"] for rule in document["rules"]] == IDS


def test_a_page_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    rule = json.loads(run(capsys, "ripple", "--json"))["rule"]
    assert list(rule["sections"]) == list(SECTIONS)
    assert rule["title"] == "Ripple"
    (entry,) = (one for one in rule["limits"] if one["name"] == "ripple.push-pull")
    assert entry["value"] == default_limits().value("ripple.push-pull")
    assert set(entry) == {"name", "value", "unit", "says", "source", "status"}


def test_colour_where_it_is_asked_for(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    plain = run(capsys, "ripple")
    monkeypatch.setenv("FORCE_COLOR", "1")
    monkeypatch.setenv("TERM", "xterm-256color")
    coloured = run(capsys, "ripple")
    assert re.sub(r"\x1b\[[0-9;]*m", "", coloured) == plain
    assert "\x1b[1m" in coloured
