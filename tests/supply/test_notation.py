from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from psucheck.quantity import show
from psucheck.supply import notation
from psucheck.supply.notation import NotationError

NODE = (
    "choke 10 H 110 ohm 180 mA, 50 uF 500 V, was 455 V, bleeder 220k 1 W, target 440 V +-5 %, "
    "from screens, original 32 uF 450 V, temperature 55 degC"
)

ACCEPTED: list[tuple[str, str, Any]] = [
    (
        "node",
        NODE,
        {
            "choke": {"inductance": 10.0, "resistance": 110.0, "current": 0.18},
            "capacitor": {"value": 50e-6, "voltage": 500.0},
            "was": 455.0,
            "bleeder": {"value": 220e3, "power": 1.0},
            "target": [440.0, 0.05],
            "from": "screens",
            "original": {"value": 32e-6, "voltage": 450.0},
            "temperature": 55.0,
        },
    ),
    (
        "node",
        "10k 1 W, 2 x 100 uF 350 V in series with 220k 1 W each, was 390 V",
        {
            "resistor": {"value": 10e3, "power": 1.0},
            "capacitor": {"value": 100e-6, "voltage": 350.0, "in_series": 2}
            | {"balancing": {"value": 220e3, "power": 1.0}},
            "was": 390.0,
        },
    ),
    ("node", "32+32 uF 450 V", {"capacitor": {"value": 64e-6, "voltage": 450.0, "sections": [32e-6, 32e-6]}}),
    ("node", "10k, zener 300 V 5 W", {"resistor": {"value": 10e3}, "zener": {"zener": 300.0, "power": 5.0}}),
    ("node", "2 x 10k 1 W in series", {"resistor": {"value": 20e3, "power": 2.0}}),
    ("node", "1M 1 W, was -37 V", {"resistor": {"value": 1e6, "power": 1.0}, "was": -37.0}),
    ("node", "8 mfd 450 V, from Rectifiers.HT  middle", {"capacitor": {"value": 8e-6, "voltage": 450.0}}
     | {"from": "rectifiers.ht middle"}),
    ("target", "440 V +-5 %", [440.0, 0.05]),
    ("primary", "230 V, 6.2 ohm", {"voltage": 230.0, "resistance": 6.2}),
    ("primary", "6.2 ohm, 230 V", {"voltage": 230.0, "resistance": 6.2}),
    ("primary", "230 V", {"voltage": 230.0}),
    (
        "winding",
        "365-0-365 V off load at 243 V, 33 + 35 ohm",
        {"volts": [365.0, 365.0], "off_load_at": 243.0, "resistance": [33.0, 35.0]},
    ),
    ("winding", "365 - 0 - 365 VAC no-load at 243 V mains", {"volts": [365.0, 365.0], "off_load_at": 243.0}),
    ("winding", "345–0–340 V 220 mA", {"volts": [345.0, 340.0], "current": 0.22}),
    ("winding", "345-0-345 V 200 mA DC", {"volts": [345.0, 345.0], "current": 0.2, "current_is": "DC"}),
    ("winding", "345-0-345 V 200 mA RMS", {"volts": [345.0, 345.0], "current": 0.2}),
    ("winding", "690 V CT 220 mA, 35 ohm each", {"volts": [345.0, 345.0], "current": 0.22}
     | {"resistance": [35.0, 35.0]}),
    ("winding", "690VCT", {"volts": [345.0, 345.0]}),
    ("winding", "6.9 V off load at 243 V", {"volts": [6.9], "off_load_at": 243.0}),
    ("winding", "0-6.3 V 3 A", {"volts": [6.3], "current": 3.0}),
    ("winding", "5 V 2 A", {"volts": [5.0], "current": 2.0}),
    ("winding", "3.15-0-3.15 V 4 A, 0.05 + 0.05 ohm", {"volts": [3.15, 3.15], "current": 4.0}
     | {"resistance": [0.05, 0.05]}),
    ("winding", "330 V 300 mA, 40 ohm", {"volts": [330.0], "current": 0.3, "resistance": [40.0]}),
    (
        "winding",
        "330 V, taps bias 50 V 12 ohm, tap low 300 V",
        {"volts": [330.0], "taps": {"bias": {"volts": 50.0, "resistance": 12.0}, "low": {"volts": 300.0}}},
    ),
    ("idle", "38 mA each at the cathode", {"cathode": 0.038, "each": True}),
    ("idle", "38 mA at each cathode", {"cathode": 0.038, "each": True}),
    ("idle", "38 mA each at the anode", {"anode": 0.038, "each": True}),
    ("idle", "38 mA per tube at the plate", {"anode": 0.038, "each": True}),
    ("idle", "76 mA together", {"cathode": 0.076, "each": False}),
    ("idle", "68 mA in all at the anodes", {"anode": 0.068, "each": False}),
    ("two_resistances", "38 + 41 ohm", [38.0, 41.0]),
    ("two_resistances", "38R+41R", [38.0, 41.0]),
    ("two_resistances", "0 + 0 ohm", [0.0, 0.0]),
    ("two_resistances", "79 ohm", [79.0]),
    ("place", "mains", {"kind": "mains"}),
    ("place", "wall", {"kind": "mains"}),
    ("place", "winding ht", {"kind": "winding", "name": "ht"}),
    ("place", "winding rectifier heater", {"kind": "winding", "name": "rectifier heater"}),
    ("place", "each winding HT", {"kind": "each winding", "name": "ht"}),
    ("place", "centre tap ht", {"kind": "centre tap", "name": "ht"}),
    ("place", "center-tap ht", {"kind": "centre tap", "name": "ht"}),
    ("place", "before reservoir", {"kind": "before", "name": "reservoir"}),
    ("place", "after reservoir", {"kind": "after", "name": "reservoir"}),
]  # fmt: skip


