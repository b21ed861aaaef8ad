"""The steps with the valves in: straight up, full wall, full output, soak, and off again."""

from __future__ import annotations

from collections.abc import Iterator

from psucheck.bench.lines import line
from psucheck.bench.lines_full import first, rest
from psucheck.bench.over_label import over_label
from psucheck.bench.plan import Plan
from psucheck.bench.practice import rule
from psucheck.bench.relays import relay_notes
from psucheck.checks.judging import shown
from psucheck.report.sheet_view import Line, Step
from psucheck.supply.fill_warm_up import VALVES

ALL = "all valves"
_SCOPE = (
    "Scope: its earth clip makes the chassis its own earth, and a variac does not isolate. Probe "
    "rated for the "
    "rail, clip on the chassis with the mains off, and never on anything but the chassis."
)


def steps_in(plan: Plan) -> Iterator[Step]:
    """Every step with the valves in, in order."""
    yield _straight_up(plan)
    yield Step(
        "full wall",
        "Full wall: what shows most",
        plan.wall,
        ALL,
        tuple(first(plan)),
        "how it stands under signal, and after an hour",
        tuple(_warm(plan)),
        f"at another wall voltage: DC and AC volts about x volts / {plan.wall:g}; currents more than that",
    )
    yield Step(
        "full wall",
        "Full wall: the rest, clips moved with the mains off",
        plan.wall,
        ALL,
        tuple(rest(plan)),
        "which of two like causes it is: that takes a part lifted or bridged",
        (_SCOPE,),
    )
    yield Step(
        "full output",
        "Full output, into the load, 5 s at most",
        plan.wall,
        ALL,
        tuple(_output(plan)),
        "hum and noise; what only an hour brings",
        ("Sine in, just clipping, into a resistor of the right ohms.",),
    )
    yield Step(
        "soak",
        f"Soak, idle, cover on: {rule('soak.minutes') / 60:.0f} min, a look every 10",
        plan.wall,
        ALL,
        tuple(_soak(plan)),
        "what comes after a night cold, or with a knock",
    )
    yield _off(plan)


def _straight_up(plan: Plan) -> Step:
    """Valves in: no number is promised below most of the mains, only where to stop."""
    share = rule("valves.emission")
    lines = [
        Line(
            "heaters",
            meter="eye",
            said="all glow within 20 s",
            stop="one dark",
            look="its pins, the heater joint",
        ),
        Line(
            "wattmeter, ammeter",
            meter="watts, amps",
            said="rise, then fall back as the cans are full",
            stop="more than the full wall's numbers below, or rising",
            look="back to the steps without valves",
        ),
        Line(
            "anodes",
            meter="eye",
            said="dark",
            stop="a red plate: off at once",
            look="its bias at the pin, the coupling capacitor, the valve",
        ),
    ]
    for load, output in plan.filled.outputs.items():
        amps = plan.up.figures[plan.setting("full wall")].valves[load]
        most = rule("valves.mate") * (amps.anode_current + amps.screen_current)
        if output.bias == "cathode":
            lines.append(
                Line(
                    f"{load} cathodes",
                    meter="DC volts",
                    said="rise slowly",
                    look="cathode resistor and its capacitor",
                    stop=f"> {shown(most * amps.count * output.cathode_ohms, 'V')}",
                )
            )
        else:
            lines.append(
                Line(
                    f"{load} cathodes, over 1 ohm each",
                    meter="DC millivolts",
                    said="each alike, and low: bias coldest",
                    stop=f"> {1e3 * most:.0f} mV on one, or creeping",
                    look="that socket's bias",
                )
            )
    lines.append(
        Line(
            "blue glow, smell, noise",
            meter="eye, nose, ear",
            said="none; blue that keeps still on the glass is none",
            stop="blue that moves between the electrodes, fizzing, smell",
            look="the valve; the hot part",
        )
    )
    return Step(
        "valves in",
        "Valves in, load on the output, straight up in under 30 s",
        None,
        ALL,
        tuple(lines),
        "any number: heaters this cold emit what they like",
        (
            *over_label(plan),
            "Bias pots at their most negative. Do not dwell between 40 and 70 % of the mains.",
            (
                f"No number is promised below {share * plan.wall:.0f} V ({100 * share:.0f} %): only "
                f"where to stop."
            ),
        ),
    )


