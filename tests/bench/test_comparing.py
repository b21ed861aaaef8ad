from __future__ import annotations

import math

import jsonschema
import pytest

from psucheck.bench.comparing import amplifier_volts, compare, held
from psucheck.bench.plan import Plan
from psucheck.bench.reading import Reading
from psucheck.report import document
from psucheck.report.readings import readings_document
from psucheck.report.readings_view import JudgedReading, ReadingsView
from psucheck.report.sheet_view import Expected
from tests.bench.benches import plan
from tests.engine_runs import Here
from tests.tolerances import within


@pytest.fixture(scope="module")
def bench() -> Plan:
    return plan("hundred watts")


def judged(bench: Plan, *readings: Reading) -> tuple[JudgedReading, ...]:
    return compare(bench, readings, Here())


def out(bench: Plan, point: str) -> float:
    """What the sheet has with the valves out at the whole wall voltage."""
    return bench.up.values[bench.full][point]


def test_expected_is_recomputed_at_the_wall_of_that_moment(bench: Plan) -> None:
    """Off load a winding goes with the mains: at a wall of 228 V it has 5 % less than the sheet's 240 V."""
    [reading] = judged(bench, Reading("a half", "ht a", 0.5 * 0.95 * out(bench, "ht a"), 228.0))
    assert reading.volts == 114.0
    assert reading.expected.value == within("dc", 0.5 * 0.95 * out(bench, "ht a"))
    assert reading.verdict == "in band"
    assert reading.off == pytest.approx(0.0, abs=2e-3)


def test_volts_read_at_the_plug_say_where_the_variac_stood(bench: Plan) -> None:
    readings = [Reading("a tenth", "mains volts", 30.0, 240.0), Reading("a tenth", "ht a", 44.0, 244.0)]
    assert amplifier_volts(bench, readings[1], readings) == 30.5
    assert amplifier_volts(bench, readings[1], readings[1:]) == 24.4
    assert amplifier_volts(bench, Reading("cold", "plug ohms", 3.3, None), readings) is None


def test_in_band_near_and_off_by_how_much() -> None:
    expected = Expected("x", "V", 100.0, 96.0, 105.0)
    assert held(97.0, expected) == ("in band", "")
    assert held(93.0, expected) == ("near", "7 V low, 7 %")
    assert held(109.0, expected) == ("near", "9 V high, 9 %")
    assert held(80.0, expected) == ("off", "20 V low, 20 %")
    assert held(-100.0, expected) == ("off", "the sign is wrong")
    assert held(1000.0, expected) == ("off", "900 V high, 10 times")
    assert held(97.0, Expected("x", "V"))[0] == "no number"
    climbing = Expected("x", "ohm", None, 200e3, math.inf)
    assert held(math.inf, climbing)[0] == "in band"
    assert held(1e3, climbing)[0] == "off"


@pytest.mark.parametrize(
    ("reading", "said"),
    [
        (Reading("a tenth", "reservoir DC", 0.041, 240.0, unit="A"), "which is it"),
        (Reading("a tenth", "ht a", 35e-3, 240.0), "a thousandth of"),
        (Reading("full wall", "output cathode 1 mV", 36.0, 240.0), "a thousand times"),
        (Reading("full wall", "reservoir AC", 2.22 * 460.0, 240.0), "AC range read the DC"),
    ],
)
def test_what_cannot_be_right_is_asked_about_and_not_used(bench: Plan, reading: Reading, said: str) -> None:
    [found] = judged(bench, reading)
    assert found.verdict == "asked about"
    assert said in found.said
    assert not found.danger


def test_a_fault_is_no_slip_of_the_prefix(bench: Plan) -> None:
    """A first capacitor that is shorted leaves a fiftieth of the rail; an open one an AC of some volts."""
    found = judged(
        bench, Reading("a tenth", "reservoir DC", 0.9, 240.0), Reading("a tenth", "reservoir AC", 4.5, 240.0)
    )
    assert [each.verdict for each in found] == ["off", "off"]
    assert all(each.danger for each in found)


def test_without_silicon_a_rectifier_valve_promises_nothing_at_low_mains() -> None:
    valve = plan("valve")
    plain, plugged = judged(
        valve,
        Reading("a tenth", "reservoir DC", 0.3, 236.0),
        Reading("a tenth", "reservoir DC", 42.0, 236.0, plug_in=True),
    )
    assert plain.verdict == "no number"
    assert plugged.step == "a tenth with silicon"
    assert plugged.expected.value is not None


@pytest.mark.parametrize(
    ("reading", "said"),
    [
        (Reading("a tenth", "mains amps", 1.2, 240.0, unit="A"), "shorted"),
        (Reading("a half", "mains watts", 60.0, 240.0, unit="W"), "heat"),
        (Reading("a tenth", "reservoir DC", -48.0, 240.0), "wrong way round"),
        (Reading("full wall", "reservoir DC", 560.0, 240.0), "may vent"),
        (Reading("bias", "bias at output 2", -20.0, 240.0), "valves stay out"),
        (Reading("bias", "bias at output 2", 1.5, 240.0), "valves stay out"),
        (Reading("full wall", "heaters a", 3.7, 240.0), "on heaters"),
        (Reading("full wall", "output cathode 1 mV", 0.08, 240.0), "on its way to red"),
        (Reading("cold", "reservoir ohms", 90.0, None, unit="ohm"), "No mains"),
        (Reading("cold", "ht a ohms", 9.0, None, unit="ohm"), "shorted turns"),
    ],
)
def test_what_is_dangerous_to_go_on_from_says_why(bench: Plan, reading: Reading, said: str) -> None:
    [found] = judged(bench, reading)
    assert said in found.danger


def test_what_the_sheet_expects_is_no_danger(bench: Plan) -> None:
    readings = []
    for step in ("a tenth", "a half", "full wall", "full output"):
        setting = bench.setting(step)
        units = {name: point.unit for name, point in bench.up.points.items()}
        readings += [
            Reading(step, name, value, bench.wall, unit=units[name])
            for name, value in bench.up.values[setting].items()
            if name != "mains volts"
        ]
    found = judged(bench, *readings)
    assert not [each.point for each in found if each.danger]
    assert {each.verdict for each in found} == {"in band"}


def test_its_document_keeps_to_the_schema(bench: Plan) -> None:
    view = ReadingsView(
        "x", judged(bench, Reading("cold", "reservoir ohms", math.inf, None, unit="ohm")), ("y",)
    )
    schema = {**document.schema()["$defs"]["bench_readings"], "$defs": document.schema()["$defs"]}
    content = readings_document(view)
    jsonschema.Draft202012Validator(schema).validate(content)
    assert content["readings"][0]["value"] is None
