"""Finding a part by its name, its alias, or not at all."""

import pytest

from psucheck.parts import BadPartsData, UnknownPart, library
from psucheck.parts.catalogue import Catalogue
from psucheck.parts.sourced import Part

ALIASES = [
    ("5AR4", "GZ34"), ("6V4", "EZ80"), ("6CA4", "EZ81"), ("6X4", "EZ90"), ("5V4GA", "5V4G"), ("5Y3", "5Y3GT"),
]  # fmt: skip
LOAD_ALIASES = [
    ("6CA7", "EL34"), ("6BQ5", "EL84"), ("12AX7", "ECC83"), ("12AT7", "ECC81"), ("12AU7", "ECC82"),
    ("6267", "EF86"), ("6V6", "6V6GT"),
]  # fmt: skip


@pytest.mark.parametrize(("alias", "name"), ALIASES)
def test_an_alias_is_the_same_rectifier_valve(alias: str, name: str) -> None:
    assert library().rectifier_valve(alias) is library().rectifier_valve(name)
    assert library().rectifier_valve(alias).name == name


@pytest.mark.parametrize(("alias", "name"), LOAD_ALIASES)
def test_an_alias_is_the_same_valve(alias: str, name: str) -> None:
    assert library().load_valve(alias) is library().load_valve(name)


@pytest.mark.parametrize("spelt", ["gz34", " GZ34 ", "GZ-34", "gz 34"])
def test_case_spaces_and_hyphens_are_no_matter(spelt: str) -> None:
    assert library().rectifier_valve(spelt).name == "GZ34"


def test_gz32_is_no_5v4() -> None:
    gz32, v = library().rectifier_valve("GZ32"), library().rectifier_valve("5V4G")
    assert gz32.heater.value.amps - v.heater.value.amps == pytest.approx(0.3)
    assert "5V4" not in gz32.aliases


@pytest.mark.parametrize(
    ("asked", "nearest"),
    [("GZ43", "GZ34"), ("5U4", "5U4G"), ("EZ8", "EZ80"), ("5AR5", "5AR4")],
)
def test_an_unknown_rectifier_valve_names_the_nearest(asked: str, nearest: str) -> None:
    with pytest.raises(UnknownPart) as caught:
        library().rectifier_valve(asked)
    assert caught.value.name == asked
    assert caught.value.kind == "rectifier valve"
    assert caught.value.nearest[0] == nearest


def test_the_message_of_an_unknown_part() -> None:
    with pytest.raises(UnknownPart) as caught:
        library().diode("1N4077")
    assert str(caught.value).startswith("no diode named '1N4077' is held; nearest: 1N4007")


def test_a_name_like_nothing_has_no_nearest() -> None:
    with pytest.raises(UnknownPart) as caught:
        library().mains_system("Xyzzyqqq")
    assert caught.value.nearest == []
    assert str(caught.value) == "no mains system named 'Xyzzyqqq' is held"


def test_an_empty_name_is_unknown() -> None:
    with pytest.raises(UnknownPart):
        library().load_valve(" ")


def test_rectifier_finds_valves_and_diodes() -> None:
    assert library().rectifier("GZ34").kind == "valve"
    assert library().rectifier("1N4007").kind == "silicon"
    with pytest.raises(UnknownPart) as caught:
        library().rectifier("1N4008")
    assert "1N4007" in caught.value.nearest


def test_names_and_aliases_are_unique_within_a_kind() -> None:
    for catalogue in (library().rectifier_valves, library().diodes, library().load_valves):
        names = [one.casefold() for one in catalogue.names()]
        assert len(names) == len(set(names))


def test_no_load_valve_is_also_a_rectifier() -> None:
    held = library()
    assert not [name for name in held.load_valves.names() if name in held.rectifier_valves]


def test_a_name_used_twice_is_refused() -> None:
    parts = [Part(name="EZ81", aliases=("6CA4",)), Part(name="6-ca4")]
    with pytest.raises(BadPartsData) as caught:
        Catalogue("valve", parts, "some.toml")
    assert str(caught.value) == "some.toml: 6-ca4: the name '6-ca4' is used twice"


def test_the_library_is_made_once() -> None:
    assert library() is library()
