"""Parts files of the user's own: as strict as the library's, every fault with its line and key."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from psucheck.parts import UnknownPart, in_force, library, shipped
from psucheck.parts.own import BadOwnParts, OwnFile, read_own
from psucheck.parts.reader import read_file
from psucheck.parts.shelves import Library
from psucheck.supply.errors import DescriptionError, Problem
from psucheck.supply.own_parts import read_own_parts

GOOD = """\
[sources]
box = "printed on the box"
meter = "measured on the bench"

[rectifiers.GZ34]
cathode = { value = "indirect", source = "box", status = "read" }
heater = { volts = 5.0, amps = 1.9, source = "box", status = "read" }
drop = { volts = 20.0, amps = 0.225, source = ["box", "meter"], status = "read", also = [
    { volts = 18.0, amps = 0.2, source = "meter", status = "recalled", confidence = "low" },
] }
reverse_voltage = { volts = 1400.0, source = "box", status = "read" }
peak_current = { amps = 0.7, source = "box", status = "read" }
mean_current = { amps = 0.24, source = "box", status = "read" }

[diodes.XD12]
aliases = ["XD-1200"]
reverse_voltage = { volts = 1200.0, source = "box", status = "read" }
mean_current = { amps = 2.0, source = "box", status = "read" }
surge = { amps = 60.0, seconds = 8.3e-3, source = "box", status = "read" }
drop = { volts = 1.5, amps = 2.0, source = "box", status = "read" }
"""
VALVE = """
[valves.XV]
use = "output"
heater = { volts = 6.3, amps = 1.5, source = "box", status = "read" }
anode_voltage_limit = { volts = 800.0, source = "box", status = "read" }
anode_watts = { watts = 25.0, source = "box", status = "read" }
law_points = [POINT_A, POINT_B]
"""
POINT = (
    "{{ anode_volts = 250.0, screen_volts = 250.0, grid_volts = -14.0, anode_amps = {}, screen_amps = 0.01,"
    ' source = "meter", status = "read" }}'
)
VALVE = VALVE.replace("POINT_A", POINT.format(0.07)).replace("POINT_B", POINT.format(0.09))
MEAN = 'mean_current = { amps = 2.0, source = "box", status = "read" }'
DROP = 'drop = { volts = 1.5, amps = 2.0, source = "box", status = "read" }'
LINE = {
    name: GOOD[: GOOD.index(text)].count("\n") + 1
    for name, text in (("XD12", "[diodes"), ("MEAN", MEAN), ("DROP", DROP), ("ALIAS", "aliases"))
}


def problems(text: str, tmp_path: Path) -> list[Problem]:
    path = tmp_path / "my-parts.toml"
    path.write_text(text, "utf-8")
    with pytest.raises(DescriptionError) as caught:
        read_own_parts(path, shipped(), "my-parts.toml")
    assert {problem.file for problem in caught.value.problems} == {str(path)}
    return caught.value.problems


def good(text: str = GOOD) -> Library:
    return Library((read_own(tomllib.loads(text), "my-parts.toml", shipped()),))


def test_a_part_of_the_same_name_is_taken_in_place_of_the_librarys() -> None:
    held = good()
    own = held.rectifier_valve("gz34")
    assert own.reverse_voltage.value == 1400.0
    assert held.rectifier("GZ34") is own
    assert held.file_of(own) == "my-parts.toml"
    assert own.drop is not None
    assert own.drop.source == (
        "printed on the box, entered in my-parts.toml; measured on the bench, entered in my-parts.toml"
    )
    assert own.drop.also[0].source == "measured on the bench, entered in my-parts.toml"


def test_other_names_and_other_parts_stay_the_librarys() -> None:
    held = good()
    assert held.rectifier_valve("5AR4").reverse_voltage.value == 1500.0
    assert held.file_of(held.rectifier_valve("5AR4")) is None
    assert held.diode("1N4007") == shipped().diode("1N4007")
    assert held.diode("xd1200").name == "XD12"
    assert "XD12" not in shipped().diodes


def test_the_file_before_goes_before_the_file_behind() -> None:
    behind = read_own(tomllib.loads(GOOD), "all.toml", shipped())
    first = read_own(tomllib.loads(GOOD.replace("1400", "1300")), "one.toml", Library((behind,)))
    held = Library((first, behind))
    assert held.rectifier_valve("GZ34").reverse_voltage.value == 1300.0
    assert held.file_of(held.rectifier_valve("GZ34")) == "one.toml"


def test_a_type_that_is_nowhere_is_unknown_with_own_names_among_the_nearest() -> None:
    with pytest.raises(UnknownPart) as caught:
        good().diode("XD13")
    assert caught.value.nearest[0] == "XD12"


def test_a_library_is_in_force_only_within() -> None:
    held = good()
    with in_force(held):
        assert library() is held
        with in_force(None):
            assert library() is shipped()
        assert library() is held
    assert library() is shipped()


@pytest.mark.parametrize(
    ("file", "table", "own"),
    [
        ("rectifiers.toml", "valves", "rectifiers"),
        ("diodes.toml", "diodes", "diodes"),
        ("valves.toml", "valves", "valves"),
        ("ntcs.toml", "ntcs", "ntcs"),
        ("chokes.toml", "chokes", "chokes"),
        ("mains.toml", "systems", "systems"),
    ],
)
def test_the_librarys_own_parts_would_pass_as_a_users(file: str, table: str, own: str) -> None:
    tables = read_file(file)
    used = str(tables[table])
    sources = {key: title for key, title in tables["sources"].items() if f"'{key}'" in used}
    read = read_own({"sources": sources, own: tables[table]}, "copy.toml", shipped())
    assert len(list(read.parts.all())) == len(tables[table])
    assert own in OwnFile.model_fields


@pytest.mark.parametrize(
    ("old", "new", "line", "key", "said"),
    [
        (DROP, "", LINE["XD12"], "diodes.XD12.drop", '[diodes.XD12] lacks "drop"'),
        (
            MEAN,
            'mean_current = { amps = 2.0, status = "read" }',
            LINE["MEAN"],
            "diodes.XD12.mean_current.source",
            '"mean_current" lacks "source"',
        ),
        (
            MEAN,
            'mean_current = { amps = 2.0, source = "box" }',
            LINE["MEAN"],
            "diodes.XD12.mean_current.status",
            '"mean_current" lacks "status"',
        ),
        (
            MEAN,
            MEAN.replace('"read"', '"sure"'),
            LINE["MEAN"],
            "diodes.XD12.mean_current.status",
            ("'sure' is not known here; "
            'allowed: "read", "second-hand", "recalled", "derived" or "practice"'),
        ),
        (
            MEAN,
            MEAN.replace('"box"', '"boks"'),
            LINE["MEAN"],
            "diodes.XD12.mean_current",
            "source 'boks' is not in [sources]",
        ),
        (
            MEAN,
            MEAN.replace("2.0", '"2 A"'),
            LINE["MEAN"],
            "diodes.XD12.mean_current.amps",
            "a number without quotes is wanted here",
        ),
        (
            MEAN,
            MEAN.replace("2.0", "-2.0"),
            LINE["MEAN"],
            "diodes.XD12.mean_current.amps",
            "more than 0 is wanted here",
        ),
        (
            MEAN,
            MEAN.replace("amps", "milliamps"),
            LINE["MEAN"],
            "diodes.XD12.mean_current",
            "expected the key 'amps' and no other quantity, found ['milliamps']",
        ),
        (
            MEAN,
            MEAN.replace("2.0", "2000.0"),
            LINE["MEAN"],
            "diodes.XD12.mean_current.amps",
            "2000 A is not believed (1e-09 to 1000 A): quantities stand here in A, without a prefix",
        ),
        (MEAN, "mean_current = 2.0", LINE["MEAN"], "diodes.XD12.mean_current", "a value is a table"),
        (
            DROP,
            DROP.replace("amps = 2.0", "amps = 2.0, ohms = 1.0"),
            LINE["DROP"],
            "diodes.XD12.drop.ohms",
            ('"ohms" is not a key of "drop"; '
            "allowed: volts, amps, source, status, confidence, note, also"),
        ),
        (
            DROP,
            DROP.replace("volts = 1.5, ", ""),
            LINE["DROP"],
            "diodes.XD12.drop.volts",
            '"drop" lacks "volts"',
        ),
        (
            'aliases = ["XD-1200"]',
            "drip = 1",
            LINE["ALIAS"],
            "diodes.XD12.drip",
            ('"drip" is not a key of [diodes.XD12]; did you mean "drop"? Allowed: aliases, note, kind, '
            "reverse_voltage, mean_current, capacitive_load_factor, surge, drop, recovery"),
        ),
        (
            'aliases = ["XD-1200"]',
            'aliases = ["xd 12"]',
            LINE["ALIAS"],
            "diodes.XD12.aliases",
            'the name "xd 12" stands twice: XD12 has it too',
        ),
        (
            'aliases = ["XD-1200"]',
            'aliases = ["GZ34"]',
            LINE["ALIAS"],
            "diodes.XD12.aliases",
            'the name "GZ34" stands twice: GZ34 has it too',
        ),
        (
            "[diodes.XD12]",
            "[diodes.EZ81]",
            LINE["XD12"],
            "diodes.EZ81",
            '"EZ81" is a valve in the library: this one needs another name',
        ),
        (
            "[rectifiers.GZ34]",
            "[rectifiers.1N4007]",
            5,
            "rectifiers.1N4007",
            '"1N4007" is a diode in the library: this one needs another name',
        ),
        (
            "[diodes.XD12]",
            "[dioads.XD12]",
            LINE["XD12"],
            "dioads",
            ('"dioads" is not a key of a parts file; did you mean "diodes"? '
            "Allowed: sources, rectifiers, diodes, valves, ntcs, chokes, systems"),
        ),
        ('"printed on the box"', '" "', 2, "sources.box", 'the source "box": needs a title'),
        (
            '"printed on the box"',
            '"a"\nspare = "b"',
            3,
            "sources.spare",
            'the source "spare": nothing uses it',
        ),
        (
            "[diodes.XD12]\n",
            '[diodes.XD12]\nname = "XD12"\n',
            LINE["XD12"],
            "diodes",
            "XD12: a part is named by its key, not by name",
        ),
        (MEAN, MEAN.replace("status = ", "status "), LINE["MEAN"], "", ""),
    ],
)  # fmt: skip
def test_a_fault_is_told_with_its_line_and_key(
    old: str, new: str, line: int, key: str, said: str, tmp_path: Path
) -> None:
    assert GOOD.count(old) == 1
    found = problems(GOOD.replace(old, new), tmp_path)
    assert any(
        problem.line == line and problem.key.startswith(key) and problem.sentence().startswith(said)
        for problem in found
    ), [(problem.line, problem.key, problem.sentence()) for problem in found]


def test_two_points_through_which_no_law_passes(tmp_path: Path) -> None:
    (problem,) = problems(GOOD + VALVE, tmp_path)
    assert problem.key == "valves.XV.law_points"
    assert "no three-halves law passes" in problem.message or "do not settle" in problem.message


def test_every_fault_comes_at_once(tmp_path: Path) -> None:
    text = GOOD.replace(DROP, "").replace(MEAN, "").replace('"box", status = "read" }\n', '"box" }\n', 1)
    assert len(problems(text, tmp_path)) == 3


def test_the_message_as_a_person_reads_it(tmp_path: Path) -> None:
    (problem,) = problems(GOOD.replace(MEAN, MEAN.replace('"read"', '"sure"')), tmp_path)
    assert problem.render().splitlines()[1:] == [
        f"    {MEAN.replace('read', 'sure')}",
        "    " + " " * MEAN.index('"read"') + '^^^^^^',
        "  'sure' is not known here; allowed: \"read\", \"second-hand\", \"recalled\",",
        '  "derived" or "practice"',
    ]  # fmt: skip


@pytest.mark.parametrize(
    "text",
    [
        "",
        "[sources]\n",
        "sources = 3\n[diodes]\n",
        "diodes = 3\n",
        "[diodes.X]\nsurge = { also = 3, source = [[1]], status = 1 }\n",
        "[diodes]\nX = []\n",
        "[diodes.X]\naliases = 3\ndrop = 2026-01-01\n",
        '[sources]\nbox = 3\n[diodes.X]\ndrop = { volts = 1.0, amps = inf, source = "box", status = "" }\n',
        "[diodes.X\n",
    ],
)
def test_nothing_that_stands_in_a_file_is_more_than_a_message(text: str, tmp_path: Path) -> None:
    found = problems(text, tmp_path)
    assert all(problem.message for problem in found)


def test_what_is_no_file(tmp_path: Path) -> None:
    for path, said in ((tmp_path, "this is a folder; a parts file is a file"), (tmp_path / "x", "no such")):
        with pytest.raises(DescriptionError, match=said):
            read_own_parts(path, shipped())
    binary = tmp_path / "binary"
    binary.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(DescriptionError, match="not UTF-8"):
        read_own_parts(binary, shipped())


def test_a_bad_file_is_refused_whole() -> None:
    with pytest.raises(BadOwnParts):
        read_own(tomllib.loads(GOOD.replace(MEAN, "")), "my-parts.toml", shipped())
