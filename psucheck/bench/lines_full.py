"""Lines of the step at the full wall voltage, idle."""

from __future__ import annotations

from collections.abc import Iterator

from psucheck.bench.lines import line
from psucheck.bench.plan import Plan
from psucheck.bench.practice import rule
from psucheck.checks.judging import shown
from psucheck.parts import UnknownPart, library
from psucheck.report.sheet_view import Line


def first(plan: Plan) -> Iterator[Line]:
    """What shows most: watts, amps, rails, valves, bias, ripple."""
    values = plan.up.values[plan.setting("full wall")]
    yield _idle_line(
        plan,
        ["mains watts"],
        said="less the tare",
        look="bias too hot (volts down), shorted turns (volts up)",
        stop=f"> {shown(rule('watts.idle-factor') * values['mains watts'], 'W')}, or rising after 20 min",
    )
    yield _idle_line(
        plan,
        ["mains amps"],
        stop=f"> {shown(rule('watts.idle-factor') * values['mains amps'], 'A')}",
        look="as the watts",
    )
    for node in plan.rails:
        cold = shown(plan.up.values[plan.full][f"{node} DC"], "V")
        yield _idle_line(
            plan,
            [f"{node} DC"],
            said=f"idle; {cold} before the valves draw",
            stop=f"< {shown(rule('rail.low') * values[f'{node} DC'], 'V')} after 1 min",
            look="rectifier, an anode or half that is open, bias",
        )
    yield from _cathodes(plan)
    for load in plan.filled.outputs:
        names = [p.name for p in plan.up.points.values() if p.kind == "bias" and p.of == load]
        if names:
            stop = f"above {shown(rule('bias.least') * values[names[0]], 'V')}, or one creeping up"
            yield _idle_line(
                plan,
                names,
                what=f"bias at each socket of {load}",
                red=f"each {load} valve's grid pin",
                stop=stop,
                look="coupling capacitor (it stays with the socket), valve (it moves)",
            )
    for node in plan.rails:
        yield _ripple(plan, node)


def rest(plan: Plan) -> Iterator[Line]:
    """The nodes behind, drops over what stands at the valves, heaters, ripple further on."""
    points = plan.up.points.values()
    others = [f"{node} DC" for node in plan.high_nodes if node not in plan.rails]
    if others:
        yield _idle_line(
            plan,
            others,
            what="the nodes behind",
            red="each node",
            stop="one low, all below it low too",
            look="drop over the dropper / its ohms = current: the dropper, or a leak behind it",
        )
    for load, output in plan.filled.outputs.items():
        drops = [p.name for p in points if p.kind == "transformer drop" and p.of == load]
        if drops:
            yield _idle_line(
                plan,
                drops,
                what=f"drop over each half of the {load} transformer" if len(drops) == 2 else "",
                said="both leads at HT",
                stop="they disagree by 15 % beyond their ohms",
                look="0: that valve, or the half open (anode pin at 0)",
            )
        screens = [p.name for p in points if p.kind == "screen drop" and p.of == load]
        if screens:
            yield _idle_line(
                plan,
                screens,
                what=f"drop over each screen resistor of {load}",
                red=output.screens or "",
                black="each screen pin",
                said="both leads at HT",
                stop="twice its mate",
                look="the valve; its resistor",
            )
    fed = {load.winding: load.volts for load in plan.filled.heaters}
    for winding, nominal in fed.items():
        names = [p.name for p in points if p.kind == "winding AC" and p.of == winding]
        part = nominal / len(names)
        low, high = shown(rule("heater.least") * part, "V"), shown(rule("heater.most") * part, "V")
        yield _idle_line(
            plan,
            names,
            what=winding,
            red=f"{winding}, at a valve's pins",
            stop=f"> {high}, < {low}",
            look="HT right: wiring and joints; HT off too: the tap",
        )
    for node in plan.high_nodes:
        if node not in plan.rails and plan.filled.nodes[node].choke is not None:
            yield _ripple(plan, node)


def _cathodes(plan: Plan) -> Iterator[Line]:
    """Milliamps and watts of every output valve."""
    figures = plan.up.figures[plan.setting("full wall")]
    for load, output in plan.filled.outputs.items():
        names = [p.name for p in plan.up.points.values() if p.kind == "cathode" and p.of == load]
        valves = figures.valves[load]
        each = f"{shown(valves.anode_watts, 'W')} on each anode"
        limit = _anode_limit(output.type)
        if limit is not None:
            each += f" of {shown(limit, 'W')} ({100 * valves.anode_watts / limit:.0f} %)"
        most = rule("valves.mate") * (valves.anode_current + valves.screen_current)
        if output.bias == "cathode":
            yield _idle_line(
                plan,
                names,
                said=each,
                look="the valve, cathode resistor, its capacitor",
                stop=f"> {shown(most * valves.count * output.cathode_ohms, 'V')}",
            )
        else:
            yield _idle_line(
                plan,
                names,
                what=f"{load} cathodes, over 1 ohm each",
                red=f"each {load} cathode",
                said=f"1 mV is 1 mA; {each}; matched within {100 * rule('valves.match'):.0f} %",
                stop=f"> {shown(rule('valves.mate'), '1')} x its mate, > {1e3 * most:.0f} mV, or creeping",
                look="swap the pair: what stays is the socket's",
            )


def _anode_limit(type_: str) -> float | None:
    try:
        return library().load_valve(type_).anode_watts.value
    except UnknownPart:
        return None


def _ripple(plan: Plan, node: str) -> Line:
    """Ripple as RMS and as peak to peak, with its pitch."""
    figures = plan.up.figures[plan.setting("full wall")]
    rectifier = (
        next(
            r
            for n, r in plan.filled.supply.rectifiers.items()
            if plan.filled.nodes[node].source.name.startswith(n)
        )
        if node in plan.rails
        else None
    )
    half_wave = rectifier is not None and rectifier.circuit in ("half-wave", "cascade doubler")
    hertz = plan.filled.mains.hertz * (1 if half_wave else 2)
    pp = figures.nodes[node].ripple_pp
    wrong = "the mains' own hertz" if not half_wave else "out of its band"
    return _idle_line(
        plan,
        [f"{node} AC"],
        what=f"{node} ripple",
        said=f"{shown(pp, 'V')} peak to peak, {hertz:g} Hz",
        stop=f"{wrong}, or twice its band",
        look="a can dried up (bridge it), a rectifier arm or half of the winding open",
    )


def _idle_line(plan: Plan, names: list[str], **more: str) -> Line:
    return line(plan, "full wall", names, **more)  # type: ignore[arg-type]
