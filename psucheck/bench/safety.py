"""The top of the sheet: what can hurt on this supply, and when to stop at any step."""

from __future__ import annotations

from collections.abc import Iterator

from psucheck.bench.limit import label_of
from psucheck.bench.plan import Plan
from psucheck.bench.practice import rule
from psucheck.checks.case import Case
from psucheck.checks.cautions import cautions
from psucheck.checks.judging import shown
from psucheck.checks.own_limits import limits_of
from psucheck.circuit.condition import Condition, State
from psucheck.conditions.run import run_conditions
from psucheck.engine.pool import Runner
from psucheck.figures.measure import measure

_STATES: tuple[State, ...] = ("idle", "valves out", "cold", "switch-off", "switch-off, valves out")


def sheet_cautions(plan: Plan, pool: Runner) -> tuple[str, ...]:
    """The supply's own cautions at the wall voltage, and those of the bench.

    Raises
    ------
    SimulationError
        If a run fails.
    """
    conditions = [Condition(state, "wall", plan.wall) for state in _STATES]
    outcomes = run_conditions(plan.filled, conditions, plan.readings, pool)
    figures = {outcome.condition.name: measure(outcome) for outcome in outcomes}
    case = Case(plan.filled.supply, figures, plan.filled.assumptions)
    said = cautions(case, limits_of(plan.filled.supply))
    if not said:
        return ()
    highest = max(abs(node.max) for each in figures.values() for node in each.nodes.values())
    return (
        *said,
        (
            f"One hand, the other in a pocket. Drain, and prove dead with a meter and leads rated "
            f"for more than "
            f"{shown(highest, 'V')}; prove the meter itself on a live rail before and after."
        ),
        "Clips go on and off with the mains off, wherever a rail is above 60 V.",
        "Watch the wattmeter: a rising one is a stop, whatever else reads right.",
    )


def stops(plan: Plan) -> Iterator[str]:
    """When to stop at any step, in this supply's numbers."""
    idle = plan.up.values[plan.setting("full wall")]
    at_limit = plan.up.figures[plan.setting("valves-out limit")]
    yield (
        f"Amperes above {rule('amps.factor'):g} times the sheet and "
        f"{shown(rule('amps.least'), 'A')}, or a lamp that "
        "stays bright."
    )
    for node in plan.rails:
        volts = shown(at_limit.nodes[node].dc, "V")
        yield (
            f"{node} negative, below {100 * rule('rail.low'):.0f} % of the sheet ({volts} at "
            f"{plan.limit.volts:g} V), "
            f"or with AC above {100 * rule('rail.ac'):.0f} % of its DC, valves out."
        )
    for load, output in plan.filled.outputs.items():
        if output.bias != "cathode":
            wanted = idle[f"bias at {load} 1"]
            yield (
                f"Bias at any pin of {load} above {shown(rule('bias.least') * wanted, 'V')} at the full wall "
                f"({shown(wanted, 'V')} wanted), 0 or positive, or a pot with a gap: the valves stay out."
            )
    held = {node: label_of(plan.filled, node) for node in plan.high_nodes}
    labels = ", ".join(f"{node} {label}" for node, label in held.items() if label is not None)
    if labels:
        yield f"Any can above its label ({labels}), or warm with the valves out."
    watts = shown(rule("watts.factor") * plan.up.values[plan.setting("valves-out limit")]["mains watts"], "W")
    yield (
        f"Valves out: watts above {watts} at {plan.limit.volts:g} V, or "
        f"{100 * rule('watts.rising'):.0f} % up in 5 min."
    )
    hot = shown(rule("watts.idle-factor") * idle["mains watts"], "W")
    yield f"Valves in: above {hot} at idle, or rising after 20 min; a red plate; moving blue glow; a smell."
    yield f"One output valve above {rule('valves.mate'):g} times its mate, or creeping up after 2 min."
    yield "A fuse that opens: never a larger one; back to the cold checks."
