"""What the part library takes of a rectifier, where sources disagree, and arithmetic that others worked out.

Most sheets were recalled and not opened. A row that disagrees says which value is used; the other one stands
under ``also`` in the library, or was rejected.
"""

from __future__ import annotations

import math

import pytest

from psucheck.circuit.condition import Condition
from psucheck.circuit.network import GROUND, Diode
from psucheck.parts import library
from psucheck.supply.fill_rectifiers import silicon
from tests.accuracy import Accuracy, Known
from tests.engine_runs import Bench, described, figures_of, transient
from tests.published.reading import rows

LIBRARY = "model library vgreff/LTSpiceLibraries (GitHub, 8913bcc7)"
CONFLICTS = rows("rectifier_conflicts")
KNOWN: dict[str, Known] = {"read": "read", "second-hand": "second-hand", "recalled": "from memory"}


def _used(row: dict[str, str]) -> tuple[str, str, float]:
    """Quantity, unit, and the library's value."""
    valve = library().rectifier_valve(row["valve"])
    if row["kind"] == "perveance":
        return "perveance", "mA/V^1.5", 1e3 * valve.perveance.value
    if row["kind"] == "reverse":
        return "peak inverse", "V", valve.reverse_voltage.value
    reading = valve.minimum_source_resistance(float(row["at"]))
    assert reading is not None
    return f"least source resistance at {row['at']} V", "ohm", reading.value


@pytest.mark.parametrize(
    "row", CONFLICTS, ids=[f"{row['valve']} {row['kind']} {row['other']}" for row in CONFLICTS]
)
def test_where_sources_disagree(row: dict[str, str], accuracy: Accuracy) -> None:
    quantity, unit, used = _used(row)
    known = KNOWN[row["status"]]
    differs = (float(row["low"]), float(row["high"])) if row["low"] else None
    accuracy(
        row["source"], row["valve"], quantity, float(row["other"]), used, unit,
        None if differs else "sheet-perveance", known, row["note"], differs=differs,
    )  # fmt: skip


SUPPLY = """
title = "EZ81 on 250-0-250 V"
[mains]
voltage = "230 V"
frequency = "50 Hz"
impedance = "0 ohm"
[transformer]
primary = "230 V, 60 ohm"
core = "ideal"
[windings]
ht = "250-0-250 V off load at 230 V, 45 + 45 ohm"
heaters = "6.3 V off load at 230 V, 0.05 ohm"
[rectifiers.ht]
circuit = "centre-tapped"
winding = "ht"
device = "EZ81"
heater = "heaters"
[filter]
reservoir = "50 uF 450 V"
[loads.all]
node = "reservoir"
current = "100 mA"
"""


def test_source_resistance_worked_out_elsewhere(accuracy: Accuracy) -> None:
    """Rpri 60, Rsec 45 ohm per half, ratio 1.087: 115.9 ohm; the EZ81 asks for 150, so 34 are added."""
    (figures,) = figures_of(described(SUPPLY), Condition("idle", "nominal", 230.0))
    seen = figures.rectifiers["ht"].source_resistance
    least = library().rectifier_valve("EZ81").minimum_source_resistance(250.0)
    assert least is not None
    source, case = "audiohobby.pl topic 2755, quoting the EZ81 data sheet", "250-0-250 V, EZ81, 60 and 45 ohm"
    accuracy(
        source, case, "source resistance per anode", 115.9, seen, "ohm", "closed-form", "read",
        "Rs = Rsec + Rpri (Vsec/Vpri)^2",
    )  # fmt: skip
    accuracy(
        source,
        case,
        "to be added in each anode",
        34.0,
        least.value - seen,
        "ohm",
        "closed-form-limit",
        "read",
    )


@pytest.mark.parametrize(
    ("diode", "rated", "published"), [("1N4007", "30 A", 27.3), ("1N5408", "200 A", 182.0)]
)
def test_surge_at_50_hz(diode: str, rated: str, published: float, accuracy: Accuracy) -> None:
    """The sheets' 8.3 ms scaled to 10 ms at equal I2t."""
    accuracy(
        f"{diode} data sheets, equal I2t", f"{diode}, {rated} at 8.3 ms", "surge at 10 ms", published,
        library().diode(diode).surge_current(10e-3), "A", "closed-form", "computed",
        "the sheets give 8.3 ms only",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("published", "source", "note", "differs"),
    [
        (
            0.91, f"{LIBRARY}, standard.dio, 1N4007 (onsemi)",
            "psucheck takes the sheet's greatest, 1.0 V; on a rail a tenth of a volt", (0.05, 0.12),
        ),
        (0.57, f"{LIBRARY}, standard.dio, D1N4007", "rejected: far too low for silicon", (0.70, 0.80)),
    ],
)  # fmt: skip
def test_drop_of_silicon(
    published: float, source: str, note: str, differs: tuple[float, float], accuracy: Accuracy
) -> None:
    drop = library().diode("1N4007").drop.value
    saturation, emission, series = silicon(drop.volts, drop.amps)
    # 1 A at the crest, through a thousand ohms.
    bench = Bench(50.0, 1000.0 / math.sqrt(2))
    bench.resistor("core", bench.rail("out"), 1000.0)
    bench.add(Diode, "d", "out", GROUND, saturation_amps=saturation, emission=emission, series_ohms=series)
    volts = float(transient(bench.network, 0.02).volts("out").max())
    accuracy(source, "1N4007", "drop at 1 A", published, volts, "V", None, "computed", note, differs=differs)
