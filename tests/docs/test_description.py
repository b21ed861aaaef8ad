"""docs/description.md against the model that it describes."""

from __future__ import annotations

import json
import re
import tomllib
from pathlib import Path
from typing import Any

import pytest
from pydantic import BaseModel

from psucheck import quantity
from psucheck.quantity import QuantityError
from psucheck.supply import model
from psucheck.supply.reader import parse_description

PAGE = (Path(__file__).parents[2] / "docs" / "description.md").read_text("utf-8")
SECTIONS = dict(re.findall(r"^#+ (.+?)\n(.*?)(?=^#+ |\Z)", PAGE, re.MULTILINE | re.DOTALL))

HEADINGS = {
    "Supply": "The whole file",
    "Mains": "Mains",
    "Meter": "Meter",
    "Transformer": "Transformer",
    "Primary": "Primary",
    "Winding": "Windings",
    "WindingTap": "Tap of a winding",
    "Rectifier": "Rectifiers",
    "Device": "Devices",
    "Backup": "Backup",
    "Zener": "Zener",
    "DropPoint": "Drop",
    "HeaterRating": "Heater",
    "Node": "Filter",
    "Capacitor": "Capacitors",
    "Resistor": "Resistors",
    "Choke": "Chokes",
    "Load": "Loads",
    "Idle": "Idle",
    "ValveCount": "Valves",
    "Fuse": "Fuses",
    "Switch": "Switches",
    "Limiter": "Limiters",
    "Relay": "Relays",
    "Elevation": "Elevation",
}
"""The model's tables, and the sections that describe them."""

BASE = """
title = "The rest of an example"
mains = { voltage = "230 V", frequency = "50 Hz" }
transformer = { primary = "230 V, 6.2 ohm" }

[windings]
ht = "365-0-365 V off load at 243 V, 33 + 35 ohm, tap bias 52 V"
heaters = "6.9 V off load at 243 V"
"rectifier heater" = "5 V 2 A"

[rectifiers.ht]
circuit = "centre-tapped"
winding = "ht"
device = "GZ34"
heater = "rectifier heater"

[rectifiers.bias]
circuit = "half-wave"
polarity = "negative"
winding = "ht"
device = "1N4007"

[filter]
reservoir = { capacitor = "50 uF 500 V", from = "rectifiers.ht" }
screens = { choke = "10 H 110 ohm 180 mA", capacitor = "50 uF 500 V", from = "reservoir" }
preamp = { resistor = "10k 1 W", capacitor = "22 uF 450 V", from = "screens" }
bias = { from = "rectifiers.bias", capacitor = "10 uF 100 V", set = "-37 V" }

[loads.output]
valves = "2 x EL34"
anodes = "reservoir"
screens = "screens"
bias = "bias"
idle = "38 mA each at the cathode"
"""


DECLARED = {
    name: kind
    for name, kind in vars(model).items()
    if isinstance(kind, type) and issubclass(kind, BaseModel) and kind not in (BaseModel, model.Table)
}


def keys_of(table: str) -> set[str]:
    """The keys that a file may hold in a table of the model."""
    keys = {info.alias or name for name, info in DECLARED[table].model_fields.items()}
    # The marking of a fuse, and the supply as proposed, are keys of the file that the model does not hold.
    return keys | {"Fuse": {"rating"}, "Supply": {"new"}}.get(table, set())


def rows(section: str) -> list[list[str]]:
    """The cells of a section's table, without its heading."""
    lines = [line for line in SECTIONS[section].splitlines() if line.startswith("|")]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines[2:]]


def test_every_table_of_the_model_has_a_section() -> None:
    assert set(DECLARED) - {"_Table", "Description"} == set(HEADINGS)


@pytest.mark.parametrize("table", sorted(HEADINGS))
def test_every_key_has_its_row_and_no_row_is_left_over(table: str) -> None:
    described = [row[0].strip("`") for row in rows(HEADINGS[table])]
    assert sorted(described) == sorted(keys_of(table))


@pytest.mark.parametrize("table", sorted(HEADINGS))
def test_what_must_be_there_is_said_to_be_needed(table: str) -> None:
    fields = DECLARED[table].model_fields
    needed = {info.alias or name for name, info in fields.items() if info.is_required()}
    said = {row[0].strip("`"): row for row in rows(HEADINGS[table])}
    for key in needed - {"speed", "current"}:  # a fuse's marking may stand for both
        assert "yes" in " ".join(said[key]), key


def quantities(first_of_section: str) -> list[tuple[str, str, str]]:
    text = SECTIONS["Quantities"].partition(first_of_section)[2].lstrip()
    lines = text.partition("\n\n")[2] if not text.startswith("|") else text
    table = [line for line in lines.split("\n\n")[0].splitlines() if line.startswith("|")][2:]
    cells = [[cell.strip().strip("`") for cell in line.strip("|").split("|")] for line in table]
    return [(row[0], row[1], row[2]) for row in cells]


READ, REFUSED = quantities("Read as written:"), quantities("Refused, each with its reason:")


def test_both_tables_of_quantities_are_found() -> None:
    assert len(READ) > 15
    assert len(REFUSED) > 8


@pytest.mark.parametrize(("text", "unit", "value"), READ)
def test_a_quantity_is_read_as_the_page_says(text: str, unit: str, value: str) -> None:
    assert quantity.read(text, unit) == pytest.approx(float(value), rel=1e-12)


@pytest.mark.parametrize(("text", "unit", "why"), REFUSED)
def test_a_quantity_is_refused_as_the_page_says(text: str, unit: str, why: str) -> None:
    assert why
    with pytest.raises(QuantityError):
        quantity.read(text, unit)


def laid_over(base: dict[str, Any], part: dict[str, Any], *, within: int = 2) -> dict[str, Any]:
    """``part`` first, then what only ``base`` has; named things of a section are taken one by one."""
    made = dict(part)
    for key, value in base.items():
        if key not in made:
            made[key] = value
        elif within > 1 and isinstance(value, dict) and isinstance(made[key], dict):
            made[key] = laid_over(value, made[key], within=within - 1)
    return made


def inline(value: Any) -> str:
    """A value as TOML."""
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{json.dumps(key)} = {inline(item)}" for key, item in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(map(inline, value)) + "]"
    return json.dumps(value)


EXAMPLES = re.findall(r"^```toml\n(.*?)^```", PAGE, re.MULTILINE | re.DOTALL)


def test_the_examples_are_found() -> None:
    assert len(EXAMPLES) > 20


@pytest.mark.parametrize("example", EXAMPLES, ids=[text.split("\n")[0] for text in EXAMPLES])
def test_every_example_is_a_part_of_a_description_that_is_read(example: str) -> None:
    whole = laid_over(tomllib.loads(BASE), tomllib.loads(example))
    text = "\n".join(f"{json.dumps(key)} = {inline(value)}" for key, value in whole.items())
    description = parse_description(text, "example")
    assert (description.proposed is not None) == ("[new" in example)


def test_the_short_and_the_table_form_of_the_page_are_equal() -> None:
    section = SECTIONS["Short and table form"]
    one, other = re.findall(r"^```toml\n(.*?)^```", section, re.MULTILINE | re.DOTALL)
    read = [
        parse_description(
            "\n".join(
                f"{json.dumps(key)} = {inline(value)}"
                for key, value in laid_over(tomllib.loads(BASE), tomllib.loads(text)).items()
            ),
            "example",
        )
        for text in (one, other)
    ]
    assert read[0] == read[1]
