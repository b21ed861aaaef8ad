from __future__ import annotations

import math
import pickle
import subprocess
import sys
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import pint
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from psucheck.quantity import UNITS, QuantityError, is_quantity, read, read_at, read_tolerance, show

ACCEPTED = [
    ("47 uF", "F", 47e-6),
    ("47uF", "F", 47e-6),
    ("47µF", "F", 47e-6),
    ("47 \u03bcF", "F", 47e-6),
    ("47 uf", "F", 47e-6),
    ("47 mfd", "F", 47e-6),
    ("47 MFD", "F", 47e-6),
    (".1 mfd", "F", 0.1e-6),
    ("250 mmf", "F", 250e-12),
    ("250 µµF", "F", 250e-12),
    ("100p", "F", 100e-12),
    ("4n7", "F", 4.7e-9),
    ("2u2", "F", 2.2e-6),
    ("2µ2", "F", 2.2e-6),
    ("u47", "F", 0.47e-6),
    ("4k7", "ohm", 4700.0),
    ("4K7", "ohm", 4700.0),
    ("4.7k", "ohm", 4700.0),
    ("4.7 kohm", "ohm", 4700.0),
    ("4k7 ohm", "ohm", 4700.0),
    ("10 k ohm", "ohm", 10e3),
    ("10 kΩ", "ohm", 10e3),
    ("10 k\u2126", "ohm", 10e3),
    ("2M2", "ohm", 2.2e6),
    ("1M", "ohm", 1e6),
    ("1M ohm", "ohm", 1e6),
    ("1 Mohm", "ohm", 1e6),
    ("1 meg", "ohm", 1e6),
    ("470R", "ohm", 470.0),
    ("4R7", "ohm", 4.7),
    ("0R47", "ohm", 0.47),
    ("R47", "ohm", 0.47),
    ("0 ohm", "ohm", 0.0),
    ("500V", "V", 500.0),
    ("6V3", "V", 6.3),
    ("243 V AC", "V", 243.0),
    ("441 VDC", "V", 441.0),
    ("6.3 V RMS", "V", 6.3),
    ("42 mV", "V", 0.042),
    ("1.5 kV", "V", 1500.0),
    ("225 mA", "A", 0.225),
    ("225 ma", "A", 0.225),
    ("1.9 A", "A", 1.9),
    ("5 W", "W", 5.0),
    ("150 VA", "VA", 150.0),
    ("10 H", "H", 10.0),
    ("5 mH", "H", 5e-3),
    ("50 Hz", "Hz", 50.0),
    ("25 J", "J", 25.0),
    ("150 ms", "s", 0.15),
    ("2 min", "s", 120.0),
    ("5000 h", "s", 18e6),
    ("10 A^2 s", "A^2 s", 10.0),
    ("10 A2s", "A^2 s", 10.0),
    ("10 A²s", "A^2 s", 10.0),
    ("105 degC", "degC", 105.0),
    ("105 °C", "degC", 105.0),
    ("5 %", "%", 0.05),
    ("  47\u00a0uF ", "F", 47e-6),
]


@pytest.mark.parametrize(("text", "unit", "value"), ACCEPTED)
def test_trade_notation_is_read(text: str, unit: str, value: float) -> None:
    assert read(text, unit) == value


