"""The steps with the valves out: up on the variac, as far as the capacitors allow, and the bias."""

from __future__ import annotations

from collections.abc import Iterator

from psucheck.bench import lines_out as lines
from psucheck.bench.lines import expected_at, line
from psucheck.bench.names import CHASSIS, PLUG_IN
from psucheck.bench.plan import Plan
from psucheck.bench.practice import rule
from psucheck.bench.relays import relay_notes
from psucheck.checks.judging import shown
from psucheck.report.sheet_view import Line, Step

_TITLES = {
    "a tenth": "a tenth",
    "a quarter": "a quarter",
    "a half": "half",
    "three quarters": "three quarters",
}
_STAY = {"a half": "Stay 10 min.", "three quarters": "Stay 5 min.", "valves-out limit": "Stay 10 min."}
_CANNOT = {
    "a tenth": "a few shorted turns, a can that leaks only near its voltage, one diode that is open",
    "a quarter": "a can that leaks near its voltage; the watts of a few shorted turns are still small",
    "a half": "what breaks down only near full voltage",
    "three quarters": "what only the current of the valves shows: weak rectifier, choke, dried-up cans",
    "valves-out limit": "ripple, droppers and choke: nothing draws; the last volts up to the wall's",
    "bias": "what the valves do with it",
}


def steps_out(plan: Plan) -> Iterator[Step]:
    """Every step with the valves out, in order."""
    makers = {
        "a tenth": _tenth,
        "a quarter": _quarter,
        "a half": _half,
        "three quarters": _three_quarters,
        "valves-out limit": _limit,
    }
    for name, maker in makers.items():
        if name in plan.steps:
            yield _step(
                plan, name, f"Valves out, {_TITLES.get(name, 'as far as the capacitors allow')}", maker
            )
    if any(load.bias != "cathode" for load in plan.filled.outputs.values()):
        yield _step(plan, "bias", "Bias at every socket, before any valve goes in", _bias)


def _step(plan: Plan, name: str, title: str, maker: object) -> Step:
    volts = plan.steps[name]
    lines = tuple(maker(plan, name))  # type: ignore[operator]
    return Step(
        name=name,
        title=title,
        volts=volts,
        contents=_contents(plan),
        lines=lines,
        cannot=_CANNOT[name],
        notes=tuple(_notes(plan, name)),
        factor=f"at other volts: AC and DC volts x volts / {volts:g}",
    )


def _contents(plan: Plan) -> str:
    return "rectifier valve in, no other" if plan.silicon is not None else "no valves"


def _notes(plan: Plan, step: str) -> Iterator[str]:
    if step == "a tenth":
        yield "Standby switch closed. Clips on with the mains off; one hand."
        for place, limiter in plan.filled.limiters.items():
            yield f"The NTC ({place}), cold {shown(limiter.cold, 'ohm')}, drops nothing yet."
    if step in _STAY:
        yield _STAY[step]
    if step == "valves-out limit":
        yield _why_limit(plan)
    if plan.silicon is not None and plan.steps[step] < rule("valves.rectifier") * plan.wall:
        yield (
            "The rectifier valve does nothing below 60 to 70 % of the mains. Silicon plugged in for "
            "it shows the "
            f'rail at this step: its readings go under "{step}{PLUG_IN}". Else fit the valve last, and go up '
            "quickly from here; never leave it at half heater with load drawn."
        )
    yield from relay_notes(plan, step)


def _why_limit(plan: Plan) -> str:
    found = plan.limit
    if found.capacitor is None:
        said = f"No capacitor is over at the wall's {shown(plan.wall, 'V')} with the valves out."
    else:
        said = (
            f"Not further: {found.capacitor} reaches its {shown(found.rating or 0.0, 'V')} at "
            f"{shown(found.nominal_volts or 0.0, 'V')} by the numbers, and from {found.volts:g} V on "
            f"where sound "
            "parts come out high."
        )
    if found.unrated:
        said += f" Not counted, since no rating is given: {', '.join(found.unrated)}."
    return said


# --- the steps --------------------------------------------------------------------------------------------


def _tenth(plan: Plan, step: str) -> Iterator[Line]:
    yield from lines.amps(plan, step)
    yield from lines.rail(plan, step)
    yield from lines.rail_ac(plan, step)
    yield from lines.halves(plan, step)
    yield from lines.heaters(plan, step)
    yield from lines.bias_sockets(plan, step)
    yield from lines.pins(plan, step)
    yield from lines.last(plan, step)


def _quarter(plan: Plan, step: str) -> Iterator[Line]:
    yield from lines.amps(plan, step)
    yield from lines.watts(plan, step)
    yield from lines.rail(plan, step)
    yield from lines.rail_ac(plan, step)
    yield from lines.bias_sockets(plan, step)


def _half(plan: Plan, step: str) -> Iterator[Line]:
    yield from lines.amps(plan, step)
    yield from lines.watts(plan, step)
    yield from lines.rail(plan, step)
    yield from lines.last(plan, step)
    yield from lines.bias_sockets(plan, step)
    yield lines.touch()


def _three_quarters(plan: Plan, step: str) -> Iterator[Line]:
    yield from lines.amps(plan, step)
    yield from lines.watts(plan, step)
    yield from lines.rail(plan, step)
    yield from lines.rail_ac(plan, step)
    yield from lines.heaters(plan, step)


def _limit(plan: Plan, step: str) -> Iterator[Line]:
    yield from lines.amps(plan, step)
    yield from lines.watts(plan, step)
    yield from lines.rail(plan, step)
    yield from lines.cans(plan, step)
    yield from lines.heaters(plan, step)
    yield lines.touch()


def _bias(plan: Plan, step: str) -> Iterator[Line]:
    yield from lines.bias_sockets(plan, step)
    for load, output in plan.filled.outputs.items():
        points = [p for p in plan.up.points.values() if p.kind == "bias end" and p.of == load]
        for point in points:
            value = expected_at(plan, step, point.name).value
            if value is None:
                continue
            yield line(
                plan,
                step,
                [point.name],
                red=f"each {load} valve's grid pin, pot turned there",
                stop=f"above {shown(rule('bias.least') * value, 'V')}",
                look="padding resistors, bias capacitor",
            )
        if points:
            yield Line(
                f"{load} pot from end to end",
                f"{load} valve 1, grid pin",
                CHASSIS,
                "DC volts, needle or bar graph",
                said="smooth, never to 0",
                stop="a jump or a gap: the valves stay out",
                look="the pot's wiper",
            )
        if output.bias_node is not None:
            yield line(
                plan, step, [f"{output.bias_node} AC"], look="bias capacitor", stop="twice the band and more"
            )
