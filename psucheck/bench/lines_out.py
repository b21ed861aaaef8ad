"""Lines of the steps with the valves out."""

from __future__ import annotations

from collections.abc import Iterator

from psucheck.bench.limit import label_of
from psucheck.bench.lines import amps_stop, line, watts_stop
from psucheck.bench.names import CHASSIS, PLUG_IN
from psucheck.bench.plan import Plan
from psucheck.bench.practice import rule
from psucheck.bench.winding_up import WoundUp
from psucheck.checks.judging import shown
from psucheck.report.sheet_view import Line


def amps(plan: Plan, step: str) -> Iterator[Line]:
    """Mains current, before all else."""
    amps = plan.up.values[plan.setting(step)]["mains amps"]
    yield line(
        plan, step, ["mains amps"], stop=amps_stop(amps), look="rectifier, first capacitor, shorted turns"
    )


def watts(plan: Plan, step: str) -> Iterator[Line]:
    """Watts, less the variac's own."""
    watts = plan.up.values[plan.setting(step)]["mains watts"]
    yield line(
        plan,
        step,
        ["mains watts"],
        said="less the tare",
        stop=watts_stop(watts),
        look="shorted turns (HT lifted: they stay), a leaking can (it goes with the can)",
    )


def rail(plan: Plan, step: str) -> Iterator[Line]:
    """B+ at each rectifier: sign first; the silicon's numbers beside where a valve rectifies."""
    ups = [None] if plan.silicon is None else [None, plan.silicon]
    for up in ups:
        names = [f"{node} DC" for node in plan.rails]
        if names:
            least = _each(plan, step, up, rule("rail.low"))
            yield line(
                plan,
                step,
                names,
                what="" if up is None else f"{', '.join(names)}{PLUG_IN}",
                red=", ".join(plan.rails),
                stop=f"minus sign, or < {least}",
                look="rectifier (AC there too), first capacitor (no AC), HT winding",
                up=up,
            )


def _each(plan: Plan, step: str, up: WoundUp | None, share: float) -> str:
    """A share of every rail's volts: ``"34.9 V"``, ``"34.9 V (ht), 28 V (screens)"``."""
    values = (up or plan.up).values[plan.setting(step)]
    shares = {node: shown(share * values[f"{node} DC"], "V") for node in plan.rails}
    if len(shares) == 1:
        return next(iter(shares.values()))
    return ", ".join(f"{volts} ({node})" for node, volts in shares.items())


def rail_ac(plan: Plan, step: str) -> Iterator[Line]:
    """AC on each rail: nothing, where no current is drawn."""
    names = [f"{node} AC" for node in plan.rails if not plan.waits(step, plan.up.points[f"{node} AC"])]
    if names:
        yield line(
            plan,
            step,
            names,
            red=f"{', '.join(plan.rails)}, through 0.1 uF 630 V",
            said="next to nothing",
            stop=f"> {_each(plan, step, None, rule('rail.ac'))}",
            look="a diode shorted, the first capacitor open",
        )


def heaters(plan: Plan, step: str) -> Iterator[Line]:
    """Each heater winding: end to end, or its two halves."""
    fed = {load.winding: load.volts for load in plan.filled.heaters}
    for name, nominal in fed.items():
        names = [p.name for p in plan.up.points.values() if p.kind == "winding AC" and p.of == name]
        share = plan.steps[step] / plan.wall
        most = rule("heater.unloaded-most") * nominal * share / len(names)
        loaded = any(load.winding == name and load.group == "rectifier" for load in plan.filled.heaters)
        said = "with the rectifier valve on it" if loaded else "unloaded, so over nominal"
        if len(names) == 1 and not loaded:
            said += "; from each end to chassis half of it, if it is tied"
        yield line(
            plan,
            step,
            names,
            what=name,
            said=said,
            red=f"{name} winding, {'each end' if len(names) == 2 else 'end a'}",
            stop=f"0, > {shown(most, 'V')}" + (", or halves unequal by 10 %" if len(names) == 2 else ""),
            look="primary tap, heater wiring, pilot lamps, hum balance",
        )


def halves(plan: Plan, step: str) -> Iterator[Line]:
    """The HT windings, half against half."""
    for name in dict.fromkeys(
        rectifier.winding
        for rectifier in plan.filled.supply.rectifiers.values()
        if rectifier.polarity == "positive"
    ):
        names = [p.name for p in plan.up.points.values() if p.kind == "winding AC" and p.of == name]
        apart = (
            f"{100 * rule('halves.apart'):.0f} % apart" if len(names) == 2 else "off by more than its band"
        )
        yield line(
            plan,
            step,
            names,
            red=f"{name} winding, {'each end' if len(names) == 2 else 'end a'}",
            stop=apart,
            look="shorted turns, a shorted diode, the mains tap",
        )


def bias_sockets(plan: Plan, step: str) -> Iterator[Line]:
    """Bias at every output valve's grid pin."""
    for load in plan.filled.outputs:
        names = [p.name for p in plan.up.points.values() if p.kind == "bias" and p.of == load]
        if not names:
            continue
        volts = plan.up.values[plan.setting(step)][names[0]]
        yield line(
            plan,
            step,
            names,
            what=f"bias at each socket of {load}",
            red=f"each {load} valve's grid pin",
            stop=f"positive, 0, above {shown(rule('bias.least') * volts, 'V')}, or one differs",
            look="bias diode and feed, pot and wiper, grid leaks, coupling capacitors",
        )


def pins(plan: Plan, step: str) -> Iterator[Line]:
    """Anode and screen pins, as their rail."""
    for load, output in plan.filled.outputs.items():
        names = [p.name for p in plan.up.points.values() if p.kind in ("anode", "screen") and p.of == load]
        if plan.waits(step, plan.up.points[names[0]]):
            continue
        pins = "each anode and screen pin" if output.screens is not None else "each anode pin"
        yield line(
            plan,
            step,
            names,
            what=f"{load}, {pins}",
            red=f"{load} valves, {pins}",
            said="as their rail",
            stop="0 on one, or one apart",
            look="output transformer, screen resistors, standby contact",
        )


def last(plan: Plan, step: str) -> Iterator[Line]:
    """The last node of each branch: if it is there, every dropper is whole."""
    nodes = [node for node in plan.last_nodes if not plan.waits(step, plan.up.points[f"{node} DC"])]
    if nodes:
        yield line(
            plan,
            step,
            [f"{node} DC" for node in nodes],
            red=", ".join(nodes),
            said="near the rail: all droppers are whole",
            stop="well below the rail",
            look="droppers above it (they recover with time), a leaking can (it stays)",
        )


def cans(plan: Plan, step: str) -> Iterator[Line]:
    """Every capacitor of high voltage against its label, in one line."""
    held = {node: label_of(plan.filled, node) for node in plan.high_nodes}
    held = {node: label for node, label in held.items() if label is not None}
    if held:
        labels = ", ".join(f"{node} {label}" for node, label in held.items())
        strings = any(" x " in (label or "") for label in held.values())
        yield line(
            plan,
            step,
            [f"{node} DC" for node in held],
            what="every can against its label",
            red="each node",
            black=CHASSIS,
            said=f"labels: {labels}" + ("; of a string each can has its even share" if strings else ""),
            stop="any above its label",
            look="the mains first; then the winding's tap",
        )


def touch() -> Line:
    """What a hand tells, the mains off."""
    return Line(
        "cans and transformer, off first",
        meter="hand, or a probe",
        said="cold cans; transformer hand-warm at most",
        stop="a can warm, a smell, fizzing",
        look="the warm can: lift it and look at the watts",
    )
