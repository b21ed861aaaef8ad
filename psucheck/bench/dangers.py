"""Readings that are dangerous to go on from, and why."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence

from psucheck.bench.limit import label_of
from psucheck.bench.names import STEPS
from psucheck.bench.plan import Plan
from psucheck.bench.points import Kind, Point
from psucheck.bench.practice import rule
from psucheck.bench.reading import Reading
from psucheck.checks.judging import shown
from psucheck.report.sheet_view import Expected

_LEAST_COPPER = 1.0
"""Ohms from which copper is judged with an ordinary meter [ohm]; common practice, no source."""

Context = tuple[Plan, Point, Reading, float | None, Expected, Sequence[Reading]]


def danger(
    plan: Plan, reading: Reading, volts: float | None, expected: Expected, among: Sequence[Reading]
) -> str:
    """Why one must stop at a reading, a sentence; empty where one may go on.

    Parameters
    ----------
    volts
        At the amplifier [V RMS]; None with the plug out.
    among
        All readings: a valve's current is held against its mates'.
    """
    point = plan.up.points[reading.point]
    ask = _ASKED.get(point.kind)
    return ask((plan, point, reading, volts, expected, among)) if ask is not None else ""


def _out(reading: Reading) -> bool:
    return STEPS[reading.step].state == "valves out"


def _amps(context: Context) -> str:
    _, _, reading, _, expected, _ = context
    if expected.value is None:
        return ""
    factor = rule("amps.factor") if _out(reading) else rule("watts.idle-factor")
    most = max(factor * expected.value, rule("amps.least"))
    if reading.value <= most or reading.step == "full output":
        return ""
    return (
        f"{shown(reading.value, 'A')} from the mains, {shown(most, 'A')} is the stop: something is "
        f"shorted or draws "
        "far too much, and burns if the mains goes up."
    )


def _watts(context: Context) -> str:
    _, _, reading, _, expected, _ = context
    if expected.value is None or reading.step == "full output":
        return ""
    factor = rule("watts.factor") if _out(reading) else rule("watts.idle-factor")
    most = max(factor * expected.value, rule("watts.least"))
    if reading.value <= most:
        return ""
    read, stop = shown(reading.value, "W"), shown(most, "W")
    return f"{read}, {stop} is the stop: they go into heat somewhere. Find it by touch, off."


def _rail(context: Context) -> str:
    """A rail of the wrong sign, far too low with nothing drawing, or above a capacitor's label."""
    plan, point, reading, _, expected, _ = context
    if point.of not in plan.high_nodes:
        return ""
    if reading.value < 0 and abs(reading.value) > rule("dead.volts"):
        return f"{point.of} is negative: its electrolytics are the wrong way round there, and may vent."
    part = plan.filled.supply.filter[point.of].capacitor
    if part is not None and part.string_voltage is not None and reading.value > part.string_voltage:
        label = label_of(plan.filled, point.of)
        read = shown(reading.value, "V")
        return f"{read} on the {label} of {point.of}: the can may vent. Down with the mains."
    low = rule("rail.low")
    if _out(reading) and expected.value and point.of in plan.rails and reading.value < low * expected.value:
        return (
            f"{shown(reading.value, 'V')} where {shown(expected.value, 'V')} should stand and "
            f"nothing draws: a rectifier, "
            "a winding or the first capacitor is bad."
        )
    return ""


def _rail_ac(context: Context) -> str:
    plan, point, reading, volts, _, _ = context
    if not _out(reading) or point.of not in plan.rails or volts is None:
        return ""
    full = plan.up.values[plan.full][f"{point.of} DC"]
    most = max(rule("rail.ac") * full * volts / plan.wall, 0.1)
    if reading.value <= most:
        return ""
    return (
        f"{shown(reading.value, 'V')} AC on {point.of} with nothing drawing: a diode is shorted, or "
        f"the first capacitor "
        "is open or takes AC, and will burst."
    )


def _bias(context: Context) -> str:
    _, _, reading, _, expected, _ = context
    if expected.value is None or reading.value <= rule("bias.least") * expected.value:
        return ""
    return (
        f"bias of {shown(reading.value, 'V')} where {shown(expected.value, 'V')} belongs: a valve "
        f"put in there goes red. "
        "The valves stay out."
    )


def _cathode(context: Context) -> str:
    _, point, reading, _, expected, among = context
    mates = [
        other.value
        for other in among
        if other.step == reading.step and other.point != reading.point and other.unit == "V"
        and other.point.startswith(f"{point.of} cathode")
    ]  # fmt: skip
    most = rule("valves.mate") * min(
        [*mates, *([expected.value] if expected.value else [])], default=math.inf
    )
    if STEPS[reading.step].state != "idle" or reading.value <= most:
        return ""
    read, stop = shown(reading.value, "V"), shown(most, "V")
    return f"{read} at {point.name}, {stop} is the stop: that valve is on its way to red."


def _winding(context: Context) -> str:
    """A heater winding that is too high with its valves on it."""
    plan, point, reading, _, _, _ = context
    nominal = sum({load.volts for load in plan.filled.heaters if load.winding == point.of})
    if not nominal or STEPS[reading.step].state == "valves out":
        return ""
    most = rule("heater.most") * nominal / len(plan.filled.windings[point.of].ratios)
    return (
        f"{shown(reading.value, 'V')} on heaters, {shown(most, 'V')} is the stop."
        if reading.value > most
        else ""
    )


def _to_chassis(context: Context) -> str:
    _, point, reading, _, expected, _ = context
    least = rule("ohms.stuck")
    if expected.value is not None:
        least = min(least, rule("ohms.low") * expected.value)
    if reading.value >= least:
        return ""
    return f"{shown(reading.value, 'ohm')} from {point.of} to chassis: something is shorted. No mains."


def _copper(context: Context) -> str:
    """Ohms of copper far below what they were; of a fraction of an ohm a meter's leads tell nothing."""
    _, _, reading, _, expected, _ = context
    wanted = expected.value or 0.0
    if wanted < _LEAST_COPPER or reading.value >= rule("ohms.low") * wanted:
        return ""
    return f"{shown(reading.value, 'ohm')} for {shown(wanted, 'ohm')}: shorted turns burn. No mains."


_ASKED: Mapping[Kind, Callable[[Context], str]] = {
    "mains amps": _amps,
    "mains watts": _watts,
    "node DC": _rail,
    "node AC": _rail_ac,
    "bias": _bias,
    "cathode": _cathode,
    "winding AC": _winding,
    "plug ohms": _copper,
    "winding ohms": _copper,
    "node ohms": _to_chassis,
}
