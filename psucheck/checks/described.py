"""The described part behind a figure: what stands on a rectifier's output, which resistor a key names."""

from __future__ import annotations

from psucheck.checks.case import Case
from psucheck.figures.model import State
from psucheck.supply import topology
from psucheck.supply.model import Capacitor, Rectifier, Resistor, Supply

LASTING: tuple[State, ...] = ("valves out", "cold", "idle", "full output", "standby open")
"""The states that may last as long as somebody leaves the amplifier so."""

UNENDING: tuple[State, ...] = ("valves out", "standby open", "idle", "full output")
"""Those of them that nothing ends; without standby a cold start ends when the valves draw."""

STARTS: tuple[State, ...] = ("switch-on", "switch-on, valves cold")
"""The starts from mains off, with the valves drawing at once and with nothing drawing yet."""

SURGES: tuple[State, ...] = (*STARTS, "hot restart", "standby closes")
"""All that charges the supply at a stroke. A warm limiter, or the charge that a standby switch lets through,
can ask more of a part than a cold start."""


def first_capacitance(supply: Supply, rectifier: str) -> float | None:
    """What the rectifier charges directly [F]: capacitors of all nodes it feeds without a choke between.

    Of a doubler, the larger of its two. None where no capacitor stands there.
    """
    described = supply.rectifiers[rectifier]
    if described.capacitors is not None:
        return max(capacitor.string_value for capacitor in described.capacitors)
    values = [
        node.capacitor.string_value
        for node in (supply.filter[name] for name in topology.first_nodes(supply, rectifier))
        if node.capacitor is not None and node.choke is None
    ]
    return sum(values) if values else None


def volts_per_anode(case: Case, rectifier: str) -> float | None:
    """Alternating volts per anode off load at nominal mains [V RMS], as data sheets tabulate it.

    As simulated with the valves out, else at idle; None where neither was.
    """
    described = case.supply.rectifiers[rectifier]
    for figures in case.select(("valves out", "cold", "idle"), ("nominal",)):
        if described.winding in figures.windings:
            winding = figures.windings[described.winding]
            whole = described.circuit in ("bridge", "full-wave doubler", "cascade doubler")
            return winding.volts if whole else max(winding.section_volts)
    return None


def winding_keys(rectifier: Rectifier) -> tuple[str, ...]:
    """The description's keys on which the resistance before the rectifier rests."""
    return (
        f"windings.{rectifier.winding}.resistance",
        "transformer.primary.resistance",
        "transformer.regulation",
    )


def winding_guessed(case: Case, rectifier: Rectifier) -> bool:
    """Whether the resistance of the rectifier's winding or of the primary was guessed."""
    return case.guessed(*winding_keys(rectifier))


def _balancing(capacitor: Capacitor | None) -> Resistor | None:
    return None if capacitor is None else capacitor.balancing


def _of_node(supply: Supply, name: str, role: str) -> Resistor | None:
    if name not in supply.filter:
        return None
    node = supply.filter[name]
    return {"dropper": node.resistor, "bleeder": node.bleeder, "balancing": _balancing(node.capacitor)}.get(
        role
    )


def _of_load(supply: Supply, name: str, role: str) -> Resistor | None:
    if name not in supply.loads:
        return None
    load = supply.loads[name]
    return {"screen resistor": load.screen_resistors, "cathode resistor": load.cathode_resistor}.get(role)


def _of_rectifier(supply: Supply, name: str, role: str) -> Resistor | None:
    if name not in supply.rectifiers:
        return None
    rectifier = supply.rectifiers[name]
    feed = rectifier.feed if isinstance(rectifier.feed, Resistor) else None
    upper, lower = rectifier.capacitors or (None, None)
    return {
        "feed": feed,
        "anode resistor": rectifier.anode_resistors,
        "upper balancing": _balancing(upper),
        "lower balancing": _balancing(lower),
    }.get(role)


_ROLES = (
    "dropper",
    "bleeder",
    "upper balancing",
    "lower balancing",
    "balancing",
    "screen resistor",
    "cathode resistor",
    "anode resistor",
    "feed",
    "bypass",
)


def resistor(supply: Supply, key: str) -> Resistor | None:
    """The described resistor behind a key of ``Figures.resistors``; None for a zener, or a derived part."""
    standing = supply.series.get(key)
    if standing is not None:
        return standing if isinstance(standing, Resistor) else None
    role = next((role for role in _ROLES if key.endswith(f" {role}")), None)
    if role is None:
        return None
    name = key.removesuffix(f" {role}").removeprefix("rectifiers.")
    switch = supply.switches.get(name)
    if role == "bypass":
        return None if switch is None else switch.bypass
    return _of_node(supply, name, role) or _of_load(supply, name, role) or _of_rectifier(supply, name, role)
