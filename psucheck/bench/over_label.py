"""What the whole wall voltage does to capacitors that do not stand it: said before the valves go in."""

from __future__ import annotations

from collections.abc import Iterator

from psucheck.bench.limit import loads_of
from psucheck.bench.plan import Plan
from psucheck.bench.runs import Setting
from psucheck.checks.capacitor_voltage import surge_voltage
from psucheck.checks.judging import shown
from psucheck.checks.rails import capacitors

_FIT = "Fit one that stands it before this step."


def over_label(plan: Plan) -> Iterator[str]:
    """Say each capacitor that is above its label at the wall's volts, before or after the valves draw.

    What is over only until the valves draw is held against the surge voltage, as the rule on capacitor
    voltage does.

    Yields
    ------
    A sentence or two for one of them.
    """
    before = loads_of(plan.filled, plan.up.figures[plan.full])
    idle = loads_of(plan.filled, plan.up.figures[Setting("idle", plan.wall)])
    for placed in capacitors(plan.filled.supply):
        name = placed.subject
        if name not in before or name not in idle:
            continue
        cold, label = before[name]
        warm, at_idle = idle[name]
        surge = surge_voltage(placed.capacitor)
        part = placed.capacitor.voltage
        most = label if surge is None or part is None else label * surge.value / part
        if warm > at_idle:
            yield f"{name} stands at {shown(warm, 'V')} at idle, its label says {shown(at_idle, 'V')}. {_FIT}"
        elif cold > most:
            yield (
                f"{name} stands at {shown(cold, 'V')} until the valves draw, above its surge voltage of "
                f"{shown(most, 'V')}. {_FIT}"
            )
        elif cold > label:
            yield (
                f"{name} stands at {shown(cold, 'V')} until the valves draw, its label says "
                f"{shown(label, 'V')}: borne for half a minute from cold (surge voltage {shown(most, 'V')}), "
                "no longer. The standby switch stays closed, no valve comes out with the mains on; better "
                "fit one that stands it."
            )
