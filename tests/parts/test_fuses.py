"""Fuses: gates, breaking capacity, melting and pulses."""

from typing import Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from psucheck.parts import NotTabulated, library

# Sheet, rated amperes; then the longest time at 2.1, shortest and longest at 2.75, 4 and 10 times [s].
GATES = [
    (1, 0.5, 1800.0, (0.01, 2.0), (0.003, 0.3), (None, 0.02)),
    (1, 2.0, 1800.0, (0.01, 2.0), (0.003, 0.3), (None, 0.02)),
    (1, 5.0, 1800.0, (0.01, 3.0), (0.003, 0.3), (None, 0.02)),
    (1, 8.0, 1800.0, (0.04, 20.0), (0.01, 1.0), (None, 0.03)),
    (2, 0.08, 1800.0, (0.01, 0.5), (0.003, 0.1), (None, 0.02)),
    (2, 1.0, 1800.0, (0.05, 2.0), (0.01, 0.3), (None, 0.02)),
    (2, 10.0, 1800.0, (0.05, 2.0), (0.01, 0.4), (None, 0.04)),
    (3, 0.05, 120.0, (0.2, 10.0), (0.04, 3.0), (0.01, 0.3)),
    (3, 2.0, 120.0, (0.6, 10.0), (0.15, 3.0), (0.02, 0.3)),
    (3, 10.0, 120.0, (0.6, 10.0), (0.15, 3.0), (0.02, 0.3)),
    (5, 0.5, 1800.0, (0.25, 80.0), (0.05, 5.0), (0.005, 0.15)),
    (5, 2.0, 1800.0, (0.75, 80.0), (0.095, 5.0), (0.01, 0.15)),
    (5, 5.0, 1800.0, (0.75, 80.0), (0.15, 5.0), (0.01, 0.15)),
    (5, 10.0, 1800.0, (0.75, 80.0), (0.15, 5.0), (0.01, 0.15)),
]
Times = tuple[float | None, float]


@pytest.mark.parametrize(("sheet", "amps", "at_2_1", "at_2_75", "at_4", "at_10"), GATES)
def test_iec_gates(sheet: int, amps: float, at_2_1: float, at_2_75: Times, at_4: Times, at_10: Times) -> None:
    gate = library().fuses.iec_gate(sheet, amps)
    hold = 1800.0 if amps >= 8.0 else 3600.0
    assert gate.points == (
        (1.5, hold, None), (2.1, None, at_2_1), (2.75, *at_2_75), (4.0, *at_4), (10.0, *at_10),
    )  # fmt: skip
    assert gate.source.startswith(f"IEC 60127-2 sheet {sheet}")


def test_a_rating_between_two_rows_takes_the_wider_gate() -> None:
    gate = library().fuses.iec_gate(5, 3.5)
    assert gate.points[3] == (4.0, 0.095, 5.0)
    gate = library().fuses.iec_gate(2, 0.112)
    assert gate.points[2] == (2.75, 0.01, 2.0)
    assert gate.points[3] == (4.0, 0.003, 0.3)


@pytest.mark.parametrize(("sheet", "amps"), [(3, 0.02), (3, 25.0), (1, 12.0), (4, 1.0)])
def test_outside_every_row_there_is_no_gate(sheet: int, amps: float) -> None:
    with pytest.raises(NotTabulated):
        library().fuses.iec_gate(sheet, amps)


def test_a_row_from_memory_says_so() -> None:
    fuses = library().fuses
    assert fuses.iec_gate(1, 0.5).status == "recalled"
    assert fuses.iec_gate(1, 2.0).status == "second-hand"
    assert "recalled" in fuses.iec_gate(1, 2.0).holding_source


def test_gates_are_in_order_and_never_cross() -> None:
    fuses = library().fuses
    for table in (*fuses.iec_gates, *fuses.ul_gates):
        points = table.times.value.points
        multiples = [table.holds.value.multiple, *(one.multiple for one in points)]
        assert multiples == sorted(set(multiples))
        longest = [one.longest for one in points if one.longest is not None]
        shortest = [one.shortest for one in points if one.shortest is not None]
        assert longest == sorted(longest, reverse=True)
        assert shortest == sorted(shortest, reverse=True)
        assert all(one.shortest < one.longest for one in points if one.shortest and one.longest)


@pytest.mark.parametrize(
    ("speed", "breaking", "sheet"), [("F", "H", 1), ("F", "L", 2), ("T", "L", 3), ("T", "H", 5)]
)
def test_sheets(speed: Literal["F", "T"], breaking: Literal["L", "H"], sheet: int) -> None:
    assert library().fuses.sheet(speed, breaking) == sheet


def test_no_sheet_is_held_for_e() -> None:
    with pytest.raises(NotTabulated):
        library().fuses.sheet("T", "E")


@pytest.mark.parametrize(
    ("speed", "breaking", "amps", "per_square"),
    [
        ("T", "L", 2.0, 2.0), ("T", "L", 0.125, 2.0), ("T", "L", 0.1, 1.0), ("T", "H", 0.5, 0.5),
        ("T", "H", 1.0, 1.0), ("T", "H", 10.0, 1.0), ("F", "L", 1.0, 0.16), ("F", "L", 10.0, 0.16),
        ("F", "H", 1.0, 0.048), ("F", "H", 6.3, 0.048),
    ],
)  # fmt: skip
def test_guaranteed_i2t(
    speed: Literal["F", "T"], breaking: Literal["L", "H"], amps: float, per_square: float
) -> None:
    least = library().fuses.guaranteed_melting_i2t(speed, breaking, amps)
    assert least == pytest.approx(per_square * amps**2)