REFUSED = [
    # text, unit wanted, part of the reason, column
    ("", "V", "nothing is written here", 0),
    ("   ", "V", "nothing is written here", 3),
    ("foo", "V", "'foo' is not a voltage", 0),
    ("V", "V", "'V' is not a voltage", 0),
    ("V1", "V", "'V1' is not a voltage", 0),
    ("nan V", "V", "'nan V' is not a voltage", 0),
    ("inf V", "V", "'inf V' is not a voltage", 0),
    ("1e400 V", "V", "without an exponent", 1),
    ("4.7e-5 F", "F", "without an exponent", 3),
    ("2*3 V", "V", "sums are not worked out here", 1),
    ("1+1 V", "V", "sums are not worked out here", 1),
    ("2 x 47 uF", "F", "sums are not worked out here", 2),
    ("(3) V", "V", "'(3) V' is not a voltage", 0),
    ("37", "V", "37 needs a unit: V", 0),
    ("-37", "V", "-37 needs a unit: V", 0),
    ("47", "F", "47 needs a unit: uF", 0),
    ("470", "ohm", "470 needs a unit: ohm", 0),
    ("50 V", "F", "a capacitance is wanted (uF), this is in V", 3),
    ("4k7", "F", "a capacitance is wanted (uF), this is in ohm", 1),
    ("10 h", "H", "an inductance is wanted (H), this is in s", 3),
    ("10 H", "s", "a time is wanted (s), this is in H", 3),
    ("1,000 V", "V", "no comma in a number: write 1000 V", 1),
    ("4,7 uF", "F", "no comma in a number: write 4.7 uF", 1),
    ("0,047 uF", "F", "no comma in a number: write 0.047 uF", 1),
    ("1 000 V", "V", "two numbers where one is wanted", 2),
    ("1.2.3 V", "V", "two numbers where one is wanted", 3),
    ("4k7k", "ohm", "'k7k' is not a unit of resistance", 1),
    ("4.7k7", "ohm", "'k7' is not a unit of resistance", 3),
    ("5 furlongs", "V", "'furlongs' is not a unit of voltage", 2),
    ("50 mF", "F", "write uF or 'mfd'", 3),
    ("8 MF", "F", "write uF or 'mfd'", 2),
    ("8 M", "F", "write uF or 'mfd'", 2),
    ("2M2", "F", "M has meant microfarad", 1),
    ("2m2", "F", "m has meant microfarad", 1),
    ("1m", "ohm", "milli or mega", 1),
    ("2m2", "ohm", "milli or mega", 1),
    ("50 mohm", "ohm", "milli or mega", 3),
    ("200 MA", "A", "MA could be milli or mega: write mA", 4),
    ("5 MV", "V", "MV could be milli or mega: write mV", 2),
    ("-5 V", "V", "cannot be negative", 0),
    (" -5 V", "V", "cannot be negative", 1),
    ("0 V", "V", "must be more than zero", 0),
    ("0 uF", "F", "must be more than zero", 0),
    ("9000 V", "V", "9000 V is not believable as a voltage (1 uV to 5000 V)", 0),
    ("2 F", "F", "not believable", 0),
    ("2000 Mohm", "ohm", "not believable", 0),
    ("9" * 400 + " V", "V", "not believable", 0),
    ("٤٧ uF", "F", "is not a capacitance", 0),  # digits of another script
]


@pytest.mark.parametrize(("text", "unit", "reason", "column"), REFUSED)
def test_anything_else_is_refused_with_its_reason(text: str, unit: str, reason: str, column: int) -> None:
    with pytest.raises(QuantityError) as caught:
        read(text, unit)
    error = caught.value
    assert reason in error.reason
    assert error.column == column
    assert error.text == text
    assert error.allowed in str(error)


def test_the_suggestion_keeps_the_number_that_was_written() -> None:
    with pytest.raises(QuantityError) as caught:
        read("-37", "V", allow_negative=True)
    assert caught.value.allowed == "-37 V"


def test_negative_and_zero_only_where_they_are_allowed() -> None:
    assert read("-37 V", "V", allow_negative=True) == -37.0
    assert read("−37 V", "V", allow_negative=True) == -37.0
    assert read("0 V", "V", allow_zero=True) == 0.0
    with pytest.raises(QuantityError, match="more than zero"):
        read("0 V", "V", allow_negative=True)
    with pytest.raises(QuantityError, match="more than zero"):
        read("0 ohm", "ohm", allow_zero=False)
    with pytest.raises(QuantityError, match="not believable"):
        read("-9000 V", "V", allow_negative=True)