def _warm(plan: Plan) -> Iterator[str]:
    """What has to be waited for at the full wall voltage."""
    for key, warm_up in plan.filled.warm_ups.items():
        who = "The valves draw" if key == VALVES else f"Rectifier {key.removeprefix('rectifiers.')} conducts"
        yield f"{who} from about {warm_up.starts:.0f} s on, in full from {warm_up.full:.0f} s (a guess)."
    for place, limiter in plan.filled.limiters.items():
        yield (
            f"The NTC ({place}) is hot now, {shown(limiter.hot, 'ohm')} for "
            f"{shown(limiter.cold, 'ohm')} cold: "
            "wait 2 min before switching on again."
        )
    yield from relay_notes(plan, "full wall")
    if any(load.bias == "node" for load in plan.filled.outputs.values()):
        yield "Then set the bias; the expected stand for the idle current of the description."


def _output(plan: Plan) -> Iterator[Line]:
    idle, full = (plan.up.values[plan.setting(step)] for step in ("full wall", "full output"))
    yield line(plan, "full output", ["mains watts"], look="the drive, the load")
    yield line(
        plan,
        "full output",
        ["mains amps"],
        stop="the fuse opens: no larger one; back to cold",
        look="as the watts",
    )
    for node in plan.rails:
        fall = idle[f"{node} DC"] - full[f"{node} DC"]
        most = rule("valves.fall") * idle[f"{node} DC"]
        yield line(
            plan,
            "full output",
            [f"{node} DC"],
            said=f"{shown(fall, 'V')} down from idle; back within 1 s",
            stop=f"more than {shown(max(most, 1.2 * fall), 'V')} down",
            look="rectifier, first can, winding",
        )
    for output in plan.filled.outputs.values():
        if output.screens is not None and output.screens not in plan.rails:
            yield line(plan, "full output", [f"{output.screens} DC"], look="choke, its can")
    yield Line(
        "screens and anodes", meter="eye", said="no glow", stop="a screen that glows", look="load, bias"
    )


def _soak(plan: Plan) -> Iterator[Line]:
    watts, volts, amps = (100 * rule(f"soak.{each}") for each in ("watts", "volts", "current"))
    yield line(
        plan,
        "soak",
        ["mains watts"],
        said=f"within {watts:.0f} % from look to look, after the first",
        stop="still rising after 20 min",
        look="bias, shorted turns",
    )
    for node in plan.rails:
        yield line(plan, "soak", [f"{node} DC"], said=f"within {volts:.0f} %", look="rectifier, a can")
    for load in plan.filled.outputs:
        names = [p.name for p in plan.up.points.values() if p.kind == "cathode" and p.of == load]
        yield line(
            plan,
            "soak",
            names,
            what=f"{load} cathodes",
            red=f"each {load} cathode",
            said=f"within {amps:.0f} %, after the first 10 min",
            stop="one creeping up",
            look="that socket",
        )
    yield Line(
        "transformer and cans",
        meter="probe, or hand with the mains off",
        said="transformer < 70 degC outside, cans < 50 degC",
        stop="hotter",
        look="watts; ripple in the can",
    )


def _off(plan: Plan) -> Step:
    node = plan.rails[0] if plan.rails else next(iter(plan.filled.nodes))
    lines = (
        Line(
            f"{node} DC, hot valves draw it down",
            node,
            "chassis",
            "DC volts",
            said="< 60 V within seconds",
            stop="it holds",
            look="heaters, standby switch",
        ),
        Line(
            "every can, again after 1 min",
            "each can",
            "chassis",
            "DC volts",
            said=f"< {shown(rule('dead.volts'), 'V')}, drained through a resistor",
            stop="it comes back",
            look="drain longer: the dielectric gives back",
        ),
    )
    return Step("off", "Off, drained, proved dead", 0.0, ALL, lines, "nothing: it is the last")
