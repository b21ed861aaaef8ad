"""The table of limits, and a user's own entries in it."""

from __future__ import annotations

import pytest

from psucheck.checks.limits import Limit, Limits, LimitsError, default_limits, parse

ENTRY = '{ value = 0.9, unit = "1", source = "a", status = "read", says = "b", looser = "higher"%s }'


def entry(**changed: str) -> str:
    text = ENTRY % "".join(f", {key} = {value}" for key, value in changed.items())
    return f"[rule]\nmost = {text}\n"


def own(name: str, value: float) -> Limit:
    return default_limits()[name].set_to(value, "so", "mine.toml")


def with_own(*limits: Limit) -> Limits:
    return Limits({**default_limits().entries, **{limit.name: limit for limit in limits}})


def test_every_entry_of_the_house_is_between_its_bounds() -> None:
    for limit in default_limits().entries.values():
        assert limit.between[0] <= limit.value <= limit.between[1]
        assert limit.house is None


def test_every_rule_s_entry_says_which_way_is_looser() -> None:
    either = {name for name, limit in default_limits().entries.items() if limit.looser == "either"}
    assert either == {"valve-dissipation.usual-idle"}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (entry().replace(', says = "b"', ""), "needs"),
        (entry(moreover="1"), "has keys"),
        (entry().replace('"read"', '"heard"'), "heard"),
        (entry().replace('"higher"', '"upwards"'), "upwards"),
        (entry(between="[1.0, 2.0]"), "not between"),
        (entry(below='"least"') + "least = " + ENTRY % "", "not below"),
    ],
)
def test_a_malformed_table_names_the_entry(text: str, said: str) -> None:
    with pytest.raises(LimitsError, match=f"rule.most.*{said}"):
        parse(text)


@pytest.mark.parametrize(
    ("name", "value", "way"),
    [
        ("capacitor-voltage.practice", 0.95, "looser"),
        ("capacitor-voltage.practice", 0.8, "tighter"),
        ("capacitor-voltage.practice", 0.9, "other"),
        ("duty.full-output", 0.5, "tighter"),
        ("duty.full-output", 0.2, "looser"),
        ("valve-dissipation.usual-idle", 0.6, "other"),
    ],
)
def test_which_way_an_own_limit_moves_the_house_s(name: str, value: float, way: str) -> None:
    assert own(name, value).way == way
    assert default_limits()[name].way == "other"


def test_an_own_limit_is_told_beside_the_house_s() -> None:
    limit = own("capacitor-voltage.practice", 0.95)
    assert limit.told == "capacitor-voltage.practice: 95 % (yours; house 90 %, looser)"
    assert limit.cited == "so (yours, from mine.toml; house 90 %)"
    assert own("cautions.energy", 5.0).told == "cautions.energy: 5 J (yours; house 10 J, tighter)"
    with pytest.raises(LimitsError, match="house's own"):
        _ = default_limits()["cautions.energy"].told


def test_set_twice_it_remembers_the_house() -> None:
    twice = own("cautions.energy", 5.0).set_to(7.0, "after all", "other.toml")
    assert twice.house == default_limits()["cautions.energy"]


def test_noting_tells_the_own_entries_that_were_read_since_it_was_asked() -> None:
    noting = with_own(own("cautions.energy", 5.0), own("duty.full-output", 0.5)).noting()
    assert noting.taken() == ()
    assert noting.value("cautions.energy") == 5.0
    assert noting["cautions.energy-volts"].value == 100.0
    assert noting.taken() == ("cautions.energy",)
    assert noting.taken() == ()


def test_the_house_s_table_comes_back() -> None:
    limits = with_own(own("cautions.energy", 5.0))
    assert [limit.name for limit in limits.own] == ["cautions.energy"]
    assert limits.of_house().entries == default_limits().entries