def test_every_example_in_a_message_can_be_read() -> None:
    for name, unit in UNITS.items():
        assert unit.low <= read(unit.example, name) <= unit.high


def test_errors_survive_a_worker_process() -> None:
    error = pickle.loads(pickle.dumps(QuantityError("text", "reason", "allowed", 3)))
    assert (error.text, error.reason, error.allowed, error.column) == ("text", "reason", "allowed", 3)


# --- pint as the referee ----------------------------------------------------------------------------------

# What pint calls the words of the trade that it does not know by themselves, or knows as something else.
PINT_UNIT = {"V": "volt", "A": "ampere", "W": "watt", "VA": "volt * ampere", "ohm": "ohm", "F": "farad"} | {
    "H": "henry", "Hz": "hertz", "J": "joule", "s": "second", "A^2 s": "ampere ** 2 * second",
    "degC": "degC", "%": "percent",
}  # fmt: skip
PREFIXES = {"p": "pico", "n": "nano", "u": "micro", "m": "milli", "k": "kilo", "M": "mega", "G": "giga"}
BASES = {
    "V": ("V", "v", "volts", "volt"),
    "A": ("amperes", "ampere", "amps", "amp", "A", "a"),
    "W": ("watts", "watt", "W", "w"),
    "VA": ("VA",),
    "ohm": ("ohms", "ohm", "Ω", "OHMS", "OHM", "R"),
    "F": ("farads", "farad", "F"),
    "H": ("henries", "henrys", "henry", "H", "h"),
    "Hz": ("Hz",),
    "J": ("joules", "joule", "J"),
    "s": ("seconds", "second", "secs", "sec", "s"),
    "A^2 s": ("A^2 s", "A^2s", "A2 s", "A2s", "A² s", "A²s"),
    "degC": ("degC", "deg C", "°C", "C"),
    "%": ("%", "percent", "per cent"),
}
TRADE = {
    "F": dict.fromkeys(("mfd", "Mfd", "MFD", "mFd", "MFd", "ufd"), "microfarad")
    | dict.fromkeys(("mmf", "MMF", "mmfd", "MMFD", "mmFd", "MMFd", "uuF", "uufd"), "picofarad")
    | {"u": "microfarad", "n": "nanofarad", "p": "picofarad"},
    "ohm": {"k": "kiloohm", "M": "megaohm", "G": "gigaohm"},
    "s": dict.fromkeys(("min", "mins", "minute", "minutes"), "minute")
    | dict.fromkeys(("h", "hr", "hrs", "hour", "hours"), "hour"),
}


def spelled_for_pint(word: str, unit: str) -> str:
    """Unit word in pint's long names, made from the lists above and not from the table under test."""
    if word in TRADE.get(unit, {}):
        return TRADE[unit][word]
    if unit == "V":
        word = word.rstrip("ACDRMSacdrms ") if word[-1] in "CcSs" and not word.endswith("volts") else word
    prefix = word
    for base in BASES[unit]:
        if word.endswith(base):
            prefix = word.removesuffix(base).strip()
            break
    long = {"": "", "meg": "mega", "Meg": "mega", "MEG": "mega"} | PREFIXES
    return long[prefix] + PINT_UNIT[unit]


EVERY_WORD = [(unit, word) for unit in UNITS for word in UNITS[unit].words]
REGISTRY: pint.UnitRegistry[float] = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)


@pytest.mark.parametrize(("unit", "word"), EVERY_WORD)
def test_pint_agrees_on_every_word(unit: str, word: str) -> None:
    base = "dimensionless" if unit == "%" else PINT_UNIT[unit]
    pints = REGISTRY.Quantity(1.0, spelled_for_pint(word, unit)).to(base).magnitude
    factor = UNITS[unit].factor(word)
    assert factor is not None
    assert float(factor) == pytest.approx(pints, rel=1e-12)
    # A number of this word that lies inside the bounds is read as so many of it.
    number = Decimal(f"{UNITS[unit].high / 4 / float(factor):.3f}")
    assert read(f"{number} {word}", unit) == pytest.approx(float(number) * pints, rel=1e-12)


