"""compare: each supply as a check of its own tells it, on any number of workers."""

from __future__ import annotations

from dataclasses import replace

import pytest

from psucheck.engine.here import Here
from psucheck.report.document import comparison, document, dump
from psucheck.studies.check import check
from psucheck.studies.compare import Compared, compare
from psucheck.studies.many import Workers
from psucheck.supply.model import Description
from psucheck.supply.reader import parse_description
from tests.studies.small import TEXT, small

PAIR = [("a", small()), ("b", small(reservoir="100 uF 350 V"))]


@pytest.fixture(scope="module")
def compared() -> Compared:
    return compare(PAIR, Workers(2))


def test_each_is_what_a_check_says_of_it(compared: Compared) -> None:
    assert [heading for heading, _ in compared.columns] == ["a", "b"]
    for (_, report), (_, description) in zip(compared.columns, PAIR, strict=True):
        assert dump(document(report)) == dump(document(check(description, Here())))


def test_one_worker_gives_the_same_bytes(compared: Compared) -> None:
    alone = compare(PAIR, Workers(1))
    assert dump(comparison(alone.columns)) == dump(comparison(compared.columns))


def test_a_file_with_a_proposal_is_two_supplies() -> None:
    text = (
        TEXT
        + '\n[new.filter]\nreservoir = "100 uF 350 V"\n[accepted]\n"capacitor-voltage reservoir" = "so"\n'
    )
    description = parse_description(text, "small.toml")
    compared = compare([("small", description)], Workers(2))
    (found, first), (proposed, second) = compared.columns
    assert (found, proposed) == ("as found", "proposed")
    assert second.supply.filter["reservoir"].capacitor != first.supply.filter["reservoir"].capacitor
    verdicts = [
        {f.verdict for f in report.findings if (f.rule, f.subject) == ("capacitor-voltage", "reservoir")}
        for report in (first, second)
    ]
    assert verdicts[1] == {"accepted"}
    assert "over" not in verdicts[0]


def test_with_the_readings_of_the_first_the_others_are_proposals() -> None:
    other = small(ht="300 V 120 mA, 60 ohm")
    compared = compare([PAIR[0], ("c", other)], Workers(2), readings_of_first=True)
    wanted = check(Description(found=PAIR[0][1].found, proposed=other.found), Here())
    assert compared.columns[1][0] == "c"
    assert dump(document(compared.columns[1][1])) == dump(document(replace(wanted, found=None)))
