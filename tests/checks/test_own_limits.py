"""The user's own limits: how the file is read, and that whatever they change says so."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from psucheck.checks.case import Case
from psucheck.checks.limits import Limits, default_limits
from psucheck.checks.manual import limits_of
from psucheck.checks.own_limits import used_limits, with_files, with_own
from psucheck.checks.registry import RULES, judge_all
from psucheck.supply.errors import DescriptionError, Problem
from tests.checks import cases, test_examples, test_examples_of_parts

GOOD = """\
[capacitor-voltage]
practice = { value = "95 %", why = "new cans" }

[duty]
full-output = { value = 0.5, unit = "1", source = "house band", why = "plays hard" }

[cautions]
energy = { value = 5, why = "school" }

[fuse-running]
per-kelvin = { value = 0.004, why = "maker's curve" }
"""

Own = Callable[[str], Limits]


@pytest.fixture
def read(tmp_path: Path) -> Own:
    """Reads a limits file's text."""

    def of_text(text: str) -> Limits:
        path = tmp_path / "mine.toml"
        path.write_text(text, "utf-8")
        return with_own(default_limits(), path, "mine.toml")

    return of_text


def problems(read: Own, text: str) -> list[Problem]:
    with pytest.raises(DescriptionError) as raised:
        read(text)
    return raised.value.problems


def test_a_good_file_takes_the_place_of_what_it_names(read: Own) -> None:
    limits = read(GOOD)
    own = {limit.name: (limit.value, limit.source, limit.file) for limit in limits.own}
    assert own == {
        "capacitor-voltage.practice": (0.95, "new cans", "mine.toml"),
        "duty.full-output": (0.5, "plays hard; house band", "mine.toml"),
        "cautions.energy": (5.0, "school", "mine.toml"),
        "fuse-running.per-kelvin": (0.004, "maker's curve", "mine.toml"),
    }
    assert limits.value("capacitor-voltage.rating") == 1.0


def test_the_first_of_several_files_wins(tmp_path: Path) -> None:
    first, second = tmp_path / "first.toml", tmp_path / "second.toml"
    first.write_text('[duty]\nfull-output = { value = 0.5, why = "hard" }\n', "utf-8")
    second.write_text(GOOD.replace("0.5", "0.2"), "utf-8")
    limits = with_files(default_limits(), ((first, "first.toml"), (second, "second.toml")))
    assert (limits.value("duty.full-output"), limits["duty.full-output"].file) == (0.5, "first.toml")
    assert limits.value("cautions.energy") == 5.0


ONE = '[capacitor-voltage]\npractice = { value = %s, why = "so" }\n'


@pytest.mark.parametrize(
    ("text", "line", "key", "said"),
    [
        (ONE.replace("ctice", "ctise") % 0.95, 2, "capacitor-voltage.practise", 'did you mean "practice"?'),
        (ONE.replace("voltage", "volts") % 0.95, 1, "capacitor-volts", 'did you mean "capacitor-voltage"?'),
        ("capacitor-voltage = 3\n", 1, "capacitor-voltage", "a table of entries"),
        ("[capacitor-voltage]\npractice = 0.95\n", 2, "capacitor-voltage.practice", "with its reason"),
        (ONE.replace(', why = "so"', "") % 0.95, 2, "capacitor-voltage.practice.why", "lacks its reason"),
        (ONE.replace('"so"', '" "') % 0.95, 2, "capacitor-voltage.practice.why", "text in quotes"),
        (ONE.replace('"so"', "3") % 0.95, 2, "capacitor-voltage.practice.why", "text in quotes"),
        (ONE.replace("value = %s, ", ""), 2, "capacitor-voltage.practice.value", "lacks its value"),
        (ONE.replace("why", 'unit = "V", why') % 0.95, 2, "capacitor-voltage.practice.unit", "shares of one"),
        (ONE.replace("why", "status = 1, why") % 0.9, 2, "capacitor-voltage.practice.status", "not a key"),
        (ONE % 0, 2, "capacitor-voltage.practice.value", "a number above 0"),
        (ONE % -0.5, 2, "capacitor-voltage.practice.value", "a number above 0"),
        (ONE % "nan", 2, "capacitor-voltage.practice.value", "a number above 0"),
        (ONE % "inf", 2, "capacitor-voltage.practice.value", "a number above 0"),
        (ONE % "true", 2, "capacitor-voltage.practice.value", "a number or text"),
        (ONE % '"95"', 2, "capacitor-voltage.practice.value", "needs a unit"),
        (ONE % '"95 V"', 2, "capacitor-voltage.practice.value", "percentage"),
        (ONE % 95, 2, "capacitor-voltage.practice.value", 'write 0.95, or "95 %"'),
        (ONE % 9.0, 2, "capacitor-voltage.practice.value", "not believed"),
        ('[cautions]\nenergy = { value = "20 J", why = "so" }\n', 2, "cautions.energy.value", "be tightened"),
        ('[cautions]\nrail = { value = "42 V", why = "so" }\n', 2, "cautions.rail.value", "for everybody"),
        (
            '[fuse-running]\nper-kelvin = { value = "1 %", why = "so" }\n',
            2, "fuse-running.per-kelvin.value", "a number without quotes is wanted here, in 1/K",
        ),
        (
            '[core-drive]\nmarginal = { value = 1.2, why = "so" }\n',
            2, "core-drive.marginal.value", "must stay below core-drive.over",
        ),
        (
            '[core-drive]\nover = { value = "105 %", why = "so" }\n',
            2, "core-drive.over.value", "must stay below core-drive.over",
        ),
        ("# nothing\n", 0, "", "no limit stands in this file"),
        ("[duty\n", 1, "", "]"),
    ],
)  # fmt: skip
def test_every_fault_is_told_at_its_place(read: Own, text: str, line: int, key: str, said: str) -> None:
    (problem,) = problems(read, text)
    assert (problem.line, problem.key) == (line, key)
    assert said in problem.sentence()
    assert problem.file.endswith("mine.toml")


