"""Every value of every data file: its source, its status, and that nothing was left unread."""

from collections.abc import Iterator
from importlib import resources
from math import isfinite
from typing import Any, get_args

import pytest

from psucheck.parts import library
from psucheck.parts.reader import read_file
from psucheck.parts.sourced import Confidence, Status

FILES = sorted(
    entry.name
    for entry in resources.files("psucheck.parts").joinpath("data").iterdir()
    if entry.name.endswith(".toml")
)
ABOUT = {"source", "status", "confidence", "note", "also"}
# Keys of a part that are no values: names, and what says how the part is to be read.
PLAIN = {
    "aliases", "name", "note", "use", "sections", "sheet", "speed", "breaking", "body", "from_amps",
    "to_amps", "tan_delta_family", "ripple_family",
}  # fmt: skip


def values(node: Any, path: str) -> Iterator[tuple[str, dict[str, Any]]]:
    """Every table that holds a quantity, with its dotted key."""
    if isinstance(node, list):
        for number, item in enumerate(node, 1):
            yield from values(item, f"{path}[{number}]")
    elif isinstance(node, dict):
        if "source" in node or "status" in node:
            yield path, node
            yield from values(node.get("also", []), f"{path}.also")
        else:
            for key, item in node.items():
                if key in PLAIN:
                    continue
                assert isinstance(item, dict | list), f"{path}.{key} stands without a source"
                yield from values(item, f"{path}.{key}")


def all_values() -> Iterator[tuple[str, str, dict[str, Any], dict[str, str]]]:
    for name in FILES:
        tables = read_file(name)
        sources = tables.pop("sources")
        for key, body in values(tables, ""):
            yield name, key, body, sources


def numbers(node: Any) -> Iterator[float]:
    if isinstance(node, dict):
        for key, item in node.items():
            if key not in ABOUT:
                yield from numbers(item)
    elif isinstance(node, list):
        for item in node:
            yield from numbers(item)
    elif isinstance(node, float):
        yield node


def test_every_value_has_a_source_and_a_status() -> None:
    count = 0
    for name, key, body, sources in all_values():
        named = body["source"] if isinstance(body["source"], list) else [body["source"]]
        assert named, f"{name}{key}"
        assert all(sources[one].strip() for one in named), f"{name}{key}"
        assert body["status"] in get_args(Status), f"{name}{key}"
        assert body.get("confidence", "high") in get_args(Confidence), f"{name}{key}"
        count += 1
    assert count > 400


def test_every_value_holds_a_finite_quantity() -> None:
    for name, key, body, _ in all_values():
        quantities = {one: item for one, item in body.items() if one not in ABOUT}
        assert quantities, f"{name}{key} has a source and no quantity"
        assert all(isfinite(number) for number in numbers(quantities)), f"{name}{key}"


@pytest.mark.parametrize("name", FILES)
def test_sources_are_named_once_each(name: str) -> None:
    titles = list(read_file(name)["sources"].values())
    assert len(titles) == len(set(titles))


def test_every_file_is_read_by_the_library() -> None:
    held = library()
    counted = {
        "rectifiers.toml": len(list(held.rectifier_valves)),
        "diodes.toml": len(list(held.diodes)),
        "valves.toml": len(list(held.load_valves)),
        "mains.toml": len(list(held.mains_systems)),
        "capacitors.toml": len(list(held.capacitor_families)),
        "resistors.toml": len(list(held.resistor_families)),
        "transformers.toml": len(list(held.transformer_classes)),
        "chokes.toml": len(list(held.chokes)),
        "ntcs.toml": len(list(held.ntcs)),
        "fuses.toml": len(held.fuses.iec_gates),
        "tolerances.toml": len(type(held.spreads).model_fields),
        "series.toml": len(type(held.e_series).model_fields),
        "preferred.toml": len(type(held.preferred.electrolytics).model_fields),
    }
    keys = {
        "rectifiers.toml": "valves", "diodes.toml": "diodes", "valves.toml": "valves",
        "mains.toml": "systems", "capacitors.toml": "families", "resistors.toml": "families",
        "transformers.toml": "classes", "chokes.toml": "chokes", "ntcs.toml": "ntcs",
        "fuses.toml": "iec_gates", "tolerances.toml": "spreads", "series.toml": "e",
        "preferred.toml": "electrolytics",
    }  # fmt: skip
    assert sorted(counted) == FILES
    assert counted == {name: len(read_file(name)[key]) for name, key in keys.items()}
