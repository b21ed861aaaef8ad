"""Bad descriptions: each says where the fault stands, which key it is, what is wrong, and nothing more."""

import random
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from syrupy.assertion import SnapshotAssertion

from psucheck.supply.errors import DescriptionError, Problem
from psucheck.supply.reader import parse_description, read_description
from psucheck.supply.text_file import LARGEST

BAD = Path(__file__).parent / "bad"
BASE = (BAD / "base.toml").read_text(encoding="utf-8")
FAULTS: list[dict[str, Any]] = tomllib.loads((BAD / "faults.toml").read_text(encoding="utf-8"))["fault"]
ENDLESS = "this is no description: a number or a nest of brackets without end"
TRANSFORMER = '[transformer]\nprimary = "230 V, 6.2 ohm"\ncore = "laminated"\n'


def problems(text: str) -> list[Problem]:
    with pytest.raises(DescriptionError) as caught:
        parse_description(text, "supply.toml")
    return caught.value.problems


def edited(*edits: tuple[str, str]) -> str:
    text = BASE
    for find, write in edits:
        assert text.count(find) == 1, find
        text = text.replace(find, write)
    return text


def test_the_corpus_is_of_the_size_promised_and_names_no_fault_twice() -> None:
    names = [fault["name"] for fault in FAULTS]
    assert len(names) >= 60
    assert len(set(names)) == len(names)


@pytest.mark.parametrize("fault", FAULTS, ids=[fault["name"] for fault in FAULTS])
def test_a_fault_is_named_with_its_place(fault: dict[str, Any]) -> None:
    (problem,) = problems(edited((fault["find"], fault["write"])))
    marked = problem.text[problem.column - 1 : problem.end_column - 1]
    said = {"line": problem.line, "key": problem.key, "marks": marked, "says": problem.sentence()}
    assert said == {key: fault[key] for key in said}
    assert problem.file == "supply.toml"


def test_every_fault_at_once() -> None:
    found = problems(
        edited(
            ('frequency = "50 Hz"', "frequency = 50"),
            ('circuit = "centre-tapped"', 'circuit = "brigde"'),
            ('wall = "243 V"', "wall = 243 V"),
            ('set = "-37 V"', 'set = "-37"'),
            ('anodes = "reservoir"', 'anodes = "resevoir"'),
            ("[switches]", "[swiches]"),
        )
    )
    assert [(problem.line, problem.key) for problem in found] == [
        (6, "mains.frequency"),
        (8, "mains.wall"),
        (20, "rectifiers.ht.circuit"),
        (33, "loads.output.anodes"),
        (55, "filter.bias.set"),
        (61, "swiches"),
    ]


@pytest.mark.parametrize("seed", range(12))
def test_three_faults_give_three_problems(seed: int) -> None:
    """Any three faults of different lines that do not hang together are all told."""
    chooser = random.Random(seed)
    apart = [
        fault
        for fault in FAULTS
        if fault["line"]
        and "\n" not in fault["find"] + fault["write"]
        and fault["key"].startswith(("mains.", "fuses"))
    ]
    by_line = {fault["line"]: fault for fault in chooser.sample(apart, len(apart))}
    three = chooser.sample(list(by_line.values()), 3)
    found = problems(edited(*((fault["find"], fault["write"]) for fault in three)))
    assert [problem.sentence() for problem in found] == [
        fault["says"] for fault in sorted(three, key=lambda fault: int(fault["line"]))
    ]


def test_a_fault_of_syntax_does_not_hide_the_faults_of_other_lines() -> None:
    found = problems(edited(('core = "laminated"', 'core "laminated"'), ('set = "-37 V"', 'set = "-37"')))
    assert [problem.line for problem in found] == [12, 55]


def test_what_a_line_without_quotes_holds_is_looked_at_all_the_same() -> None:
    found = problems(edited(('wall = "243 V"', "wall = 243 W # today")))
    assert [problem.message for problem in found] == [
        'a value stands in quotes: wall = "243 W"',
        'a voltage is wanted (V), this is in W; for example "500 V"',
    ]


def test_a_fault_of_a_name_is_not_told_again_where_the_name_is_used() -> None:
    (problem,) = problems(edited(('node = "preamp"', 'node = "Preamp"'), ("\npreamp = ", "\nPreamp = ")))
    assert problem.nearest == "preamp"


def test_a_live_chassis_is_refused_with_the_reason() -> None:
    text = edited((TRANSFORMER, "")).replace("[mains]", 'transformer = "none"\n\n[mains]')
    (problem,) = problems(text)
    assert problem.key == "transformer"
    assert "live chassis" in problem.message
    assert "mains potential" in problem.message


@pytest.mark.parametrize(
    ("edit", "message"),
    [
        (("Two-EL34 head", "Two-EL34 head" + " and more" * 30), "307 characters are too many: 200 at most"),
        (('wall = "243 V"', "wall = " + "9" * 5000), ENDLESS),
        (('wall = "243 V"', "wall = " + "[" * 2000 + "]" * 2000), ENDLESS),
    ],
    ids=["an endless title", "an endless number", "a nest of brackets"],
)  # fmt: skip
def test_what_has_no_end_is_refused(edit: tuple[str, str], message: str) -> None:
    assert [problem.message for problem in problems(edited(edit))] == [message]


