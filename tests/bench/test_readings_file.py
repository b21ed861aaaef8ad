from __future__ import annotations

import csv
import io
import math
from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from psucheck.bench.names import STEPS
from psucheck.bench.points import points
from psucheck.bench.readings_csv import parse_csv
from psucheck.bench.readings_file import Reading, read_readings
from psucheck.bench.readings_toml import parse_toml
from psucheck.supply.errors import DescriptionError
from tests.bench.benches import TEXTS
from tests.engine_runs import described

POINTS = points(described(TEXTS["hundred watts"]))

GOOD = """\
wall = "243 V"
[cold]
"plug ohms" = "3.3 ohm"
"reservoir ohms" = "OL"
["a tenth"]
wall = "241 V"
"reservoir DC" = "49.6 V"
"ht a" = { value = "35.2 V", wall = "242 V" }
["full wall"]
"output cathode 1 mV" = "36 mV"
"bias at output 1" = "-42.1 V"
"mains amps" = "0.9 A"
["a half with silicon"]
"reservoir DC" = "2 A"
"""


def test_toml() -> None:
    assert parse_toml(GOOD, "readings", POINTS) == (
        Reading("cold", "plug ohms", 3.3, None, 3, "ohm"),
        Reading("cold", "reservoir ohms", math.inf, None, 4, "ohm"),
        Reading("a tenth", "reservoir DC", 49.6, 241.0, 7, "V"),
        Reading("a tenth", "ht a", 35.2, 242.0, 8, "V"),
        Reading("full wall", "output cathode 1 mV", 0.036, 243.0, 10, "V"),
        Reading("full wall", "bias at output 1", -42.1, 243.0, 11, "V"),
        Reading("full wall", "mains amps", 0.9, 243.0, 12, "A"),
        Reading("a half", "reservoir DC", 2.0, 243.0, 14, "A", plug_in=True),
    )


def test_csv_says_the_same_and_a_sheet_that_was_filled_in_is_one() -> None:
    rows = [
        ("step", "volts", "test point", "expect", "reading", "wall now"),
        ("a tenth", "24 V", "reservoir DC", "49.5 V", "49.6 V", "241 V"),
        ("a tenth", "24 V", "ht a", "35 V", "", ""),
        ("Cold", "", "plug ohms", "3.3 ohm", "open", ""),
    ]
    text = io.StringIO()
    csv.writer(text).writerows(rows)
    assert parse_csv(text.getvalue(), "sheet", POINTS) == (
        Reading("a tenth", "reservoir DC", 49.6, 241.0, 2, "V"),
        Reading("cold", "plug ohms", math.inf, None, 4, "ohm"),
    )


@pytest.mark.parametrize(
    ("text", "line", "said"),
    [
        ('["a tent"]\n"reservoir DC" = "1 V"', 1, 'did you mean "a tenth"'),
        ('wall = "240 V"\n["a tenth"]\n"reservor DC" = "1 V"', 3, 'did you mean "reservoir DC"'),
        ('["a tenth"]\n"reservoir DC" = "1 V"', 2, "what did the wall have"),
        ('wall = "240 V"\n["a tenth"]\n"reservoir DC" = 41', 3, "with its unit"),
        ('wall = "240 V"\n["a tenth"]\n"reservoir DC" = "41"', 3, "needs a unit"),
        ('wall = "240 V"\n["a tenth"]\n"plug ohms" = "41 ohm"', 3, "its step is cold"),
        ('[cold]\n"reservoir DC" = "41 V"', 2, "has no reading in ohms"),
        ('wall = 240\n["a tenth"]\n"reservoir DC" = "41 V"', 1, "in quotes"),
        ('wall = "240 mA"\n["a tenth"]\n"reservoir DC" = "41 V"', 1, "a voltage is wanted"),
        ('wall = "240 V"\n["a tenth"]\n"ht a" = { valu = "1 V" }', 3, 'did you mean "value"'),
        ('wall = "240 V"\n["full wall with silicon"]\n"ht a" = "1 V"', 2, "there is no step"),
        ('supply = "x"', 1, "is no step"),
        ('wall = "240 V"\n["a tenth"]\n"ht a" = "1 V\n', 3, "quotes"),
        ("", 0, "empty"),
    ],
)
def test_what_is_wrong_is_named_with_its_line(text: str, line: int, said: str) -> None:
    with pytest.raises(DescriptionError) as error:
        parse_toml(text, "readings.toml", POINTS)
    assert any(problem.line == line for problem in error.value.problems)
    assert said in " ".join(str(error.value).split())


@pytest.mark.parametrize(
    ("text", "line", "said"),
    [
        ("step,point,value\na tenth,ht a,1 V", 1, "lacks wall"),
        ("step,point,valeu,wall\na tenth,ht a,1 V,240 V", 1, 'did you mean "value"'),
        ("step,point,value,wall\na tenth,ht a,1 V,", 2, "what did the wall have"),
        ("step,point,value,wall\na tenth,ht a,1 V,240 V\na tenth,ht a,2 V,240 V", 3, "at line 2 already"),
        ("step,point,value,wall\na tenth,ht a,1 V,2.4.0 V", 2, "wall"),
        ("", 0, "empty"),
    ],
)
def test_csv_faults(text: str, line: int, said: str) -> None:
    with pytest.raises(DescriptionError) as error:
        parse_csv(text, "readings.csv", POINTS)
    assert [problem.line for problem in error.value.problems] == [line]
    assert said in " ".join(str(error.value).split())


def test_the_end_of_its_name_tells_the_form(tmp_path: Path) -> None:
    for name, text in (("r.toml", GOOD), ("r.csv", "step,point,value,wall\na tenth,ht a,35.2 V,242 V\n")):
        (tmp_path / name).write_text(text, "utf-8")
        read = read_readings(tmp_path / name, POINTS)
        assert ("ht a", 35.2, 242.0) in {(r.point, r.value, r.wall) for r in read}


_LIVE = st.sampled_from([point.name for point in POINTS if not point.cold and point.unit == "V"])
_STEP = st.sampled_from([step for step in STEPS if step != "cold"])


@given(st.lists(st.tuples(_STEP, _LIVE, st.floats(0.1, 900.0)), unique_by=lambda row: row[:2], max_size=6))
@settings(max_examples=25)
def test_both_forms_read_the_same(rows: list[tuple[str, str, float]]) -> None:
    lines = ["step,point,value,wall"] + [f"{step},{point},{value:.3f} V,240 V" for step, point, value in rows]
    steps: dict[str, list[str]] = {}
    for step, point, value in rows:
        steps.setdefault(step, []).append(f'"{point}" = "{value:.3f} V"')
    toml = 'wall = "240 V"\n' + "".join(
        f'["{step}"]\n' + "\n".join(entries) + "\n" for step, entries in steps.items()
    )
    from_csv = {(r.step, r.point, r.value, r.wall) for r in parse_csv("\n".join(lines), "c", POINTS)}
    from_toml = {(r.step, r.point, r.value, r.wall) for r in parse_toml(toml, "t", POINTS)}
    assert from_csv == from_toml
    assert len(from_csv) == len(rows)


@given(st.text(max_size=80))
@settings(max_examples=40)
def test_no_text_does_anything_but_read_or_be_refused(text: str) -> None:
    for parse in (parse_toml, parse_csv):
        with suppress(DescriptionError):
            assert isinstance(parse(text, "fuzz", POINTS), tuple)
