"""The library as a list: nothing of the data files is left out of it."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable

import pytest

from psucheck.parts import shipped
from psucheck.parts.kinds import KIND_WORDS
from psucheck.parts.listing import Item, Value, find, items
from psucheck.parts.own import read_own
from psucheck.parts.shelves import Library
from tests.parts.test_every_value import all_values
from tests.parts.test_user_parts import GOOD

ITEMS = items(shipped())


def every(values: Iterable[Value]) -> int:
    return sum(1 + every(value.also) for value in values)


def test_every_value_of_every_data_file_is_listed() -> None:
    derived = {"perveance", "screen_to_grid_amplification"}
    listed = sum(every(v for v in item.values if v.key not in derived) for item in ITEMS)
    assert listed == sum(1 for _ in all_values())


def test_every_kind_has_its_parts_and_no_name_stands_twice_in_one() -> None:
    assert {item.kind for item in ITEMS} == set(KIND_WORDS)
    names = [(item.kind, name) for item in ITEMS for name in item.names]
    assert len(names) == len(set(names))


def test_the_constants_of_the_laws_stand_with_their_parts() -> None:
    (gz34,), _, _ = find(ITEMS, "GZ34")
    perveance = gz34.values[-1]
    assert perveance.quantities == {"amps_per_volt_1_5": shipped().rectifier_valve("GZ34").perveance.value}
    assert perveance.status == "derived"
    (el34,), _, _ = find(ITEMS, "EL34")
    assert el34.values[-1].key == "screen_to_grid_amplification"


def one(asked: str, among: list[Item] = ITEMS) -> str:
    exact, _, _ = find(among, asked)
    return exact[0].name if len(exact) == 1 else ""


@pytest.mark.parametrize("asked", ["GZ34", "gz34", "5AR4", " gz-34 "])
def test_a_part_is_found_by_name_and_alias(asked: str) -> None:
    assert one(asked) == "GZ34"


def test_a_piece_finds_all_that_have_it() -> None:
    exact, found, near = find(ITEMS, "5U4")
    assert (exact, [item.name for item in found], near) == ([], ["5U4G", "5U4GB"], [])
    assert {item.kind for item in find(ITEMS, "thermistor")[1]} == set()
    assert {item.kind for item in find(ITEMS, "NTC")[1]} == {"limiters"}


@pytest.mark.parametrize(("asked", "nearest"), [("GZ43", "GZ34"), ("1N4070", "1N4007"), ("El43", "EL34")])
def test_what_is_not_there_has_its_nearest(asked: str, nearest: str) -> None:
    exact, found, near = find(ITEMS, asked)
    assert (exact, found, near[0]) == ([], [], nearest)


@pytest.mark.parametrize("asked", ["", " ", "-"])
def test_nothing_asked_is_nothing_found(asked: str) -> None:
    assert find(ITEMS, asked) == ([], [], [])


def test_an_own_part_stands_first_and_the_librarys_is_marked() -> None:
    own = items(Library((read_own(tomllib.loads(GOOD), "my-parts.toml", shipped()),)))
    exact, _, _ = find(own, "GZ34")
    assert [(item.file, item.hidden) for item in exact] == [("my-parts.toml", False), (None, True)]
    drop = next(value for value in exact[0].values if value.key == "drop")
    assert drop.source == "printed on the box; measured on the bench"
    assert every([drop]) == 2
