from __future__ import annotations

from typing import Any

import pytest

from psucheck.supply import notation
from psucheck.supply.notation import NotationError

BALANCING = {"value": 220e3, "power": 1.0}

ACCEPTED: list[tuple[str, str, Any]] = [
    ("capacitor", "50 uF 500 V", {"value": 50e-6, "voltage": 500.0}),
    ("capacitor", "50uF 500V", {"value": 50e-6, "voltage": 500.0}),
    ("capacitor", "500 V 50 mfd", {"value": 50e-6, "voltage": 500.0}),
    ("capacitor", "47 nF 1000 V", {"value": 47e-9, "voltage": 1000.0}),
    ("capacitor", "u47 400 V", {"value": 0.47e-6, "voltage": 400.0}),
    ("capacitor", "50 uF", {"value": 50e-6}),
    (
        "capacitor",
        "2 x 100 uF 350 V in series with 220k 1 W each",
        {"value": 100e-6, "voltage": 350.0, "in_series": 2, "balancing": BALANCING},
    ),
    (
        "capacitor",
        "3x100uF 350V in series with 220k 1 W 350 V 105 degC",
        {"value": 100e-6, "voltage": 350.0, "in_series": 3, "temperature": 105.0}
        | {"balancing": {**BALANCING, "voltage": 350.0}},
    ),
    ("capacitor", "2 × 100 uF 350 V each in series", {"value": 100e-6, "voltage": 350.0, "in_series": 2}),
    ("capacitor", "32+32 uF 450 V", {"value": 64e-6, "voltage": 450.0, "sections": [32e-6, 32e-6]}),
    ("capacitor", "32 uF + 16 uF 450 V", {"value": 48e-6, "voltage": 450.0, "sections": [32e-6, 16e-6]}),
    ("capacitor", "2 x 50 uF 500 V in parallel", {"value": 100e-6, "voltage": 500.0}
     | {"sections": [50e-6, 50e-6]}),
    ("capacitor", "50 uF 500 V +-20 %", {"value": 50e-6, "voltage": 500.0, "tolerance": [-0.2, 0.2]}),
    ("capacitor", "50 uF ±20% 500 V", {"value": 50e-6, "voltage": 500.0, "tolerance": [-0.2, 0.2]}),
    ("capacitor", "32+32 uF 450 V -10/+50 %", {"value": 64e-6, "voltage": 450.0}
     | {"sections": [32e-6, 32e-6], "tolerance": [-0.1, 0.5]}),
    (
        "capacitor",
        "50 uF 500 V ESR 1.5 ohm ripple 0.45 A surge 550 V 105 degC life 5000 h",
        {"value": 50e-6, "voltage": 500.0, "esr": 1.5, "ripple_current": 0.45, "surge_voltage": 550.0}
        | {"temperature": 105.0, "life": 18e6},
    ),
    ("resistor", "10k 1 W", {"value": 10e3, "power": 1.0}),
    ("resistor", "1 W 10 k", {"value": 10e3, "power": 1.0}),
    ("resistor", "0R47 5 W", {"value": 0.47, "power": 5.0}),
    ("resistor", "470R", {"value": 470.0}),
    ("resistor", "0 ohm", {"value": 0.0}),
    ("resistor", "1M", {"value": 1e6}),
    ("resistor", "220k 1 W 350 V", {"value": 220e3, "power": 1.0, "voltage": 350.0}),
    ("resistor", "2 x 220k 1 W 350 V in series", {"value": 440e3, "power": 2.0, "voltage": 700.0}),
    ("resistor", "2 x 220k 1 W 350 V in parallel", {"value": 110e3, "power": 2.0, "voltage": 350.0}),
    ("series", "10 ohm 10 W", {"value": 10.0, "power": 10.0}),
    ("series", "2 x 220 ohm 5 W in parallel", {"value": 110.0, "power": 10.0}),
    ("series", "zener 50 V 10 W", {"zener": 50.0, "power": 10.0}),
    ("series", "zener 50 V", {"zener": 50.0}),
    ("zener", "zener 300 V 10 W", {"zener": 300.0, "power": 10.0}),
    ("zener", "2 x 150 V 5 W each in series", {"zener": 300.0, "power": 10.0}),
    ("series", "zener 50 V 10 W 20 ohm", {"zener": 50.0, "power": 10.0, "resistance": 20.0}),
    ("series", "2 x zener 27 V 5 W in series", {"zener": 54.0, "power": 10.0}),
    ("series", "2 x zeners 27 V 5 W 8 ohm each in series", {"zener": 54.0, "power": 10.0}
     | {"resistance": 16.0}),
    ("choke", "choke 10 H 110 ohm 180 mA", {"inductance": 10.0, "resistance": 110.0, "current": 0.18}),
    ("choke", "10 H 110 ohm 180 mA", {"inductance": 10.0, "resistance": 110.0, "current": 0.18}),
    ("choke", "choke 110 ohm 180 mA", {"resistance": 110.0, "current": 0.18}),
    ("choke", "choke 10 H 110 ohm", {"inductance": 10.0, "resistance": 110.0}),
    ("valves", "2 x EL34, 3 x ECC83", [{"count": 2, "type": "EL34"}, {"count": 3, "type": "ECC83"}]),
    ("valves", "EL34", [{"count": 1, "type": "EL34"}]),
    ("valves", "2xEL34 and 3 ×12AX7", [{"count": 2, "type": "EL34"}, {"count": 3, "type": "12AX7"}]),
    ("valves", "2 × EL34 valves", [{"count": 2, "type": "EL34"}]),
    ("valves", "4 x 6L6GC tubes", [{"count": 4, "type": "6L6GC"}]),
    ("valves", "2x6L6GC,2 x 807", [{"count": 2, "type": "6L6GC"}, {"count": 2, "type": "807"}]),
    ("valves", "4x6550", [{"count": 4, "type": "6550"}]),
    # An X in a type is no multiplication sign.
    ("valves", "6X4", [{"count": 1, "type": "6X4"}]),
    ("valves", "6x5gt", [{"count": 1, "type": "6x5gt"}]),
    ("valves", "2X2A", [{"count": 1, "type": "2X2A"}]),
    ("valves", "2 x 6X4", [{"count": 2, "type": "6X4"}]),
    ("device", "GZ34", {"type": "GZ34"}),
    ("device", "2 x 1N4007 in series", {"type": "1N4007", "in_series": 2}),
    ("device", "2x1N4007 each in series", {"type": "1N4007", "in_series": 2}),
    ("device", "2 x GZ34 in parallel", {"type": "GZ34", "in_parallel": 2}),
    ("drop", "17 V at 225 mA", {"volts": 17.0, "amps": 0.225}),
    ("heater", "5 V 1.9 A", {"volts": 5.0, "amps": 1.9}),
    ("heater", "6V3 at 300 mA", {"volts": 6.3, "amps": 0.3}),
]  # fmt: skip


