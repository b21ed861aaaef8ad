"""What the sheet and the readings stand on: the supply wound up step by step, as far as it may be."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from psucheck.bench.limit import Limit, limit
from psucheck.bench.names import STEPS
from psucheck.bench.points import Point
from psucheck.bench.practice import rule
from psucheck.bench.rectifying import behind_valves, valve_rectifiers, with_silicon
from psucheck.bench.runs import Setting
from psucheck.bench.winding_up import WoundUp, wind_up, with_settings
from psucheck.circuit.condition import Readings
from psucheck.engine.pool import Runner
from psucheck.supply.filled import FilledSupply
from psucheck.supply.topology import first_nodes, is_low_voltage, is_negative

SHARES = {name: kind.share for name, kind in STEPS.items() if kind.share is not None and kind.share < 1.0}
"""The steps with the valves out that are a share of the mains."""
LIMIT_STEPS = ("valves-out limit", "bias")


@dataclass(frozen=True)
class Plan:
    """A supply on the bench at one wall voltage.

    Attributes
    ----------
    wall
        What the wall has [V RMS].
    steps
        Step of :data:`STEPS` -> volts at the amplifier [V RMS], those that are taken.
    up
        The supply wound up.
    silicon
        The same with silicon plugged in for its rectifier valves; None where it has none.
    limit
        How far the mains may go with the valves out, in either case.
    """

    filled: FilledSupply
    readings: Readings
    wall: float
    steps: Mapping[str, float]
    up: WoundUp
    silicon: WoundUp | None
    limit: Limit

    def setting(self, step: str) -> Setting:
        """What is run for a step."""
        state = STEPS[step].state
        assert state is not None  # a step with the plug out has no run
        return Setting(state, self.steps[step])

    @property
    def full(self) -> Setting:
        """The valves out at the whole wall voltage: only computed, where a capacitor would be over."""
        return Setting("valves out", self.wall)

    def waits(self, step: str, point: Point) -> bool:
        """Whether a test point has nothing yet at a step: the rectifier valve before it is too cold."""
        return self.waits_at(self.setting(step), point)

    def waits_at(self, setting: Setting, point: Point) -> bool:
        """The same at any mains."""
        if setting.state != "valves out" or setting.volts >= rule("valves.rectifier") * self.wall:
            return False
        node: str | None = point.of if point.kind in ("node DC", "node AC") else None
        if point.kind == "anode":
            node = self.filled.outputs[point.of].anodes
        elif point.kind == "screen":
            node = self.filled.outputs[point.of].screens
        return node in behind_valves(self.filled)

    @cached_property
    def rails(self) -> tuple[str, ...]:
        """The first node of every positive rail of high voltage."""
        supply = self.filled.supply
        return tuple(
            node
            for name in supply.rectifiers
            for node in first_nodes(supply, name)
            if not is_negative(supply, node) and not is_low_voltage(supply, node)
        )

    @cached_property
    def high_nodes(self) -> tuple[str, ...]:
        """All nodes of the rails of high voltage."""
        supply = self.filled.supply
        return tuple(
            name
            for name in self.filled.nodes
            if not is_negative(supply, name) and not is_low_voltage(supply, name)
        )

    @cached_property
    def last_nodes(self) -> tuple[str, ...]:
        """The nodes of high voltage that feed no other and are no rail's first."""
        feeding = {node.source.name for node in self.filled.nodes.values()}
        return tuple(name for name in self.high_nodes if name not in feeding and name not in self.rails)


def settings_of(wall: float) -> list[Setting]:
    """Every share of the mains with the valves out, and the whole wall voltage in each state."""
    shares = [Setting("valves out", round(share * wall, 1)) for share in SHARES.values() if share]
    return [*shares, Setting("valves out", wall), Setting("idle", wall), Setting("full output", wall)]


def make_plan(filled: FilledSupply, readings: Readings, wall: float, pool: Runner) -> Plan:
    """Wind the supply up, with silicon plugged in too where it has a rectifier valve.

    Raises
    ------
    SimulationError
        If a run fails.
    """
    up = wind_up(filled, readings, settings_of(wall), pool)
    found = limit(filled, readings, up.spread, wall, pool)
    silicon = None
    if valve_rectifiers(filled):
        plugged = with_silicon(filled)
        found = min(found, limit(plugged, readings, up.spread, wall, pool), key=lambda each: each.volts)
        out = [setting for setting in settings_of(wall) if setting.state == "valves out"]
        silicon = wind_up(plugged, readings, [*out, Setting("valves out", found.volts)], pool, follow=())
        # Its rails move with the same parts as the valve's.
        silicon = replace(silicon, spread=up.spread)
    at_limit = Setting("valves out", found.volts)
    if at_limit not in up.values:
        up = with_settings(up, [at_limit], pool)
    steps = {name: round(share * wall, 1) for name, share in SHARES.items() if share}
    steps = {name: volts for name, volts in steps.items() if volts < found.volts}
    steps |= dict.fromkeys(LIMIT_STEPS, found.volts)
    steps |= dict.fromkeys(("full wall", "full output", "soak"), wall)
    return Plan(filled, readings, wall, steps, up, silicon, found)
