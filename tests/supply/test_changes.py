"""A description changed by paths says what the file so edited would say."""

from __future__ import annotations

import copy
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from psucheck.supply.changes import changed, paths
from psucheck.supply.errors import DescriptionError, Problem
from psucheck.supply.model import Capacitor, Description, Device, Fuse, Resistor, Supply
from psucheck.supply.reader import parse_description
from tests.parts.test_user_parts import GOOD

ROOT = Path(__file__).parents[2]
TEXT = (Path(__file__).parent / "bad" / "base.toml").read_text(encoding="utf-8")
NEW = '\n[new.filter]\nreservoir = "47 uF 500 V"\n[new.rectifiers.ht]\ndevice = "2 x 1N4007 in series"\n'
NETLISTS = sorted((ROOT / "netlists").glob("*.toml"))


def read(text: str = TEXT) -> Description:
    return parse_description(text, "supply.toml")


def edited(*edits: tuple[str, str]) -> Supply:
    text = TEXT
    for find, write in edits:
        assert text.count(find) == 1, find
        text = text.replace(find, write)
    return read(text).found


def with_changes(**changes: Any) -> Supply:
    """The base with changes, by path with ``_`` for a dot."""
    return changed(read(), {path.replace("__", "."): value for path, value in changes.items()}).found


def problems(changes: dict[str, Any], text: str = TEXT, *, beside: bool = False) -> list[Problem]:
    with pytest.raises(DescriptionError) as caught:
        changed(read(text), changes, beside=beside)
    return caught.value.problems


@pytest.mark.parametrize(
    ("changes", "edits"),
    [
        ({"filter.reservoir": "40 uF 550 V"}, [('"50 uF 500 V, was 455 V"', '"40 uF 550 V, was 455 V"')]),
        ({"filter.splitter": "22k 2 W"}, [('"10k 1 W, 2 x', '"22k 2 W, 2 x')]),
        ({"filter.screens": "470 ohm 5 W"}, [("choke 10 H 110 ohm 180 mA", "470 ohm 5 W")]),
        ({"filter.screens.resistor": "470 ohm 5 W"}, [("choke 10 H 110 ohm 180 mA", "470 ohm 5 W")]),
        ({"filter.screens.choke.current": "200 mA"}, [("110 ohm 180 mA", "110 ohm 200 mA")]),
        ({"filter.reservoir.bleeder": "220k 2 W"}, [("was 455 V", "was 455 V, bleeder 220k 2 W")]),
        ({"filter.reservoir.bleeder.value": "220k"}, [("was 455 V", "was 455 V, bleeder 220k")]),
        ({"filter.preamp.bleeder": None}, [(", bleeder 220k 1 W", "")]),
        ({"filter.reservoir.was": "440 V"}, [("was 455 V", "was 440 V")]),
        ({"fuses.mains": None}, [('mains = "T2AL250V"\n', "")]),
        ({"fuses.mains": "none"}, [('mains = "T2AL250V"\n', "")]),
        ({"fuses.mains.rating": "T3.15AH250V"}, [("T2AL250V", "T3.15AH250V")]),
        ({"fuses.mains.current": "3 A"}, [("T2AL250V", "T3AL250V")]),
        ({'fuses."before reservoir"': "T1AL250V"}, [("T500mAL250V", "T1AL250V")]),
        ({"fuses.before Reservoir": "T1AL250V"}, [("T500mAL250V", "T1AL250V")]),
        ({"fuses.each winding B+": "T1AL250V"}, [("[fuses]", '[fuses]\n"each winding ht" = "T1AL250V"')]),
        ({"mains.line": "246 V"}, [('wall = "243 V"', 'wall = "246 V"')]),
        ({"mains.wall": None}, [('wall = "243 V"\n', "")]),
        ({"mains": {"wall": "246 V"}}, [('wall = "243 V"', 'wall = "246 V"')]),
        ({"rectifiers.HT.tube": "5U4GB"}, [('"GZ34"', '"5U4GB"')]),
        (
            {"rectifiers.ht.device": "1N4007"},
            [('"GZ34"', '"1N4007"'), ('device = "1N4007"\nheater = "rectifier heater"', 'device = "1N4007"')],
        ),
        ({"rectifiers.bias.feed.value": "56k"}, [("47k 2 W", "56k 2 W")]),
        ({"filter.splitter.capacitor.in_series": "3"}, [("2 x 100 uF", "3 x 100 uF")]),
        ({"filter.splitter.capacitor.balancing": "270k 1 W"}, [("with 220k 1 W each", "with 270k 1 W each")]),
        ({"filter.bias.range[0]": "-28 V"}, [('"-30 V"', '"-28 V"')]),
        ({"filter.bias.range": '["-28 V", "-45 V"]'}, [('"-30 V"', '"-28 V"')]),
        ({"loads.output.output_transformer.1": "50 ohm"}, [("38 + 41 ohm", "38 + 50 ohm")]),
        ({"loads.preamp.constant": "true"}, [('"4 mA"', '"4 mA"\nconstant = true')]),
        ({"loads.preamp": None}, [('[loads.preamp]\nnode = "preamp"\ncurrent = "4 mA"\n', "")]),
        ({"valves[1].count": 2}, [("3 x ECC83", "2 x ECC83")]),
        ({"switches.standby": "before preamp"}, [("before screens", "before preamp")]),
        ({"transformer.taps.220 V": "6 ohm"}, [('"laminated"', '"laminated"\ntaps = {"220 V" = "6 ohm"}')]),
        ({"accepted.bias-range bias": "so"}, [("[accepted]", '[accepted]\n"bias-range bias" = "so"')]),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, dict) else "",
)  # fmt: skip
def test_a_change_says_what_the_edited_file_says(
    changes: dict[str, Any], edits: list[tuple[str, str]]
) -> None:
    text = TEXT
    for find, write in edits:
        if text.count(find) == 2:  # the device stands twice once the first was edited
            text = text.replace(find, write, 1)
            continue
        assert text.count(find) == 1, find
        text = text.replace(find, write)
    assert changed(read(), changes).found == read(text).found


