from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

import pytest

from psucheck.checks import manual
from psucheck.checks.case import Case, Rule
from psucheck.checks.finding import Finding, Verdict
from psucheck.checks.judging import severity
from psucheck.checks.limits import Limits, default_limits
from psucheck.checks.registry import (
    RULES,
    CrashedFinding,
    UnmatchedAccepted,
    accept,
    judge_all,
    unknown_rule,
)
from tests.checks import cases


def ident(rule: Rule) -> str:
    return rule.ID


@dataclass
class Fake:
    findings: tuple[tuple[str, Verdict, float | None], ...] = ()
    ID: str = "fake-rule"
    TITLE: str = "Fake"

    def judge(self, case: Case, limits: Limits) -> Iterator[Finding]:
        del case, limits
        for subject, verdict, margin in self.findings:
            yield Finding(self.ID, subject, None, verdict, "Because.", "a sheet", margin=margin)


class Broken(Fake):
    def judge(self, case: Case, limits: Limits) -> Iterator[Finding]:
        yield from super().judge(case, limits)
        raise ZeroDivisionError("float division by zero")


def test_ids_are_kebab_case_and_unique() -> None:
    ids = [rule.ID for rule in RULES]
    assert len(set(ids)) == len(ids)
    assert all(re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", each) for each in ids)
    assert len({rule.TITLE for rule in RULES}) == len(RULES)


@pytest.mark.parametrize("rule", RULES, ids=ident)
def test_every_rule_has_its_manual_page(rule: Rule) -> None:
    assert tuple(manual.page(rule).sections) == manual.SECTIONS


def test_every_limit_belongs_to_a_rule_and_has_a_source() -> None:
    limits = default_limits()
    shared = {"duty", "cautions"}
    assert {name.split(".")[0] for name in limits.entries} <= {rule.ID for rule in RULES} | shared
    for limit in limits.entries.values():
        assert limit.says, limit.name
        assert bool(limit.source) == (limit.status != "practice"), limit.name


@pytest.mark.parametrize("rule", RULES, ids=ident)
def test_every_finding_cites_its_source_and_says_what_to_measure(rule: Rule) -> None:
    for finding in rule.judge(cases.case(), default_limits()):
        assert finding.rule == rule.ID
        assert finding.why.strip()
        assert bool(finding.measure) == (finding.verdict == "not checked")
        if finding.limit is not None:
            assert finding.source


def test_the_example_is_within_every_limit() -> None:
    findings = judge_all(cases.case(), default_limits())
    assert [finding for finding in findings if finding.verdict in ("over", "marginal")] == []
    assert not any(isinstance(finding, CrashedFinding) for finding in findings)


def test_what_is_over_stands_first_and_the_worst_of_it_before() -> None:
    fake = Fake((("a", "ok", 0.1), ("b", "over", -0.1), ("c", "marginal", 0.05), ("d", "over", -0.5)))
    findings = judge_all(cases.case(), default_limits(), (fake,))
    assert [finding.subject for finding in findings] == ["d", "b", "c", "a"]
    assert findings == sorted(findings, key=severity)


def test_a_rule_that_raises_is_not_checked_and_marked() -> None:
    findings = judge_all(
        cases.case(), default_limits(), (Broken((("a", "ok", None),)), Fake((("b", "ok", 0.1),), "other"))
    )
    assert [(finding.rule, finding.verdict) for finding in findings] == [
        ("fake-rule", "not checked"),
        ("other", "ok"),
    ]
    assert isinstance(findings[0], CrashedFinding)
    assert findings[0].why == "The rule itself failed: ZeroDivisionError: float division by zero"


def test_accepted_findings_stand_but_are_no_longer_over() -> None:
    fake = Fake((("output", "over", -0.1), ("fine", "ok", 0.1), ("other", "over", -0.2)))
    found = judge_all(cases.case(), default_limits(), (fake,))
    named = {"fake-rule output": "the maker ran them so", "fake-rule fine": "anyway"}
    verdicts = {finding.subject: finding.verdict for finding in accept(found, named)}
    assert verdicts == {"output": "accepted", "fine": "ok", "other": "over"}


def test_accepting_what_was_not_checked_does_not_pass_it() -> None:
    findings = judge_all(cases.case(), default_limits(), (Fake((("output", "not checked", None),)),))
    accepted = accept(findings, {"fake-rule output": "never mind"})
    assert [finding.verdict for finding in accepted] == ["not checked"]


def test_accepting_what_no_rule_found_is_an_error_with_the_nearest_name() -> None:
    fake = Fake((("output", "over", -0.1), ("bias", "ok", 0.1)))
    findings = judge_all(cases.case(), default_limits(), (fake,))
    with pytest.raises(UnmatchedAccepted) as raised:
        accept(findings, {"fake-rule outputs": "the maker ran them so"})
    assert (raised.value.name, raised.value.nearest) == ("fake-rule outputs", "fake-rule output")
    assert raised.value.allowed == ("fake-rule bias", "fake-rule output")


@pytest.mark.parametrize(
    ("name", "nearest"),
    [
        ("capacitor-volts reservoir", "capacitor-voltage reservoir"),
        ("reservoir", None),
        ("Valve-voltage output", "valve-voltage output"),
    ],
)
def test_what_begins_with_no_rule_is_known_before_any_run(name: str, nearest: str | None) -> None:
    error = unknown_rule(["valve-voltage output", name])
    assert error is not None
    assert (error.name, error.nearest) == (name, nearest)


def test_every_rule_may_be_named() -> None:
    assert unknown_rule(f"{rule.ID} anything" for rule in RULES) is None


def test_a_crashed_rule_does_not_make_its_accepted_name_an_error() -> None:
    findings = judge_all(cases.case(), default_limits(), (Broken(),))
    accepted = accept(findings, {"fake-rule output": "the maker ran them so"})
    assert isinstance(accepted[0], CrashedFinding)