# --- properties -------------------------------------------------------------------------------------------

ANY_UNIT = st.sampled_from(sorted(UNITS))
PIECES = [
    *(
        "47",
        "4k7",
        "4",
        "0",
        ".",
        ",",
        "-",
        "+",
        "±",
        "+-",
        "x",
        " ",
        "\u00a0",
        "\n",
        "½",
        "e9",
        "nan",
        "9" * 5000,
    ),
    *("u", "M", "m", "k", "R", "F", "V", "ohm", "µ", "Ω", "%", "A^2 s", "AC", "at"),
]
TEXT = st.one_of(st.text(max_size=30), st.lists(st.sampled_from(PIECES), max_size=8).map("".join))


def outcome(reader: Callable[[str], object], text: str) -> object:
    """What a reader gives, or how it refuses; anything but a refusal is let through."""
    try:
        return reader(text)
    except QuantityError as error:
        return error


@given(TEXT, ANY_UNIT, st.booleans())
@example("9" * 5000 + " %", "%", False)
def test_no_text_raises_anything_else(text: str, unit: str, negative: bool) -> None:
    found = outcome(lambda t: read(t, unit, allow_negative=negative), text)
    if isinstance(found, QuantityError):
        assert found.reason
        assert 0 <= found.column <= len(text)
    else:
        assert isinstance(found, float)
        assert math.isfinite(found)
        assert is_quantity(text, unit)


@given(TEXT)
def test_no_pair_raises_anything_else(text: str) -> None:
    for found in (outcome(lambda t: read_at(t, "V", "A"), text), outcome(read_tolerance, text)):
        if isinstance(found, QuantityError):
            assert found.text == text
            assert 0 <= found.column <= len(text)
        else:
            assert isinstance(found, tuple)


@given(
    st.sampled_from([("R", "", "ohm"), ("k", "k", "ohm"), ("K", "k", "ohm"), ("M", "M", "ohm")])
    | st.sampled_from([("u", "u", "F"), ("n", "n", "F"), ("p", "p", "F"), ("µ", "u", "F"), ("V", "", "V")]),
    st.integers(0, 999),
    st.integers(1, 99),
)
def test_a_letter_for_the_point_is_the_decimal(mark: tuple[str, str, str], whole: int, part: int) -> None:
    letter, prefix, unit = mark
    decimal = f"{whole}.{part} {prefix}{unit}"
    assert is_quantity(decimal, unit)
    assert is_quantity(f"{whole}{letter}{part}", unit)
    expected = outcome(lambda t: read(t, unit), decimal)
    found = outcome(lambda t: read(t, unit), f"{whole}{letter}{part}")
    if isinstance(expected, QuantityError):
        assert "not believable" in expected.reason
        assert isinstance(found, QuantityError)
    else:
        assert found == expected


@given(ANY_UNIT, st.floats(0.0, 1.0), st.integers(3, 6))
def test_what_is_shown_is_read_again(unit: str, place: float, digits: int) -> None:
    low, high = UNITS[unit].low * 1.01, UNITS[unit].high * 0.99
    value = low * (high / low) ** place
    # The smallest unit word of some units (VA, Hz, %) ends at six decimals.
    smallest = float(UNITS[unit].words[UNITS[unit].scales[-1]])
    absolute = 0.5e-6 * smallest * 1.01
    text = show(value, unit, digits)
    assert text.isascii()
    assert read(text, unit, allow_zero=True) == pytest.approx(
        value, rel=0.51 * 10 ** (1 - digits), abs=absolute
    )