def test_all_faults_are_told_at_once(read: Own) -> None:
    text = ONE % 95 + "[duty]\nfull-output = { value = 2.0 }\nhalf-output = { value = 1.0 }\n"
    assert [problem.line for problem in problems(read, text)] == [2, 4, 4, 5]


# --- what an own limit changes says so --------------------------------------------------------------------

EXAMPLES: dict[str, Callable[[], Case]] = {
    "sound": cases.case,
    **test_examples.FAILING,
    **test_examples_of_parts.FAILING,
}


@pytest.fixture(scope="module")
def examples() -> dict[str, Case]:
    """The sound example and the failing ones, by their rule."""
    return {name: make() for name, make in EXAMPLES.items()}


@pytest.mark.parametrize("name", default_limits().entries)
def test_a_finding_that_an_own_limit_changes_names_it(name: str, examples: dict[str, Case]) -> None:
    house = default_limits()[name]
    rules = [rule for rule in RULES if house in limits_of(rule, default_limits())]
    tried = [examples["sound"], *(examples[rule.ID] for rule in rules if rule.ID in examples)]
    for value in house.between:
        own = Limits({**default_limits().entries, name: house.set_to(value, "so", "mine.toml")})
        for case in tried:
            same = {repr(one) for one in judge_all(case, default_limits(), rules)}
            for finding in judge_all(case, own, rules):
                assert set(finding.own_limits) <= {name}
                if repr(replace(finding, own_limits=(), house_verdict=None)) not in same:
                    assert finding.own_limits == (name,), finding


def test_a_verdict_of_the_house_s_that_is_another_is_kept() -> None:
    case = test_examples.FAILING["capacitor-voltage"]()
    rating = default_limits()["capacitor-voltage.rating"].set_to(1.5, "so", "mine.toml")
    limits = Limits({**default_limits().entries, rating.name: rating})
    findings = [one for one in judge_all(case, limits) if one.rule == "capacitor-voltage"]
    (finding,) = (one for one in findings if one.subject == "reservoir")
    assert (finding.verdict, finding.house_verdict) == ("ok", "over")
    assert {one.house_verdict for one in findings if one is not finding} == {None}
    (used,) = used_limits(limits, findings, {"the cautions": ()})
    assert used.limit is rating
    assert "capacitor-voltage reservoir" in used.used_in
    assert "the cautions" not in used.used_in


def test_without_own_limits_nothing_is_named(examples: dict[str, Case]) -> None:
    findings = judge_all(examples["sound"], default_limits())
    assert {finding.own_limits for finding in findings} == {()}
    assert used_limits(default_limits(), findings, {}) == ()
