"""The data sheets' operating points of rectifier valves, run by psucheck.

``python -m tests.published.sheet_points`` prints every point with what psucheck makes of it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from psucheck.circuit.network import GROUND
from psucheck.parts import library
from tests.accuracy import Known
from tests.engine_runs import Bench, Solved, steady
from tests.published.reading import rows


@dataclass(frozen=True)
class SheetPoint:
    """One point of a sheet: SI, volts RMS and source ohms per anode; ``ohms`` None where not stated."""

    valve: str
    input: str
    volts: float
    ohms: float | None
    farads: float
    henries: float | None
    amps: float
    dc: float
    hertz: float
    drop: tuple[float, float] | None
    source: str
    status: str
    note: str

    @property
    def name(self) -> str:
        """``GZ34 capacitor 350 V 75 ohm 60 uF 250 mA``."""
        ohms = "" if self.ohms is None else f" {self.ohms:g} ohm"
        drop = f", drop {self.drop[0]:g} V at {self.drop[1] * 1e3:g} mA" if self.drop else ""
        current = f" {self.amps * 1e3:g} mA"
        return f"{self.valve} {self.input} {self.volts:g} V{ohms} {self.farads * 1e6:g} uF{current}{drop}"

    @property
    def known(self) -> Known:
        """How the source is known."""
        if self.status == "recalled":
            return "from memory"
        return "read" if self.status == "read" else "second-hand"

    @property
    def perveance(self) -> float:
        """Of one anode [A/V^1.5]: the part library's, or from the point's own drop."""
        if self.drop is not None:
            return float(self.drop[1] / self.drop[0] ** 1.5)
        return float(library().rectifier_valve(self.valve).perveance.value)


@dataclass(frozen=True)
class Outcome:
    """What psucheck makes of a point: DC [V] and the share by which it lies above the sheet; peak per anode
    [A].
    """

    point: SheetPoint
    dc: float
    peak_amps: float

    @property
    def deviation(self) -> float:
        """Psucheck's DC over the sheet's, less one."""
        return self.dc / self.point.dc - 1


@cache
def points() -> tuple[SheetPoint, ...]:
    """All points that state what a run needs."""
    return tuple(_point(row) for row in rows("rectifier_sheets"))


def _point(row: dict[str, str]) -> SheetPoint:
    volts, _, milliamps = row["drop"].partition(" at ")
    return SheetPoint(
        valve=row["valve"],
        input=row["input"],
        volts=float(row["vrms"]),
        ohms=float(row["rs_ohm"]) if row["rs_ohm"] else None,
        farads=float(row["c_uF"]) * 1e-6,
        henries=float(row["l_H"]) if row["l_H"] else None,
        amps=float(row["idc_mA"]) * 1e-3,
        dc=float(row["vdc"]),
        hertz=float(row["hz"]),
        drop=(float(volts), float(milliamps) * 1e-3) if milliamps else None,
        source=row["source"],
        status=row["status"],
        note=row["note"],
    )


def run(point: SheetPoint) -> Outcome:
    """Psucheck's steady state at a point, without leakage inductance."""
    bench = Bench(point.hertz, point.volts)
    cathode = bench.node()
    arms, _ = bench.centre_tapped(
        cathode, point.volts, point.ohms or 1e-3, lambda a, k: bench.valve(a, k, point.perveance)
    )
    output = cathode
    if point.henries is not None:
        output = bench.node()
        bench.choke(cathode, output, point.henries, 1e-3, point.amps)
    bench.rail(output)
    bench.capacitor(output, GROUND, point.farads, point.dc)
    bench.draw(output, point.amps)
    solved: Solved = steady(bench.network)
    return Outcome(point, solved.dc(output), float(solved.amps(arms[0]).max()))


def table(chosen: Iterable[SheetPoint] | None = None) -> str:
    """Every point with the sheet's volts, psucheck's and the deviation, as a Markdown table."""
    lines = ["| point | sheet V | psucheck V | deviation | source |", "|---|---|---|---|---|"]
    for point in points() if chosen is None else chosen:
        outcome = run(point)
        known = f"{point.source} ({point.status}{'; ' + point.note if point.note else ''})"
        lines.append(
            f"| {point.name} | {point.dc:g} | {outcome.dc:.1f} | {outcome.deviation:+.1%} | {known} |"
        )
    return "\n".join(lines)


if __name__ == "__main__":
    print(table())