@pytest.mark.parametrize(("form", "text", "table"), ACCEPTED)
def test_short_forms(form: str, text: str, table: Any) -> None:
    assert approximately(getattr(notation, form)(text), table)


def approximately(found: Any, wanted: Any) -> bool:
    """Whether two tables have the same shape, text and types, and numbers equal to rounding."""
    if isinstance(wanted, dict):
        return found.keys() == wanted.keys() and all(approximately(found[key], wanted[key]) for key in wanted)
    if isinstance(wanted, list):
        return len(found) == len(wanted) and all(map(approximately, found, wanted))
    same = found == (pytest.approx(wanted, rel=1e-12) if isinstance(wanted, float) else wanted)
    return type(found) is type(wanted) and bool(same)


REFUSED = [
    ("capacitor", "", "nothing is written here", ""),
    ("capacitor", "500 V", "the capacitance is missing", ""),
    ("capacitor", "50 500 V", "50 needs a unit: uF", "50"),
    ("capacitor", "50 uF 500", "500 needs a unit", "500"),
    ("capacitor", "8 M 450 V", "write uF or 'mfd'", "M"),
    ("capacitor", "50 uF 500 V 450 V", "voltage is given twice", "450"),
    ("capacitor", "50 uF 500 V ripl 0.5 A", "did you mean 'ripple'?", "ripl"),
    ("capacitor", "50 uF 500 V ripple 0.5 V", "a current is wanted", "V"),
    ("capacitor", "50 uF at 500 V", "'at' is not understood here", "at"),
    ("capacitor", "-50 uF 500 V", "cannot be negative", "-50"),
    ("capacitor", "10k 500 V", "not 10k", "10k"),
    ("capacitor", "2 x 100 uF 350 V", "in series or in parallel?", ""),
    ("capacitor", "2 x 100 uF 350 V in series in parallel", "said twice", "in parallel"),
    ("capacitor", "0 x 100 uF 350 V in series", "at least one", "0 x"),
    ("capacitor", "100 uF 350 V in series", "how many in series?", "100"),
    ("capacitor", "2 x 32+32 uF 450 V in series", "not both", "2 x"),
    ("capacitor", "50 uF 500 V with 220k", "stand across parts in series", "with"),
    ("capacitor", "2 x 50 uF 500 V in parallel with 220k", "stand across parts in series", "with"),
    ("capacitor", "2 x 50 uF 500 V in series with", "a resistance is missing", ""),
    ("capacitor", "32+nonsense uF", "sums are not worked out here", "+nonsense"),
    ("resistor", "1 W", "the resistance is missing", ""),
    ("resistor", "10 1 W", "10 needs a unit: ohm", "10"),
    ("resistor", "10k 1", "1 needs a unit", "1"),
    ("resistor", "10k 1 W wirewound", "'wirewound' is not understood here", "wirewound"),
    ("resistor", "10k 2 W 1 W", "power is given twice", "1 W"),
    ("resistor", "4k7k 1 W", "'k7k' is not a unit", "k7k"),
    ("resistor", "1m 1 W", "milli or mega", "m"),
    ("resistor", "8 M 450 V", "megohms or microfarads?", "8"),
    ("resistor", "-1k 1 W", "cannot be negative", "-1k"),
    ("resistor", "2 x 220k 1 W", "in series or in parallel?", ""),
    ("resistor", "220k 1 W in series", "how many in series?", ""),
    ("series", "zener", "the zener's voltage is missing", ""),
    ("series", "zener 50 V 10 W 51 V", "zener is given twice", "51 V"),
    ("series", "zener 50 V 10 mA", "not 10 mA", "10"),
    ("series", "2 x zener 27 V 5 W", "zeners share nothing but in series", ""),
    ("series", "zener 27 V 5 W in series", "how many?", ""),
    ("series", "10 W", "the resistance is missing", ""),
    ("choke", "choke", "the choke's resistance is missing", ""),
    ("choke", "choke 10 H 180 mA", "the choke's resistance is missing", ""),
    ("choke", "choke 10 110 ohm", "10 needs a unit: H", "10"),
    ("choke", "choke 10 h 110 ohm", "not 10 h", "10 h"),
    ("choke", "choke 10 H 110 ohm 500 V", "not 500 V", "500"),
    ("valves", "2 x", "a type is wanted here", ""),
    ("valves", "x EL34", "a type is wanted here, not 'x'", "x"),
    ("valves", "2.5 x EL34", "a type is wanted here, not '2.5'", "2.5"),
    ("valves", "0 x EL34", "at least one", "0"),
    ("valves", "EL34, 2 x ECC83 ECC82", "put a comma between types", "ECC82"),
    ("valves", "EL34,", "nothing is written here", ""),
    ("device", "1N4007 in series", "how many in series?", "in series"),
    ("device", "2 x GZ34", "in series or in parallel?", ""),
    ("device", "GZ34 with 1N4007", "'with' is not understood here", "with"),
    ("drop", "17 V", "a voltage at a current is wanted", ""),
    ("drop", "17 V at 225", "225 needs a unit: mA or A", "225"),
    ("heater", "5 V", "a current is missing", ""),
    ("heater", "5 V 1.9 A 2 A", "'2' is not understood here", "2 A"),
    ("heater", "1.9 A 5 V", "a voltage is wanted (V), this is in A", "A"),
]


@pytest.mark.parametrize(("form", "text", "reason", "word"), REFUSED)
def test_refusals_name_the_reason_and_point_at_the_word(form: str, text: str, reason: str, word: str) -> None:
    with pytest.raises(NotationError) as caught:
        getattr(notation, form)(text)
    error = caught.value
    assert reason in error.reason
    assert text[error.column :].startswith(word)
    assert word or error.column == len(text)
    assert error.text == text