# --- files ------------------------------------------------------------------------------------------------


def of_file(path: Path) -> Problem:
    with pytest.raises(DescriptionError) as caught:
        read_description(path)
    (problem,) = caught.value.problems
    return problem


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    problem = of_file(tmp_path / "none.toml")
    assert (problem.line, problem.message) == (0, "there is no such file")
    assert problem.file.endswith("none.toml")


def test_a_folder(tmp_path: Path) -> None:
    assert of_file(tmp_path).message == "this is a folder; a description is a file"


def test_an_empty_file(tmp_path: Path) -> None:
    path = tmp_path / "supply.toml"
    path.write_text(" \n\n")
    assert of_file(path).message == "the file is empty"


def test_a_file_that_is_not_utf_8(tmp_path: Path) -> None:
    path = tmp_path / "supply.toml"
    path.write_bytes('title = "x"\n# 47 µF\n'.encode("latin-1"))
    problem = of_file(path)
    assert (problem.line, problem.message) == (2, "the file is not UTF-8 text (byte 18): save it as UTF-8")


def test_a_file_that_is_too_large(tmp_path: Path) -> None:
    path = tmp_path / "supply.toml"
    path.write_bytes(b"#" * (LARGEST + 1))
    assert of_file(path).message == "the file is larger than 1 MB: that is no description"


# --- as a person reads it ---------------------------------------------------------------------------------


def test_problems_as_a_person_reads_them(snapshot: SnapshotAssertion) -> None:
    text = edited(
        ('title = "Two-EL34 head, invented for the tests"\n', ""),
        ('set = "-37 V"', 'set = "-37"'),
        ("bleeder 220k 1 W", "bleeder 220k 1 V W, and what else stands on this long line of the drawing"),
        ("[switches]", "[swiches]"),
    )
    with pytest.raises(DescriptionError) as caught:
        parse_description(text, "two-el34.toml")
    assert caught.value.render(60) == snapshot
    assert str(caught.value) == caught.value.render(80)


def test_no_line_of_a_rendering_is_wider_than_asked() -> None:
    for fault in FAULTS:
        for problem in problems(edited((fault["find"], fault["write"]))):
            first, *rest = problem.render(60).splitlines()
            assert problem.file in first
            assert max(map(len, rest)) <= 61  # the caret may stand behind the last character


# --- anything at all --------------------------------------------------------------------------------------

_signs = st.sampled_from(list("\"'[]{}=,.#\n\t-+0x\\µ\0"))
_words = st.sampled_from(
    [
        "",
        "",
        "xx",
        '"""',
        "[[",
        "1e9",
        "nan",
        "inf",
        "true",
        "2024-01-31",
        "V",
        " uF",
        "was ",
        "2 x ",
        " in series",
        " off load at ",
        "ht",
        "bias",
        "middle",
        "none",
        "rectifiers.",
        "\r\n",
        "[new]\n",
        "[new.filter]\n",
        "[[filter]]\n",
        "99999999999999999999",
    ]
)
_pieces = _signs | _words
_edits = st.lists(st.tuples(st.integers(0, len(BASE)), st.integers(0, 30), _pieces), min_size=1, max_size=5)


@settings(max_examples=300, deadline=None)
@given(edits=_edits)
def test_any_edit_gives_a_description_or_its_problems(edits: list[tuple[int, int, str]]) -> None:
    text = BASE
    for at, length, piece in edits:
        text = text[:at] + piece + text[at + length :]
    lines = text.count("\n") + 1
    assert all(problem.message and problem.render(80) and problem.line <= lines for problem in told(text))


_LINES = [number for number, line in enumerate(BASE.split("\n"), 1) if "=" in line]
_VALUES = ["7", "true", '"?"', '"none"', "[]", "{}", '{ value = "1" }', '["1 V", 2]', "[{}]"]


def told(text: str) -> list[Problem]:
    """The problems of a text; none if it is a description."""
    try:
        parse_description(text, "supply.toml")
    except DescriptionError as error:
        return error.problems
    return []


@pytest.mark.parametrize("value", _VALUES)
def test_any_value_in_any_place_is_refused_at_its_own_line_and_nowhere_else(value: str) -> None:
    for number in _LINES:
        lines = BASE.split("\n")
        lines[number - 1] = lines[number - 1].split("=")[0] + "= " + value
        found = told("\n".join(lines))
        free_text = lines[number - 1].startswith(("title", '"valve-voltage'))
        assert {problem.line for problem in found} == (set() if free_text and value[0] == '"' else {number})


@pytest.mark.parametrize("value", _VALUES)
def test_any_value_in_any_place_of_new_is_refused_in_new(value: str) -> None:
    for number in _LINES[2:]:
        lines = BASE.split("\n")
        header = next(line for line in reversed(lines[:number]) if line.startswith("["))
        lines += [header.replace("[", "[new.", 1), lines[number - 1].split("=")[0] + "= " + value]
        found = told("\n".join(lines))
        assert all(problem.key.startswith("new") for problem in found), [
            problem.render() for problem in found
        ]
