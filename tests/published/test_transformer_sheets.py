"""Mains transformers: from a maker's no-load volts and resistances to the rated loaded volts, and back.

Source: part sheets of Hammond, read second-hand in public files that cite them. The rated volts are rounded
and the resistances typical. Through psucheck's own filling-in and its winding network, all windings at
their rated current at once into resistances.
"""

from __future__ import annotations

import pytest

from psucheck.circuit.condition import Condition
from psucheck.circuit.transformer import Ends, add_mains, add_winding
from psucheck.circuit.wiring import Wiring
from psucheck.supply.fill import fill
from psucheck.supply.filled import FilledSupply
from psucheck.supply.model import Supply
from tests.accuracy import Accuracy
from tests.engine_runs import Solved, transient
from tests.published.reading import rows
from tests.tolerances import within

SOURCE = "Hammond part sheets, cited in public files"
ROWS = rows("transformer_sheets")
PARTS = tuple(dict.fromkeys(row["part"] for row in ROWS))
HERTZ = 60.0


def _rows_of(part: str) -> list[dict[str, str]]:
    return [row for row in ROWS if row["part"] == part]


def _name(row: dict[str, str]) -> str:
    return row["winding"].replace(".", "_").replace(" ", "_").lower()


def _supply(part: str, *, off_load: bool) -> Supply:
    """The transformer alone: its windings by their no-load volts, or by their rated volts and current."""
    of_part = _rows_of(part)
    primary = of_part[0]["primary_V"]
    windings = {}
    for row in of_part:
        volts = f"{row['no_load_V']} V off load at {primary} V" if off_load else f"{row['rated_loaded_V']} V"
        rating = "" if off_load else f" {row['rated_A']} A"
        windings[_name(row)] = f"{volts}{rating}, {row['winding_ohm']} ohm"
    return Supply.model_validate(
        {
            "title": part,
            "mains": {"voltage": f"{primary} V", "frequency": f"{HERTZ:g} Hz", "impedance": "0 ohm"},
            "transformer": {
                "core": "ideal",
                "primary": f"{primary} V, {of_part[0]['primary_ohm_parallel']} ohm",
            },
            "windings": windings,
            "rectifiers": {},
            "filter": {},
        }
    )


def _loaded(filled: FilledSupply, loads: dict[str, float]) -> tuple[Solved, dict[str, Ends]]:
    """Two cycles with a resistance [ohm] on each winding."""
    wiring = Wiring(filled, Condition("idle", "nominal", filled.mains.nominal))
    add_mains(wiring, 90.0)
    ends = {name: add_winding(wiring, name) for name in filled.windings}
    for name, ohms in loads.items():
        wiring.resistor(ends[name].a, ends[name].b, ohms, f"load on {name}")
    return transient(wiring.network, 2 / HERTZ), ends


@pytest.mark.parametrize("part", PARTS)
def test_loaded_volts_from_no_load_volts(part: str, accuracy: Accuracy) -> None:
    loads = {_name(r): float(r["rated_loaded_V"]) / float(r["rated_A"]) for r in _rows_of(part)}
    solved, ends = _loaded(fill(_supply(part, off_load=True)), loads)
    for row in _rows_of(part):
        terminals = ends[_name(row)]
        volts = solved.rms(solved.volts(terminals.a, terminals.b))
        accuracy(
            SOURCE, f"{part} {row['winding']}", "volts at rated load, from those without",
            float(row["rated_loaded_V"]), volts, "V", "transformer-sheet", "second-hand",
            "all windings at their rated current",
        )  # fmt: skip


@pytest.mark.parametrize("part", PARTS)
def test_no_load_volts_from_rated_volts(part: str, accuracy: Accuracy) -> None:
    filled = fill(_supply(part, off_load=False))
    solved, ends = _loaded(filled, dict.fromkeys(filled.windings, 1e6))
    for row in _rows_of(part):
        terminals = ends[_name(row)]
        derived = sum(filled.windings[_name(row)].ratios) * filled.mains.nominal
        accuracy(
            SOURCE, f"{part} {row['winding']}", "volts without load, from the rated", float(row["no_load_V"]),
            derived, "V", "transformer-sheet", "second-hand",
        )  # fmt: skip
        assert solved.rms(solved.volts(terminals.a, terminals.b)) == within("closed-form", derived), row[
            "winding"
        ]


@pytest.mark.parametrize("part", PARTS)
def test_rated_volts_come_back_under_the_rated_load(part: str) -> None:
    """What is derived from rated volts and amps must give just these volts at these amps."""
    of_part = _rows_of(part)
    loads = {_name(r): float(r["rated_loaded_V"]) / float(r["rated_A"]) for r in of_part}
    solved, ends = _loaded(fill(_supply(part, off_load=False)), loads)
    for row in of_part:
        terminals = ends[_name(row)]
        volts = solved.rms(solved.volts(terminals.a, terminals.b))
        assert volts == within("closed-form", float(row["rated_loaded_V"])), row["winding"]