@pytest.mark.parametrize(("form", "text", "table"), ACCEPTED)
def test_short_forms(form: str, text: str, table: Any) -> None:
    assert getattr(notation, form)(text) == table


REFUSED = [
    ("node", "", "nothing is written here", ""),
    ("node", "50 uF 500 V, , was 3 V", "nothing is written here", " , was"),
    ("node", "50 uF 500 V, was 455", "455 needs a unit: V", "455"),
    ("node", "10k 1 W, 4,7 uF 450 V", "a comma between two digits", ",7"),
    ("node", "10k 1 W, bleder 220k", "did you mean 'bleeder'?", "bleder"),
    ("node", "10k 1 W, 22 uF 450 V, 4k7 1 W", "resistor is given twice", "4k7"),
    ("node", "10k 1 W, 22 uF 450 V, original 32 uF 450", "450 needs a unit", "450"),
    ("node", "10k 1 W, 22 uF 450 V, target 440 V", "by how many per cent?", ""),
    ("node", "10k 1 W, 22 uF 450 V, from", "a name is missing", ""),
    ("node", "10k 1 W, was 390 V today", "'today' is not understood here", "today"),
    ("node", "choke 10 H 180 mA, 50 uF 500 V", "the choke's resistance is missing", ", 50"),
    ("node", "10 H 110 ohm, 50 uF 500 V", "a choke is written with that word", "10 H"),
    ("node", "50 500 V", "50 needs a unit: uF or ohm", "50"),
    ("node", "8 M 450 V", "megohms or microfarads?", "8 M"),
    ("node", "1M", "megohms or microfarads?", "1M"),
    ("node", "8 MF 450 V", "write uF or 'mfd'", "MF"),
    ("node", "regulator 300 V, 22 uF 450 V", "a regulator is not modelled", "300"),
    ("target", "440 V", "by how many per cent?", ""),
    ("primary", "6.2 ohm", "the primary's voltage is missing", "6.2"),
    ("primary", "230 V, 6.2", "6.2 needs a unit: V or ohm", "6.2"),
    ("primary", "230 V, 240 V", "voltage is given twice", "240"),
    ("primary", "230 V, 5 A", "not 5 A", "5 A"),
    ("winding", "365-0-365", "365 needs a unit: V", "365"),
    ("winding", "365-0-365 V, 68 ohm", "one resistance for two halves", ""),
    ("winding", "330 V, 33 + 35 ohm", "without a centre tap", ""),
    ("winding", "365-0-365 V, 1 + 2 + 3 ohm", "3 resistances for two halves", ""),
    ("winding", "350-300-0-300-350 V", "more than two ends and a centre tap", "350-300"),
    ("winding", "6.3 V off load", "off load at what mains voltage?", ""),
    ("winding", "6.3 V 3", "3 needs a unit", "3"),
    ("winding", "220 mA", "a voltage is wanted (V), this is in A", "mA"),
    ("winding", "330 V unloded at 243 V", "did you mean 'unloaded'?", "unloded"),
    ("winding", "330 V, tap 50 V", "a tap is written with its name", "50 V"),
    ("winding", "330 V, tap bias 50", "50 needs a unit: V", "50"),
    ("winding", "330 V, tap bias 50 V, tap bias 60 V", "bias is given twice", "bias 60"),
    ("idle", "76 mA", "is that each valve's, or all together?", ""),
    ("idle", "38 each", "38 needs a unit: mA or A", "38"),
    ("idle", "38 V each", "a current is wanted (mA or A), this is in V", "V each"),
    ("idle", "38 mA each at the catode", "did you mean 'cathode'?", "catode"),
    ("idle", "38 mA each at the screen", "'screen' is not understood here", "screen"),
    ("idle", "38 mA each together", "each is given twice", "together"),
    ("two_resistances", "38 + 41", "needs a unit: ohm", "38"),
    ("two_resistances", "1 + 2 + 3 ohm", "two halves at most", "1"),
    ("two_resistances", "38 + 41 ohm each", "'each' is not understood here", "each"),
    ("place", "", "nothing is written here", ""),
    ("place", "befor reservoir", "did you mean 'before'?", "befor"),
    ("place", "before", "a name is missing", ""),
    ("place", "mains ht", "'ht' is not understood here", "ht"),
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


# --- properties -------------------------------------------------------------------------------------------

FORMS = sorted(set(notation.__all__) - {"NotationError"})
PIECES = [
    *(
        "50 uF",
        "500 V",
        "10k",
        "1 W",
        "choke",
        "10 H",
        "110 ohm",
        "180 mA",
        "365-0-365",
        "33 + 35",
        "2 x",
        "2x",
    ),
    *("in series", "in parallel", "with", "each", "was", "from", "target", "+-5 %", "-10/+50 %", "original"),
    *(
        "off load at",
        "tap",
        "bias",
        "EL34",
        "ECC83",
        "T2A",
        "L250V",
        "UL slow",
        "2 A",
        "V",
        "DC",
        "before",
        "ht",
    ),
    *(
        ",",
        "+",
        "-",
        "at",
        "M",
        "0",
        "37",
        "nan",
        "e9",
        "½",
        "\n",
        "\u00a0",
        "9" * 5000,
        "life 5000 h",
        "mains",
    ),
]
TEXT = st.one_of(
    st.text(max_size=40),
    st.lists(st.sampled_from(PIECES), max_size=9).map(" ".join),
    st.lists(st.sampled_from(PIECES), max_size=9).map("".join),
)


@given(st.sampled_from(FORMS), TEXT)
def test_no_text_raises_anything_else(form: str, text: str) -> None:
    error: NotationError | None = None
    try:
        table = getattr(notation, form)(text)
    except NotationError as refusal:
        error = refusal
    if error:
        assert error.text == text
        assert 0 <= error.column <= len(text)
        assert error.reason
        assert error.allowed
    else:
        assert table


@given(st.integers(1, 9999), st.integers(1, 5000), st.integers(0, 99_999), st.integers(1, 100))
def test_a_node_written_from_its_values_is_read_again(uf: int, volts: int, ohms: int, watts: int) -> None:
    capacitor = {"value": uf * 1e-6, "voltage": float(volts)}
    text = f"{show(ohms, 'ohm', 6)} {show(watts, 'W')}, {show(uf * 1e-6, 'F', 6)} {show(volts, 'V')}"
    node = notation.node(text)
    assert node.keys() == {"resistor", "capacitor"}
    assert node["resistor"] == pytest.approx({"value": float(ohms), "power": float(watts)})
    assert node["capacitor"] == pytest.approx(capacitor)