def test_a_whole_part_and_its_key_go_together_in_any_order() -> None:
    both = {"filter.reservoir": "40 uF 550 V", "filter.reservoir.capacitor.value": "33 uF"}
    for changes in (both, dict(reversed(both.items()))):
        node = changed(read(), changes).found.filter["reservoir"]
        assert node.capacitor == Capacitor(value=33e-6, voltage=550.0)
        assert node.was == 455.0


def test_the_order_of_the_drawing_stays() -> None:
    found = changed(read(), {"filter.reservoir": "40 uF 550 V", "filter.splitter.bleeder": "470k"}).found
    assert list(found.filter) == list(read().found.filter)


def test_a_new_value_of_a_capacitor_in_sections_is_that_of_all_of_it() -> None:
    text = TEXT.replace("22 uF 450 V", "32+32 uF 450 V")
    capacitor = (
        changed(read(text), {"filter.preamp.capacitor.value": "47 uF"}).found.filter["preamp"].capacitor
    )
    assert capacitor == Capacitor(value=47e-6, voltage=450.0)


def test_the_description_itself_stays_as_it_is() -> None:
    described = read()
    held = copy.deepcopy(described.spelling)
    changed(described, {"filter.screens.choke.current": "200 mA", "filter.bias.range[0]": "-28 V"})
    assert described == read()
    assert held is not None
    assert described.spelling is not None
    assert described.spelling.found.tree == held.found.tree
    assert described.spelling.found.origin == held.found.origin


def test_changes_follow_on_changes() -> None:
    once = changed(read(), {"filter.reservoir": "40 uF 550 V"})
    twice = changed(once, {"fuses.mains": "T1AL250V", "filter.reservoir.capacitor.voltage": "500 V"})
    assert twice.found == edited(('"50 uF 500 V, was', '"40 uF 500 V, was'), ("T2AL250V", "T1AL250V"))
    back = changed(twice, {"fuses.mains": "T2AL250V", "filter.reservoir": "50 uF 500 V"})
    assert back == read()


# --- proposals --------------------------------------------------------------------------------------------


def test_with_new_the_proposed_supply_changes() -> None:
    described = read(TEXT + NEW)
    after = changed(described, {"filter.reservoir.capacitor.value": "33 uF", "fuses.mains": "T1.6AL250V"})
    assert after.found == described.found
    assert after.proposed is not None
    assert after.proposed.filter["reservoir"].capacitor == Capacitor(value=33e-6, voltage=500.0)
    assert after.proposed.rectifiers["ht"].device == Device(type="1N4007", in_series=2)
    assert after.proposed.fuses["mains"].current == 1.6


def test_beside_the_supply_as_found_a_change_is_what_new_would_say() -> None:
    changes = {"filter.reservoir": "47 uF 500 V", "rectifiers.ht.device": "2 x 1N4007 in series"}
    after = changed(read(), changes, beside=True)
    assert after == read(TEXT + NEW)
    again = changed(after, {"fuses.mains": None})
    assert again.found == read().found
    assert again.proposed is not None
    assert "mains" not in again.proposed.fuses


