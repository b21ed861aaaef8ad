"""Sound supplies have nothing over; each wrong one gets exactly the rules that it should."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache

import pytest

from psucheck.checks.finding import Finding, Verdict
from psucheck.checks.registry import RULES, accept, name_of
from tests.seeded.corpus import SOUND, Wrong, description_of, news, sound_tables, wrong
from tests.seeded.running import Remembering, judged

MOST_MARGINALS = 3
"""Of so many rules an ordinary sound supply may be told in its steady states; more is nagging."""


NOT_SEEDED = {"fuse-breaking"}
"""Rules for which nothing is seeded so far."""


@pytest.mark.parametrize("base", SOUND)
def test_a_sound_supply_and_those_made_wrong_of_it(base: str) -> None:
    pool = Remembering()

    @cache
    def before(runs: str) -> tuple[Finding, ...]:
        return tuple(judged(description_of(base), runs, pool))

    _assert_sound(before("steady"))
    differing = {}
    for one in (each for each in wrong() if each.base == base):
        findings = judged(description_of(base, one.change), one.runs, pool)
        found = news(before(one.runs), findings)
        # One that psucheck is known to see otherwise must go on doing so until that is mended.
        if (found == one.expected) == bool(one.doubt):
            differing[one.name] = (one.expected, found, _told(one, found, findings))
        _assert_acceptable(findings)
    assert differing == {}


def _assert_sound(findings: Sequence[Finding]) -> None:
    assert [(one.rule, one.subject, one.why) for one in findings if one.verdict == "over"] == []
    marginal = {one.rule for one in findings if one.verdict == "marginal"}
    assert len(marginal) <= MOST_MARGINALS, marginal


def _told(one: Wrong, found: Mapping[str, Verdict], findings: Sequence[Finding]) -> list[tuple[str, ...]]:
    odd = {rule for rule in {**found, **one.expected} if found.get(rule) != one.expected.get(rule)}
    return [(each.rule, each.subject, each.verdict, each.why) for each in findings if each.rule in odd]


def _assert_acceptable(findings: Sequence[Finding]) -> None:
    """Whatever is over or marginal can be accepted by its name, and is counted so."""
    told = [finding for finding in findings if finding.verdict in ("over", "marginal")]
    accepted = accept(findings, {name_of(finding): "built so" for finding in told})
    verdicts = [finding.verdict for finding in accepted]
    assert verdicts.count("accepted") == len(told)
    assert not {"over", "marginal"} & set(verdicts)


def test_the_corpus_is_large_enough() -> None:
    assert len(SOUND) >= 20
    assert len(wrong()) >= 60
    assert {one.base for one in wrong()} == set(SOUND)
    assert all(one.why and one.finds for one in wrong())


def test_every_rule_is_hit() -> None:
    missing = {rule.ID for rule in RULES} - {rule for one in wrong() for rule in one.finds}
    assert missing == NOT_SEEDED


def test_every_topology_is_there() -> None:
    tables = [sound_tables(name) for name in SOUND]
    circuits = {rectifier["circuit"] for table in tables for rectifier in table["rectifiers"].values()}
    assert circuits == {"centre-tapped", "bridge", "half-wave", "full-wave doubler", "cascade doubler"}
    assert {table["mains"]["voltage"] for table in tables} >= {"100 V", "120 V", "230 V", "240 V"}
    assert {table["mains"]["frequency"] for table in tables} == {"50 Hz", "60 Hz"}
    places = {switch["place"] for table in tables for switch in table.get("switches", {}).values()}
    assert places >= {
        "before reservoir", "before screens", "after reservoir", "centre tap ht", "each winding ht"
    }  # fmt: skip
