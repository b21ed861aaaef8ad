"""The law of output valves, from one row of their data sheets to another.

The law is I = K (Vg2/mu + Vg1)^1.5, laid through two points; these are the other rows of the makers'
push-pull tables. It knows nothing of the anode's volts, which shows where those differ much. Within a supply
the law only moves the current from the idle point that was read, over some ten per cent of the volts.
"""

from __future__ import annotations

import pytest
from scipy.optimize import brentq

from psucheck.parts import library
from psucheck.parts.valves import LoadValve, PushPullRow, three_halves_constant
from tests.accuracy import Accuracy, Known

FAR = {
    ("EL34", 775.0): (
        (-0.80, -0.65),
        "near cut-off at an anode of 775 V, which the law leaves out; its points are at 250 and 425 V",
    ),
    ("EL34", 425.0): (
        (-0.27, -0.16),
        "a point of the law itself, but with the screens' drop of 9 V at idle taken off here",
    ),
    ("EL34", 375.0): ((0.10, 0.16), "supply volts: what the output transformer drops is not stated"),
    ("6550", 600.0): ((-0.30, -0.18), "at an anode of 600 V, which the law leaves out; least sure"),
}
"""Valve and anode volts of the rows that disagree."""


def _held() -> list[tuple[LoadValve, PushPullRow, Known, str]]:
    found: list[tuple[LoadValve, PushPullRow, Known, str]] = []
    for valve in library().load_valves:
        for row in valve.push_pull if valve.mu is not None else ():
            points = {(p.value.anode_volts, p.value.grid_volts) for p in valve.law_points}
            laid = (row.value.anode_volts, row.value.grid_volts) in points
            if not laid or (valve.name, row.value.anode_volts) in FAR:
                known: Known = "from memory" if row.status == "recalled" else "second-hand"
                found.append((valve, row.value, known, row.source))
    return found


HELD = _held()


def _idle(valve: LoadValve, row: PushPullRow) -> float:
    """Cathode current of the pair at idle, by the law [A]."""
    mu = valve.mu
    assert mu is not None
    k = 2 * three_halves_constant(valve.law_points[0].value, mu.value)
    screen = row.screen_volts - (row.screen_ohms or 0.0) * row.screen_idle_amps
    if row.bias == "fixed":
        assert row.grid_volts is not None
        return float(k * max(screen / mu.value + row.grid_volts, 0.0) ** 1.5)
    ohms = row.cathode_ohms or 0.0
    return float(brentq(lambda i: i - k * max(screen / mu.value - ohms * i, 0.0) ** 1.5, 0.0, 2.0))


@pytest.mark.parametrize(
    ("valve", "row", "known", "source"),
    HELD,
    ids=[f"{valve.name} {row.anode_volts:g} V {row.bias}" for valve, row, *_ in HELD],
)
def test_idle_current(
    valve: LoadValve, row: PushPullRow, known: Known, source: str, accuracy: Accuracy
) -> None:
    bias = (
        f"{row.grid_volts:g} V" if row.grid_volts is not None else f"{row.cathode_ohms:g} ohm in the cathodes"
    )
    case = f"2 x {valve.name}, {row.anode_volts:g}/{row.screen_volts:g} V, {bias}"
    differs, note = FAR.get((valve.name, row.anode_volts), (None, ""))
    accuracy(
        source, case, "cathode current at idle", 1e3 * (row.anode_idle_amps + row.screen_idle_amps),
        1e3 * _idle(valve, row), "mA", None if differs else "valve-law", known, note, differs=differs,
    )  # fmt: skip


TOTALS = (
    ({"EL34": 2, "ECC83": 3}, 3.9), ({"EL34": 4, "ECC83": 3}, 6.9), ({"6L6GC": 2, "ECC83": 4}, 3.0),
    ({"6V6GT": 2, "ECC83": 4}, 2.1),
)  # fmt: skip


@pytest.mark.parametrize(("valves", "amps"), TOTALS)
def test_heater_totals(valves: dict[str, int], amps: float, accuracy: Accuracy) -> None:
    total = sum(count * library().load_valve(name).heater.value.amps for name, count in valves.items())
    case = " + ".join(f"{count} x {name}" for name, count in valves.items())
    accuracy(
        "sum of the data sheets' heater currents",
        case,
        "heaters at 6.3 V",
        amps,
        total,
        "A",
        "energy",
        "computed",
    )
