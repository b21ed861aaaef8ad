import pytest

from psucheck.supply import guesses
from psucheck.supply.filled import FilledSupply
from tests.supply.sketch import filled, notes


def _mains(*lines: str) -> FilledSupply:
    return filled(mains="\n".join(("[mains]", *lines)), windings=(
        '[windings]\nht = "300-0-300 V, 36 + 38 ohm, 320 mA"\nheaters = "6.3 V 5 A"'
    ))  # fmt: skip


def test_a_systems_range_and_impedance() -> None:
    supply = _mains('voltage = "230 V"', 'frequency = "50 Hz"', 'system = "UK"')
    mains = supply.mains
    assert (mains.low, mains.high, mains.ohms, mains.wall, mains.hertz) == (216.2, 253.0, 0.40, None, 50.0)
    found = notes(supply)
    for key in ("low", "high", "impedance"):
        assert found[f"mains.{key}"].kind == "default"
        assert found[f"mains.{key}"].source


def test_another_nominal_voltage_of_a_system_has_its_range_in_proportion() -> None:
    mains = _mains('voltage = "115 V"', 'frequency = "50 Hz"', 'system = "UK"').mains
    assert (mains.low, mains.high) == pytest.approx((108.1, 126.5))


def test_a_nominal_voltage_near_the_systems_own_has_the_systems_range() -> None:
    mains = _mains('voltage = "240 V"', 'frequency = "50 Hz"', 'system = "UK"').mains
    assert (mains.low, mains.high) == (216.2, 253.0)


def test_without_a_system_ten_per_cent_either_way() -> None:
    supply = _mains('voltage = "200 V"', 'frequency = "50 Hz"')
    assert (supply.mains.low, supply.mains.high) == pytest.approx((180.0, 220.0))
    assert "second-hand" in notes(supply)["mains.low"].source


@pytest.mark.parametrize(("volts", "ohms", "kind"), [(230, 0.40, "default"), (120, 0.2, "guess")])
def test_the_wiring_of_the_house(volts: int, ohms: float, kind: str) -> None:
    supply = _mains(f'voltage = "{volts} V"', 'frequency = "50 Hz"')
    assert supply.mains.ohms == ohms
    assert notes(supply)["mains.impedance"].kind == kind


def test_what_is_given_is_taken() -> None:
    supply = _mains(
        'voltage = "230 V"', 'frequency = "60 Hz"', 'low = "210 V"', 'high = "245 V"', 'wall = "238 V"',
        'impedance = "0.6 ohm"',
    )  # fmt: skip
    mains = supply.mains
    assert (mains.low, mains.high, mains.wall, mains.ohms, mains.hertz) == (210.0, 245.0, 238.0, 0.6, 60.0)
    assert not [key for key in notes(supply) if key.startswith("mains.")]


# --- places -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rating", "ohms"), [("T1AL250V", 0.13), ("T2AL250V", 0.0510), ("T500mAL250V", 0.3314)]
)
def test_a_fuse_has_a_cold_resistance(rating: str, ohms: float) -> None:
    supply = filled(fuses=f'[fuses]\nmains = "{rating}"')
    assert supply.at_place("mains") == pytest.approx(ohms, rel=1e-3)
    note = notes(supply)["fuses.mains.resistance"]
    assert note.kind == "guess"
    assert note.low is not None
    assert note.high is not None
    assert note.low < note.value < note.high
    # The two points of the sheet lie inside the range.
    if rating in ("T1AL250V", "T2AL250V"):
        assert note.low < {"T1AL250V": 0.14, "T2AL250V": 0.0545}[rating] < note.high


def test_the_smaller_the_fuse_the_more_ohms() -> None:
    def ohms(amps: str) -> float:
        return filled(fuses=f'[fuses]\nmains = "T{amps}L250V"').at_place("mains")

    assert ohms("315mA") > ohms("630mA") > ohms("1.6A") > ohms("3.15A") > 0


def test_a_given_resistance_is_taken() -> None:
    supply = filled(fuses='[fuses]\nmains = { rating = "T2AL250V", resistance = "0.2 ohm" }')
    assert supply.at_place("mains") == 0.2
    assert "fuses.mains.resistance" not in notes(supply)


def test_what_stands_at_one_place_adds_up() -> None:
    supply = filled(
        fuses='[fuses]\nmains = { rating = "T2AL250V", resistance = "0.2 ohm" }',
        limiters='[limiters]\nmains = { cold = "10 ohm", hot = "0.5 ohm", current = "2 A" }',
        series='[series]\nmains = "1 ohm 5 W"\n"winding ht" = "22 ohm 5 W"',
    )
    assert supply.at_place("mains") == pytest.approx(1.7)
    assert supply.at_place("winding ht") == 22.0
    assert supply.at_place("before screens") == 0.0


def test_the_guess_for_a_fuse_is_the_one_in_the_table() -> None:
    assert guesses.FUSE_VOLT_AMPS.value == pytest.approx(0.13)