@pytest.mark.parametrize("path", ["filter.reservoir.was", "filter.reservoir"])
def test_readings_belong_to_the_supply_as_found(path: str) -> None:
    value = "440 V" if path.endswith("was") else "50 uF 500 V, was 440 V"
    for text, beside in ((TEXT, True), (TEXT + NEW, False)):
        (problem,) = problems({path: value}, text, beside=beside)
        assert problem.message.startswith('"was" belongs to the supply as found')


def test_a_library_of_the_users_own_goes_along(tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_text(GOOD, "utf-8")
    text = TEXT.replace('title = "', 'parts = "mine.toml"\ntitle = "', 1)
    described = parse_description(text, str(tmp_path / "supply.toml"))
    found = changed(described, {"rectifiers.ht.device": "XD-1200"}).found
    assert found.library is described.found.library is not None
    assert found.rectifiers["ht"].heater is None
    (problem,) = problems({"rectifiers.ht.device": "XD-1200"})
    assert "not in the part library" in problem.message


# --- setting what is there already ------------------------------------------------------------------------


def _values(tree: Any, path: str = "", depth: int = 0) -> list[tuple[str, Any]]:
    """Every path that a file spells, with its value."""
    found = []
    for key, value in tree.items():
        here = f'{path}."{key}"' if path else key
        if depth or not isinstance(value, dict) or key in ("mains", "transformer"):
            found.append((here, value))
        if isinstance(value, dict):
            found += _values(value, here, depth + 1)
    return found


FILES = {path.stem: path.read_text("utf-8") for path in NETLISTS} | {"base": TEXT}
AS_WRITTEN = [
    (name, path, value)
    for name, text in FILES.items()
    for path, value in _values({k: v for k, v in tomllib.loads(text).items() if k != "new"})
]
READ = {name: read(text.split("[new.")[0]) for name, text in FILES.items()}


@settings(max_examples=50)
@given(st.sampled_from(AS_WRITTEN))
def test_setting_a_path_to_what_it_is_changes_nothing(case: tuple[str, str, Any]) -> None:
    name, path, value = case
    assert changed(READ[name], {path: value}) == READ[name]


def _at(supply: Supply, path: str) -> Any:
    """The value in the model under a path that :func:`paths` lists."""
    held: Any = supply.model_dump(by_alias=True, exclude_unset=True)
    rest = path
    while rest:
        keys = held if isinstance(held, dict) else range(len(held))
        words = {f"[{key}]" if isinstance(key, int) else str(key): key for key in keys}
        word = max((w for w in words if rest.startswith(w)), key=len)
        held, rest = held[words[word]], rest[len(word) :].removeprefix(".")
    return held


@settings(max_examples=50)
@given(st.data())
def test_every_path_that_is_listed_is_there_and_can_be_set(data: st.DataObject) -> None:
    name = data.draw(st.sampled_from(sorted(READ)))
    path = data.draw(st.sampled_from(paths(READ[name])))
    value = _at(READ[name].found, path)
    if isinstance(value, str):
        assert changed(READ[name], {path: value}) == READ[name]
    else:
        assert value is not None
        with pytest.raises(DescriptionError):
            changed(READ[name], {path: "\t"})


# --- errors -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("path", "value", "says", "near"),
    [
        ("filter.resevoir", "22 uF", '"resevoir" is nothing in [filter]', "filter.reservoir"),
        ("filter.resevoir.bleeder", "1M", '"resevoir" is nothing in [filter]', "filter.reservoir.bleeder"),
        ("reservoir", "22 uF", '"reservoir" is nothing in the description', "filter.reservoir"),
        ("reservoir.capacitor", "22 uF", '"reservoir" is nothing', "filter.reservoir.capacitor"),
        ("filter.reservoir.capacitr", "22 uF", '"capacitr" is nothing', "filter.reservoir.capacitor"),
        ("filter.tail", "22 uF 450 V", '"tail" is nothing in [filter]', ""),
        ("mains.volts", "230 V", '"volts" is nothing in [mains]', "mains.voltage"),
        ("switches.stanby", "before screens", '"stanby" is nothing in [switches]', "switches.standby"),
        ("switches.none", "before screens", 'the name "none" is taken', ""),
        ("new.filter.reservoir", "22 uF", "leave out new", "filter.reservoir"),
        ("filter", None, "holds several entries", ""),
        ("parts", "mine.toml", "another parts file is named in the description itself", ""),
        ("filter..reservoir", "22 uF", "this is no path", ""),
        ("", "22 uF", "this is no path", ""),
        ("mains.wall.x", "2 V", "mains.wall is a value: nothing lies below it", ""),
        ("filter.bias.range[2]", "-20 V", "filter.bias.range has 2 items", ""),
        ("filter.bias.range[0]", None, "an item of a list is not taken out", ""),
        ("limiters.mains", None, "nothing stands here that could be taken out", ""),
        ("filter.reservoir.bleeder", "none", "nothing stands here that could be taken out", ""),
    ],
)  # fmt: skip
def test_a_path_that_leads_nowhere(path: str, value: Any, says: str, near: str) -> None:
    (problem,) = problems({path: value})
    assert says in problem.message
    assert problem.nearest == near
    assert problem.file == "supply.toml"
    assert problem.key == path
    assert problem.text[problem.column - 1 : problem.end_column - 1] == path


