from __future__ import annotations

import csv
import io
import math
from functools import cache

import jsonschema
import pytest

from psucheck.bench.bring_up import sheet_of
from psucheck.bench.choosing import UnknownStep, chosen
from psucheck.bench.points import points
from psucheck.bench.readings_csv import parse_csv
from psucheck.report import document
from psucheck.report.sheet_files import sheet_csv, sheet_document
from psucheck.report.sheet_view import Line, Sheet, Step
from tests.bench.benches import TEXTS, plan
from tests.engine_runs import Here, described

NAMES = ("hundred watts", "valve", "cathode bias")


@cache
def made(name: str) -> Sheet:
    return sheet_of(plan(name), Here())


def step(name: str, of: str, number: int = 0) -> Step:
    return [each for each in made(name).steps if each.name == of][number]


def line(of: Step, what: str) -> Line:
    return next(each for each in of.lines if each.what == what)


@pytest.mark.parametrize("name", NAMES)
def test_cold_first_then_up_and_the_valves_last(name: str) -> None:
    order = list(dict.fromkeys(each.name for each in made(name).steps))
    assert order[0] == "cold"
    up = [each for each in made(name).steps if each.contents not in ("all valves",) and each.name != "cold"]
    volts = [each.volts or 0.0 for each in up]
    assert volts == sorted(volts)
    assert order[-5:] == ["valves in", "full wall", "full output", "soak", "off"]
    assert [each.number for each in made(name).steps] == list(range(len(made(name).steps)))


@pytest.mark.parametrize("name", NAMES)
def test_each_step_is_short_and_says_what_it_cannot_show(name: str) -> None:
    for each in made(name).steps:
        assert len(each.lines) <= 8
        assert each.cannot
        assert all(one.what and (one.stop or one.look) for one in each.lines)


@pytest.mark.parametrize("name", NAMES)
def test_amps_are_looked_at_first_on_the_way_up(name: str) -> None:
    for each in made(name).steps:
        if each.contents.startswith(("no valves", "rectifier")) and each.name not in ("cold", "bias"):
            assert each.lines[0].what == "mains amps"
            assert each.factor.endswith(f"{each.volts:g}")


def test_no_watts_below_a_quarter() -> None:
    watts = {
        each.name for each in made("hundred watts").steps for one in each.lines if one.what == "mains watts"
    }
    assert "a tenth" not in watts
    assert {"a quarter", "a half", "full wall"} <= watts


def test_the_diodes_correction_stands_beside_the_plain_rule() -> None:
    [rail] = line(step("hundred watts", "a tenth"), "reservoir DC").expected
    assert rail.value is not None
    assert rail.plain is not None
    assert 0.3 < rail.plain - rail.value < 1.6
    assert rail.low is not None
    assert rail.high is not None
    assert rail.low < rail.value < rail.high


def test_where_no_capacitor_is_over_it_goes_up_to_the_wall() -> None:
    assert step("hundred watts", "valves-out limit").volts == 240.0
    assert "No capacitor is over" in " ".join(step("hundred watts", "valves-out limit").notes)


def test_bias_at_every_socket_with_both_ends_of_the_pot_before_the_valves() -> None:
    bias = step("hundred watts", "bias")
    assert len(line(bias, "bias at each socket of output").expected) == 4
    assert {"output bias coldest", "output bias hottest", "output pot from end to end"} <= {
        one.what for one in bias.lines
    }


def test_a_rectifier_valve_does_nothing_at_low_mains_and_silicon_is_the_other_way() -> None:
    tenth = step("valve", "a tenth")
    [waiting] = line(tenth, "reservoir DC").expected
    assert waiting.value is None
    [plugged] = line(tenth, "reservoir DC with silicon").expected
    assert plugged.value is not None
    assert plugged.value > 35.0
    assert any("Silicon plugged in" in note for note in tenth.notes)
    [warm] = line(step("valve", "three quarters"), "reservoir DC").expected
    assert warm.value is not None


def test_with_cold_valves_no_number_is_promised() -> None:
    coming = step("hundred watts", "valves in")
    assert coming.volts is None
    assert not any(one.expected for one in coming.lines)
    assert any("No number is promised" in note for note in coming.notes)


def test_full_wall_tells_milliamps_dissipation_and_both_ripples() -> None:
    first = step("hundred watts", "full wall")
    cathodes = line(first, "output cathodes, over 1 ohm each")
    assert len(cathodes.expected) == 4
    assert "of 25 W" in cathodes.said
    ripple = line(first, "reservoir ripple")
    assert "peak to peak, 100 Hz" in ripple.said
    assert ripple.expected[0].value is not None
    rest = step("hundred watts", "full wall", 1)
    assert any("does not isolate" in note for note in rest.notes)


def test_a_cathode_biased_stage_has_no_bias_step() -> None:
    assert "bias" not in {each.name for each in made("cathode bias").steps}
    assert line(step("cathode bias", "full wall"), "output cathode DC").expected


@pytest.mark.parametrize("name", NAMES)
def test_it_carries_the_supply_s_cautions(name: str) -> None:
    said = " ".join(made(name).cautions)
    for needed in (
        "Highest voltage",
        "One hand",
        "rated for more than",
        "does not isolate",
        "rising",
        "licensed",
    ):
        assert needed in said


def test_the_meter_makes_the_band() -> None:
    assert "0.5 % + 2" in made("hundred watts").instruments[0]
    assert "(taken" in made("valve").instruments[0]


@pytest.mark.parametrize("name", NAMES)
def test_its_document_keeps_to_the_schema(name: str) -> None:
    schema = {**document.schema()["$defs"]["sheet"], "$defs": document.schema()["$defs"]}
    jsonschema.Draft202012Validator(schema).validate(sheet_document(made(name)))


def test_filled_in_its_lines_are_readings() -> None:
    """Every expected value written into its field comes back as that reading."""
    rows = list(csv.DictReader(io.StringIO(sheet_csv(made("valve")))))
    wanted = {}
    for row in rows:
        if row["test point"] and row["expect"] and (row["step"], row["test point"]) not in wanted:
            row["reading"] = row["expect"]
            row["wall now"] = "236"
            wanted[row["step"], row["test point"]] = float(row["expect"]) * (
                1e-3 if row["unit"] == "mV" else 1.0
            )
    filled = io.StringIO()
    writer = csv.DictWriter(filled, rows[0].keys())
    writer.writeheader()
    writer.writerows(rows)
    read = parse_csv(filled.getvalue(), "sheet.csv", points(described(TEXTS["valve"])))
    assert len(read) == len(wanted) > 40
    for each in read:
        name = each.step + (" with silicon" if each.plug_in else "")
        assert math.isclose(each.value, wanted[name, each.point], rel_tol=1e-9)
        assert each.wall == (None if each.step == "cold" else 236.0)


def test_steps_are_chosen_by_number_or_name() -> None:
    steps = made("hundred watts").steps
    assert [each.number for each in chosen("0-1, full wall", steps)] == [
        each.number for each in steps if each.number < 2 or each.name == "full wall"
    ]
    assert chosen(None, steps) == steps
    for text in ("99", "a tent", "3-99", ""):
        with pytest.raises(UnknownStep):
            chosen(text, steps)
