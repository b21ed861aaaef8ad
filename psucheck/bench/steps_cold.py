"""The cold checks: plug out, valves out, before any mains goes on."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from psucheck.bench.meter import error, meter_of
from psucheck.bench.names import CHASSIS
from psucheck.bench.plan import Plan
from psucheck.bench.points import points
from psucheck.bench.practice import rule
from psucheck.bench.values import cold_values
from psucheck.checks.judging import shown
from psucheck.report.sheet_view import Expected, Line, Step
from psucheck.supply.filled import FilledSupply
from psucheck.supply.model import Fuse
from psucheck.supply.tolerances import tolerances

_CLIMBS = 200e3
"""Ohms to chassis from which a rail without a bleeder reads as its capacitors and nothing else."""
_USUAL = (0.90, 1.10)
"""Copper that was read before on the same winding; common practice, no source."""
_KEYS = {"dropper ohms": "filter.{}.resistor", "screen ohms": "loads.{}.screen_resistors"}
"""What says how far the ohms of a kind may be off, where it is not copper."""


def steps_cold(plan: Plan) -> Iterator[Step]:
    """Two steps, both of readings in ``cold``: what kills first, then part by part."""
    common = {"name": "cold", "volts": 0.0, "contents": "no valves, plug out"}
    yield Step(
        title="Cold, what kills first",
        lines=tuple(_safety(plan)),
        cannot="what breaks down only at volts; insulation at a meter's few volts",
        **common,  # type: ignore[arg-type]
    )
    yield Step(
        title="Cold, winding by winding, part by part",
        lines=tuple(_parts(plan)),
        cannot="a few shorted turns; a can that leaks at its working voltage; which way a can is round",
        **common,  # type: ignore[arg-type]
    )


def cold_expected(filled: FilledSupply) -> dict[str, Expected]:
    """What an ohmmeter should read at each cold point, with its band [ohm].

    An open circuit, or a rail that shows its capacitors only, has a lower end and no upper one.
    """
    spreads = {one.key: (one.low, one.high) for one in tolerances(filled)}
    meter, found, read = meter_of(filled.supply), {}, cold_values(filled)
    for point in points(filled):
        if not point.cold:
            continue
        ohms = read[point.name]
        if point.kind == "node ohms" and ohms > _CLIMBS:
            found[point.name] = Expected(
                point.name, "ohm", None, _CLIMBS, math.inf, None, point.red, point.black
            )
            continue
        low, high = spreads.get(_KEYS.get(point.kind, "").format(point.of), _USUAL)
        if point.kind == "node ohms":
            low, high = 1.0 - rule("halves.ohms-apart"), 1.0 + rule("halves.ohms-apart")
        ends = (ohms * low, ohms * high)
        found[point.name] = Expected(
            point.name,
            "ohm",
            ohms,
            max(ends[0] - error(meter, ends[0]), 0.0),
            ends[1] + error(meter, ends[1]),
            None,
            point.red,
            point.black,
        )
    return found


# --- what kills first -------------------------------------------------------------------------------------


def _safety(plan: Plan) -> Iterator[Line]:
    first = plan.rails[0] if plan.rails else next(iter(plan.filled.nodes))
    yield Line(
        f"{first} DC, before all else",
        first,
        CHASSIS,
        "DC volts, rated for it",
        said=f"dead: < {shown(rule('dead.volts'), 'V')}, and every other can too",
        stop=f"> {shown(rule('dead.drain'), 'V')}: drain through a resistor, meter again",
        look="who else had it on",
    )
    yield Line(
        "earth pin of the plug",
        "earth pin",
        CHASSIS,
        "ohms, leads taken off",
        said="< 0.1 ohm",
        stop=f"> {shown(rule('ohms.earth'), 'ohm')}: no mains",
        look="cord, earth tag, paint under it",
    )
    yield Line(
        "live and neutral joined, to chassis",
        "live + neutral",
        CHASSIS,
        "insulation tester, 500 V",
        said=f"> {shown(rule('ohms.insulation'), 'ohm')}, switch on",
        stop=f"< {shown(rule('ohms.insulation-stop'), 'ohm')}: no mains",
        look="primary, its leads, a capacitor from mains to chassis",
    )
    yield from _fuses(plan)
    expected = cold_expected(plan.filled)
    ohms = expected["plug ohms"].value or 0.0
    yield _line(
        plan,
        expected,
        ["plug ohms"],
        what="primary at the plug",
        stop=f"open, or < {shown(rule('ohms.low') * ohms, 'ohm')}",
        look="fuse, switch, tap, thermal cut-out",
    )


def fuse_words(fuse: Fuse) -> str:
    """A fuse as its cap has it: ``"T 2 A H 250 V"``."""
    parts = [fuse.speed, shown(fuse.current, "A"), fuse.breaking or ""]
    parts.append(shown(fuse.voltage, "V") if fuse.voltage is not None else "")
    return " ".join(part for part in (("UL" if fuse.standard == "UL" else ""), *parts) if part)


def _fuses(plan: Plan) -> Iterator[Line]:
    fuses = plan.filled.supply.fuses
    if fuses:
        caps = "; ".join(f"{place}: {fuse_words(fuse)}" for place, fuse in fuses.items())
        yield Line(
            "each fuse, out of its holder",
            "one cap",
            "the other",
            "ohms",
            said=f"{caps}; each whole",
            stop="another letter or value: fit the right one",
            look="who fitted it, and why; a larger one is none",
        )


# --- part by part -----------------------------------------------------------------------------------------


def _line(
    plan: Plan,
    expected: dict[str, Expected],
    names: Sequence[str],
    *,
    what: str = "",
    red: str = "",
    black: str = "",
    said: str = "",
    stop: str = "",
    look: str = "",
) -> Line:
    first = plan.up.points[names[0]]
    reads = tuple(expected[name] for name in names)
    return Line(
        what or ", ".join(names), red or first.red, black or first.black, first.meter, reads, said, stop, look
    )


def _parts(plan: Plan) -> Iterator[Line]:
    expected = cold_expected(plan.filled)
    points = plan.up.points.values()
    for name in plan.filled.windings:
        if any(rectifier.winding == name for rectifier in plan.filled.supply.rectifiers.values()):
            names = [p.name for p in points if p.kind == "winding ohms" and p.of == name]
            yield _copper(plan, expected, names, f"{name} winding")
    for load in plan.filled.outputs:
        names = [p.name for p in points if p.kind == "transformer ohms" and p.of == load]
        if names:
            yield _copper(plan, expected, names, f"{load} transformer", also="; open to chassis")
    chokes = [p.name for p in points if p.kind == "choke ohms"]
    if chokes:
        yield _line(
            plan, expected, chokes, stop="open, or out of its band", look="the choke's leads, the choke"
        )
    droppers = [p.name for p in points if p.kind == "dropper ohms" and p.of in plan.high_nodes]
    if droppers:
        stop = f"open, or > {shown(rule('ohms.dropper-stop'), '1')} x its marking"
        yield _line(
            plan, expected, droppers, red="each dropper", stop=stop, look="change it, and look beyond it"
        )
    screens = [p.name for p in points if p.kind == "screen ohms"]
    if screens:
        yield _line(
            plan,
            expected,
            screens,
            what="screen resistors",
            red="each socket's screen pin",
            stop="open on one",
            look="a screen that has glowed",
        )
    yield _rectifiers(plan)
    for node in plan.rails:
        ohms = expected[f"{node} ohms"].value or math.inf
        bled = ohms <= _CLIMBS
        stuck = min(rule("ohms.stuck"), rule("ohms.low") * ohms)
        yield _line(
            plan,
            expected,
            [f"{node} ohms"],
            what=f"{node} to chassis, after 60 s",
            said="its bleeders" if bled else "climbs as the cans charge through the meter",
            stop=f"sticks < {shown(stuck, 'ohm')}",
            look="lift the cans one by one; ohms fall by the dropper between",
        )


def _copper(plan: Plan, expected: dict[str, Expected], names: list[str], what: str, also: str = "") -> Line:
    least = min(expected[name].value or 0.0 for name in names)
    said = (
        f"halves within {100 * rule('halves.ohms-apart'):.0f} % of each other{also}"
        if len(names) == 2
        else also
    )
    return _line(
        plan,
        expected,
        names,
        what=what,
        said=said.removeprefix("; "),
        red="" if len(names) == 1 else f"{what}, each end in turn",
        black="its centre tap" if len(names) == 2 else "",
        stop=f"open, or < {shown(rule('ohms.low') * least, 'ohm')}",
        look="shorted turns; a joint that is high",
    )


def _rectifiers(plan: Plan) -> Line:
    valve = any(device.kind == "valve" for device in plan.filled.devices.values())
    said = "about 0.5 V one way, open the other"
    if valve:
        said += "; a rectifier valve: open cold, heater whole, no short to it"
    return Line(
        "each diode, both ways",
        "anode",
        "cathode",
        "diode range",
        said=said,
        stop="the same both ways",
        look="the diode; a capacitor across it",
    )