def test_makers_melting_i2t_keeps_above_what_the_gate_warrants() -> None:
    fuses = library().fuses
    tried = 0
    for series in fuses.series.values():
        if series.breaking is None or series.speed not in ("F", "T"):
            continue
        speed: Literal["F", "T"] = "T" if series.speed == "T" else "F"
        for amps, i2t in zip(series.melting.value.amps, series.melting.value.melting_i2t, strict=True):
            least = fuses.guaranteed_melting_i2t(speed, series.breaking, amps)
            assert least is not None
            assert i2t > 0.95 * least, f"{series.name} {amps} A"
            tried += 1
    assert tried > 60


@pytest.mark.parametrize(
    ("series", "amps", "i2t"),
    [
        ("Eaton S505", 2.0, 9.60), ("littelfuse 213", 0.5, 2.90), ("Bel 5ST", 0.5, 3.1),
        ("Littelfuse 215SP", 1.6, 6.83), ("Bussmann S500", 1.0, 0.60), ("Littelfuse 313", 2.5, 130.0),
    ],
)  # fmt: skip
def test_melting_i2t_by_maker(series: str, amps: float, i2t: float) -> None:
    held = library().fuses.melting_i2t(series, amps)
    assert held.value == i2t
    assert held.status == "read"


def test_melting_i2t_of_short_pulses_where_given() -> None:
    fuses = library().fuses
    assert fuses.melting_i2t("Bel 5ST", 0.5, short_pulse=True).value == 1.4
    assert fuses.melting_i2t("Eaton S505", 2.0, short_pulse=True).value == 9.60


@pytest.mark.parametrize(
    ("series", "amps"),
    [("Bussmann S500", 0.25), ("Bussmann S500", 0.315), ("Littelfuse 216SP", 3.15), ("Eaton S505", 2.2)],
)
def test_no_melting_i2t_is_invented(series: str, amps: float) -> None:
    with pytest.raises(NotTabulated, match="lists no melting I2t"):
        library().fuses.melting_i2t(series, amps)


def test_an_unknown_series_names_those_held() -> None:
    with pytest.raises(NotTabulated, match="Eaton S505"):
        library().fuses.melting_i2t("Nobody 1", 1.0)


@pytest.mark.parametrize(
    ("letter", "amps", "breaks"),
    [("L", 2.0, 35.0), ("L", 4.0, 40.0), ("L", 6.3, 63.0), ("E", 1.0, 150.0), ("H", 2.0, 1500.0)],
)
def test_breaking_capacity(letter: Literal["L", "E", "H"], amps: float, breaks: float) -> None:
    assert library().fuses.breaking_capacity(letter, amps) == pytest.approx(breaks)


@pytest.mark.parametrize(
    ("amps", "volts", "breaks"),
    [
        (0.5, 250.0, 35.0),
        (2.0, 240.0, 100.0),
        (5.0, 250.0, 200.0),
        (12.0, 250.0, 750.0),
        (2.0, 120.0, 10000.0),
    ],
)
def test_ul_breaking_capacity(amps: float, volts: float, breaks: float) -> None:
    assert library().fuses.ul_breaking_capacity(amps, volts) == breaks


def test_ul_breaking_capacity_is_not_known_above_250_volts() -> None:
    with pytest.raises(NotTabulated):
        library().fuses.ul_breaking_capacity(1.0, 300.0)


def test_ul_gates() -> None:
    fuses = library().fuses
    assert fuses.ul_gate("slow", 2.0).points[1:] == ((1.35, None, 3600.0), (2.0, 5.0, 120.0))
    assert fuses.ul_gate("slow", 3.0).points[2] == (2.0, 5.0, 120.0)
    assert fuses.ul_gate("slow", 5.0).points[2] == (2.0, 12.0, 120.0)
    assert fuses.ul_gate("fast", 2.0).points[2] == (2.0, None, 120.0)


def test_a_ul_gate_warrants_nothing_about_pulses() -> None:
    assert library().fuses.ul_gate("slow", 2.0).guaranteed_melting_i2t is None


@pytest.mark.parametrize(
    ("pulses", "share"),
    [(1.0, 0.48), (100.0, 0.48), (1000.0, 0.38), (5000.0, 0.29), (10000.0, 0.29), (1e5, 0.22)],
)
def test_pulse_withstand(pulses: float, share: float) -> None:
    assert library().fuses.pulse_share(pulses) == share


def test_pulse_withstand_ends() -> None:
    with pytest.raises(NotTabulated):
        library().fuses.pulse_share(1e6)


@pytest.mark.parametrize(("amps", "ohms"), [(1.0, 0.140), (2.0, 0.0545), (5.0, 0.0131)])
def test_cold_resistance_passes_through_the_makers_points(amps: float, ohms: float) -> None:
    reading = library().fuses.typical_cold_resistance(amps)
    assert reading.value == pytest.approx(ohms, rel=1e-9)
    assert reading.outside is None


@given(st.floats(0.05, 20.0), st.floats(1.01, 3.0))
def test_cold_resistance_falls_with_rating(amps: float, step: float) -> None:
    fuses = library().fuses
    assert fuses.typical_cold_resistance(amps * step).value < fuses.typical_cold_resistance(amps).value


def test_preferred_ratings_all_have_a_gate_on_the_time_lag_glass_sheet() -> None:
    fuses = library().fuses
    for amps in fuses.preferred_ratings.value.amps:
        assert fuses.iec_gate(3, amps).points[1].longest == 120.0


def test_no_direct_rating_reaches_a_usual_ht_rail() -> None:
    assert max(one.rated.value.direct_volts for one in library().fuses.dc_series.values()) == 400.0