@pytest.mark.parametrize(
    ("path", "value", "marks", "says"),
    [
        ("filter.reservoir", "22 uF 500 X", "500", "500 needs a unit"),
        ("filter.reservoir", "22 uF, 500k 1 W, 33 uF", "33", "is given twice"),
        ("filter.reservoir.capacitor.value", "22 ohm", "ohm", "a capacitance is wanted"),
        ("rectifiers.ht.device", "GZ35", '"GZ35"', "not in the part library"),
        ("filter.splitter.capacitor.in_series", "9", '"9"', "at most 6"),
        ("mains.wall", 243, "243", "needs a unit"),
        ("mains.wall", ["243 V"], '["243 V"]', "not a list"),
        ("mains.voltage", None, '"none"', '[mains] lacks "voltage"'),
        ("fuses.before nowhere", "T1AL250V", "fuses.before nowhere", "nowhere"),
        ("loads.output.bias", "basi", '"basi"', "is no node of the filter"),
        ("transformer", "none", '"none"', "live chassis"),
        ("transformer.core", "iron", '"iron"', "is not known here"),
    ],
)  # fmt: skip
def test_a_value_is_judged_as_strictly_as_in_a_file(path: str, value: Any, marks: str, says: str) -> None:
    (problem,) = problems({path: value})
    assert says in problem.message
    assert problem.text.startswith(f"{path} = ")
    assert problem.text[problem.column - 1 : problem.end_column - 1] == marks
    assert problem.line == 0


def test_what_a_change_brings_about_elsewhere_is_told_with_its_line() -> None:
    load, switch = problems({"filter.screens": None})
    assert (load.key, load.line) == ("loads.output.screens", 34)
    assert load.message.startswith('with filter.screens = "none" in force, loads.output.screens: no node')
    assert switch.key == "switches.standby"


def test_every_fault_of_the_changes_at_once() -> None:
    found = problems({"filter.resevoir": "22 uF", "filter.preamp": "22 uF 450", "filter.screens.cap": "1 V"})
    assert {problem.key for problem in found} >= {"filter.resevoir"}
    twice = problems({"filter.reservoir.cap": "22 uF", "filter.reservoir.capacitor": "22 uF"})
    assert [problem.message for problem in twice] == [
        '"filter.reservoir.cap" and "filter.reservoir.capacitor" are the same path: give one of them'
    ]


def test_a_node_keeps_something() -> None:
    text = TEXT.replace('preamp = "10k 1 W, 22 uF 450 V, bleeder 220k 1 W"', 'preamp = "10k 1 W"')
    (problem,) = problems({"filter.preamp.resistor": None}, text)
    assert "nothing stands at this node" in problem.message


@settings(max_examples=50)
@given(st.text(max_size=30), st.text(max_size=30))
def test_any_text_gives_a_description_or_says_why_not(path: str, value: str) -> None:
    try:
        changed(READ["base"], {path: value})
    except DescriptionError as error:
        assert error.render()  # noqa: PT017 - either end is allowed


@settings(max_examples=50)
@given(st.sampled_from(paths(READ["base"])), st.text("0123456789 uFkVAomhxT,.-+", max_size=20))
def test_any_value_gives_a_description_or_says_why_not(path: str, value: str) -> None:
    try:
        changed(READ["base"], {path: value})
    except DescriptionError as error:
        assert all(problem.message for problem in error.problems)  # noqa: PT017 - either end is allowed


def test_a_description_put_together_otherwise_is_refused() -> None:
    with pytest.raises(ValueError, match="read from a file"):
        changed(Description(found=read().found), {"fuses.mains": None})


def test_what_stands_in_the_model_after_some_changes() -> None:
    found = with_changes(filter__reservoir__bleeder="100k 3 W", fuses__mains="UL slow 2 A 250 V")
    assert found.filter["reservoir"].bleeder == Resistor(value=100e3, power=3.0)
    assert found.fuses["mains"] == Fuse(standard="UL", speed="T", current=2.0, voltage=250.0)
