"""The strictness of the data files: each fault is named with its file and key."""

from typing import Any

import pytest

from psucheck.parts import BadPartsData
from psucheck.parts.files import DiodesFile
from psucheck.parts.reader import build, parse

GOOD = """
[sources]
sheet = "A sheet"
other = "Another sheet"

[diodes.D1]
reverse_voltage = { volts = 400.0, source = "sheet", status = "read", also = [
    { volts = 500.0, source = "other", status = "recalled", confidence = "low" },
] }
mean_current = { amps = 1.0, source = "sheet", status = "read", confidence = "high", note = "at 75 C" }
surge = { amps = 30.0, seconds = 8.3e-3, source = ["sheet", "other"], status = "read" }
drop = { volts = 1.0, amps = 1.0, source = "sheet", status = "read" }
"""


def read(text: str) -> Any:
    return build(parse(text, "diodes.toml"), DiodesFile, "diodes.toml").diodes


def test_a_good_file_is_read_with_its_sources_in_full() -> None:
    diode = read(GOOD)["D1"]
    assert diode.name == "D1"
    assert diode.reverse_voltage.value == 400.0
    assert diode.reverse_voltage.published == (400.0, 500.0)
    assert diode.reverse_voltage.also[0].source == "Another sheet"
    assert diode.surge.source == "A sheet; Another sheet"
    assert diode.mean_current.citation == "A sheet (read in the source; confidence high)"
    assert diode.reverse_voltage.also[0].citation == (
        "Another sheet (recalled, data sheet or standard not opened; confidence low)"
    )
    assert diode.mean_current.opened
    assert not diode.reverse_voltage.also[0].opened


ONLY_AMPS = "Value error, expected the key 'amps' and no other quantity"
DROP = 'drop = { volts = 1.0, amps = 1.0, source = "sheet", status = "read" }'
MEAN = (
    'mean_current = { amps = 1.0, source = "sheet", status = "read", confidence = "high", note = "at 75 C" }'
)


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        (DROP, 'drop = { volts = 1.0, amps = 1.0, status = "read" }', "D1.drop.source: Field required"),
        (DROP, 'drop = { volts = 1.0, amps = 1.0, source = "sheet" }', "D1.drop.status: Field required"),
        (DROP, "", "D1.drop: Field required"),
        (
            DROP,
            'drop = { volts = 1.0, source = "sheet", status = "read" }',
            "D1.drop.value.amps: Field required",
        ),
        (
            DROP,
            'drop = { volts = 1.0, amps = 1.0, ohms = 1.0, source = "sheet", status = "read" }',
            "D1.drop.value.ohms: Extra inputs are not permitted",
        ),
        (
            DROP,
            "drop = 1.0",
            "D1.drop: Value error, a value is a table with its quantity, source and status",
        ),
        (
            DROP,
            'drop = { volts = 1.0, amps = 1.0, source = "shet", status = "read" }',
            "D1.drop: Value error, source 'shet' is not in [sources]",
        ),
        (
            DROP,
            'drop = { volts = 1.0, amps = 1.0, source = "sheet", status = "sure" }',
            "D1.drop.status: Input should be 'read', 'second-hand', 'recalled', 'derived' or 'practice'",
        ),
        (
            DROP,
            'drop = { volts = 1.0, amps = 1.0, source = [], status = "read" }',
            "D1.drop.source: String should have at least 1 character",
        ),
        (
            MEAN,
            'mean_current = { milliamps = 1.0, source = "sheet", status = "read" }',
            f"D1.mean_current: {ONLY_AMPS}, found ['milliamps']",
        ),
        (
            MEAN,
            'mean_current = { amps = "1 A", source = "sheet", status = "read" }',
            "D1.mean_current.value: Input should be a valid number",
        ),
        (
            MEAN,
            'mean_current = { amps = true, source = "sheet", status = "read" }',
            "D1.mean_current.value: Input should be a valid number",
        ),
        (
            MEAN,
            'mean_current = { amps = -1.0, source = "sheet", status = "read" }',
            "D1.mean_current.value: Input should be greater than 0",
        ),
        (
            MEAN,
            'mean_current = { amps = nan, source = "sheet", status = "read" }',
            "D1.mean_current.value: Input should be a finite number",
        ),
        (
            MEAN,
            'mean_current = { amps = 1.0, source = "sheet", status = "read", confidense = "high" }',
            f"D1.mean_current: {ONLY_AMPS}, found ['amps', 'confidense']",
        ),
        ("[diodes.D1]", "[diodes.D1]\ncolour = 1", "D1.colour: Extra inputs are not permitted"),
        (
            "[diodes.D1]",
            "[diodes.D1]\nname = 'X'",
            "diodes: Value error, D1: a part is named by its key, not by name",
        ),
        ("[diodes.D1]", "[dioads.D1]", "dioads: Extra inputs are not permitted"),
        ('other = "Another sheet"', 'other = " "', "sources.other: needs a title"),
        ('other = "Another sheet"', 'other = "A"\nthird = "B"', "sources.third: nothing uses it"),
    ],
)  # fmt: skip
def test_a_fault_is_named_with_its_file_and_key(old: str, new: str, fault: str) -> None:
    assert old in GOOD
    with pytest.raises(BadPartsData) as caught:
        read(GOOD.replace(old, new))
    full = f"diodes.{fault}" if fault.startswith("D1.") else fault
    assert full in caught.value.faults
    assert f"diodes.toml: {full}" in str(caught.value).splitlines()


def test_every_fault_comes_at_once() -> None:
    with pytest.raises(BadPartsData) as caught:
        read(GOOD.replace(DROP, "").replace(MEAN, "").replace("[diodes.D1]", "[diodes.D1]\ncolour = 1"))
    assert len(caught.value.faults) == 3


def test_text_that_is_no_toml() -> None:
    with pytest.raises(BadPartsData, match=r"^diodes\.toml: "):
        parse("[diodes", "diodes.toml")