# --- showing ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (47e-6, "F", "47 uF"),
        (50e-6, "F", "50 uF"),
        (1e-3, "F", "1000 uF"),
        (4.7e-9, "F", "4.7 nF"),
        (4700.0, "ohm", "4.7 kohm"),
        (0.47, "ohm", "0.47 ohm"),
        (0.0474, "ohm", "0.0474 ohm"),
        (2.2e6, "ohm", "2.2 Mohm"),
        (999.6, "ohm", "1 kohm"),
        (441.2, "V", "441 V"),
        (1234.0, "V", "1234 V"),
        (12.66, "V", "12.7 V"),
        (9.996, "V", "10 V"),
        (-37.0, "V", "-37 V"),
        (0.0, "V", "0 V"),
        (-1e-30, "V", "0 uV"),
        (0.225, "A", "225 mA"),
        (0.9999, "A", "1 A"),
        (1.9, "A^2 s", "1.9 A^2 s"),
        (0.05, "%", "5 %"),
        (105.0, "degC", "105 degC"),
        (0.01, "s", "10 ms"),
    ],
)
def test_showing(value: float, unit: str, text: str) -> None:
    assert show(value, unit) == text


def test_more_digits_on_request() -> None:
    assert show(441.23, "V", 5) == "441.23 V"
    assert show(441.23, "V", 1) == "441 V"


@pytest.mark.parametrize(("value", "unit", "text"), [
    (99_999.0, "V", "99999 V"),
    (123_456.0, "V", "123 thousand V"),
    (-1_234_567.8, "V", "-1.23 million V"),
    (2.5e9, "A", "2.5 thousand million A"),
    (3.3e15, "J", "3.30e+15 J"),
    (123_456.0, "s", "123456 s"),
])  # fmt: skip
def test_a_figure_beyond_belief_is_not_shown_at_full_length(value: float, unit: str, text: str) -> None:
    """Seconds go to years, so that these are believed."""
    assert show(value, unit) == text


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_no_reading_is_not_shown(value: float) -> None:
    with pytest.raises(ValueError, match="can be shown"):
        show(value, "V")


# --- pairs ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("text", ["17 V at 225 mA", "17V @ 225mA", "17 V AT 225 mA", " 17 V at 0.225 A "])
def test_a_value_at_another(text: str) -> None:
    assert read_at(text, "V", "A") == (17.0, 0.225)


@pytest.mark.parametrize(
    ("text", "reason", "column"),
    [
        ("17 V", "a voltage at a current is wanted", 4),
        ("17 at 225 mA", "17 needs a unit: V", 0),
        ("17 V at 225", "225 needs a unit: mA or A", 8),
        ("17 V at 225 V", "a current is wanted (mA or A), this is in V", 12),
    ],
)
def test_a_value_at_another_is_refused(text: str, reason: str, column: int) -> None:
    with pytest.raises(QuantityError) as caught:
        read_at(text, "V", "A")
    assert reason in caught.value.reason
    assert (caught.value.column, caught.value.text) == (column, text)


@pytest.mark.parametrize("text", ["440 V +-5 %", "440 V +/- 5 %", "440 V ±5%", "440V+-5%"])
def test_a_value_with_its_tolerance(text: str) -> None:
    assert read_tolerance(text) == (440.0, 0.05)


@pytest.mark.parametrize(
    ("text", "reason", "column"),
    [
        ("440 V", "by how many per cent?", 5),
        ("440 V +-5", "5 needs a unit: %", 8),
        ("440 V +-10 V", "a percentage is wanted (%), this is in V", 11),
        ("440 +-5 %", "440 needs a unit: V", 0),
    ],
)
def test_a_tolerance_is_refused(text: str, reason: str, column: int) -> None:
    with pytest.raises(QuantityError) as caught:
        read_tolerance(text)
    assert reason in caught.value.reason
    assert caught.value.column == column


def test_reading_text_does_not_import_the_units_library() -> None:
    code = "import sys, psucheck.quantity as q; q.read('47 uF', 'F'); print('pint' in sys.modules)"
    root = Path(__file__).parents[1]
    done = subprocess.run([sys.executable, "-c", code], cwd=root, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
