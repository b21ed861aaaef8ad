"""What the valves of the line-up draw: their heaters, the output valves' idle point and full output."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from typing import Literal

from psucheck.parts.valves import LoadValve, PushPullRow
from psucheck.supply import guesses
from psucheck.supply.assumptions import Assumption, take
from psucheck.supply.fill_rectifiers import heater_of, is_valve
from psucheck.supply.filled import HeaterLoad, OutputLoad
from psucheck.supply.model import Idle, Load, Supply, ValveCount
from psucheck.supply.topology import LOW_VOLTAGE, rectifier_of, root_of
from psucheck.supply.valve_types import load_valve, type_name

HEATER_VOLTS = (2.5, 4.0, 5.0, 6.3, 12.6, 25.0)
"""Heater voltages in use for amplifier valves and their rectifiers [V]; 12.6 V is two halves in series."""
_NEAR = 0.2
"""Share by which the volts of a winding that feeds a rectifier may differ from those of heaters on it: it may
be described off load. Beyond, it is for DC."""
_HOT = 1.5
"""Idle current, as a multiple of the sheet's pair, above which its rise of screen current does not hold."""
_SHEET = "push-pull operating table of the type (see the part library)"
UNKNOWN_MU_NOTE = "its current is taken to follow the screen voltage alone, the law of the type is not known"


def fill_heaters(supply: Supply, notes: list[Assumption]) -> tuple[HeaterLoad, ...]:
    """Heater amps on each winding, from the line-up and from the rectifier valves."""
    loads = []
    for name, rectifier in supply.rectifiers.items():
        if rectifier.heater is not None and is_valve(rectifier.device):
            rating = heater_of(rectifier.device)
            if rating is not None:
                loads.append(HeaterLoad(rectifier.heater, "rectifier", rating[1], rating[0]))
                notes.append(
                    Assumption(
                        f"rectifiers.{name}.heater_amps", rating[1], "A", "derived", "its type's heater"
                    )
                )
    winding = heater_winding(supply)
    line_up = ac_line_up(supply)
    if winding is None or not line_up:
        return tuple(loads)
    watts = heater_watts(line_up)
    if watts:
        given = sum(supply.windings[winding].volts)
        volts = min(heater_voltages(supply), key=lambda nominal: abs(nominal - given) / nominal)
        amps = watts / volts
        notes.append(
            Assumption(f"windings.{winding}.heater_amps", amps, "A", "derived", "the line-up's heaters")
        )
        pulled = heater_watts(_missing(supply)) / volts
        loads.append(HeaterLoad(winding, "valves", amps, volts, pulled_amps=pulled))
    return tuple(loads)


def heater_watts(line_up: Iterable[ValveCount]) -> float:
    """Watts of the heaters of a line-up [W], as far as their types are held.

    However they are wired, in series or parallel, or by halves, they take the same watts.
    """
    watts = 0.0
    for entry in line_up:
        valve = load_valve(entry.type)
        if valve is not None:
            watts += entry.count * valve.heater.value.volts * valve.heater.value.amps
    return watts


def ac_line_up(supply: Supply) -> tuple[ValveCount, ...]:
    """The valves that are heated with AC: those of the line-up, less those on DC nodes."""
    on_dc = Counter[str]()
    for load in supply.loads.values():
        for entry in load.heaters or ():
            on_dc[type_name(entry.type)] += entry.count
    line_up = supply.valves or tuple(v for load in supply.loads.values() for v in load.valves or ())
    left = []
    for entry in line_up:
        taken = min(on_dc[type_name(entry.type)], entry.count)
        on_dc[type_name(entry.type)] -= taken
        if entry.count > taken:
            left.append(ValveCount(count=entry.count - taken, type=entry.type))
    return tuple(left)


def _missing(supply: Supply) -> Iterator[ValveCount]:
    """The valves that are missing."""
    for load in supply.loads.values():
        if load.missing and load.valves:
            yield ValveCount(count=load.missing, type=load.valves[0].type)


def heater_voltages(supply: Supply) -> set[float]:
    """Heater volts of the valves that are heated with AC, halves in series too [V]; empty if none is held."""
    valves = [load_valve(entry.type) for entry in ac_line_up(supply)]
    heaters = [(valve.heater, valve.heater_in_series) for valve in valves if valve is not None]
    return {heater.value.volts for pair in heaters for heater in pair if heater is not None}


def fits_heaters(supply: Supply, winding: str) -> bool:
    """Whether a winding's volts are nearer to those of the valves' heaters than to any other in use."""
    volts = sum(supply.windings[winding].volts)
    return min(HEATER_VOLTS, key=lambda nominal: abs(volts - nominal)) in heater_voltages(supply)


def _is_near(supply: Supply, winding: str) -> bool:
    """Whether a winding's volts are within a share of those of the valves' heaters."""
    volts = sum(supply.windings[winding].volts)
    return any(abs(volts - nominal) <= _NEAR * nominal for nominal in heater_voltages(supply))


def heater_winding(supply: Supply) -> str | None:
    """The winding that heats the line-up: a low-voltage one that no rectifier stands on.

    One whose volts are those of the valves' heaters goes before one whose volts are not, and after that one
    that no rectifier valve is heated from before one that is. A rectifier valve's winding of other volts than
    the line-up's heats nothing else. Without any, one on which a rectifier stands, if its volts are within a
    fifth of those of the heaters.
    """
    standing = {rectifier.winding for rectifier in supply.rectifiers.values()}
    taken = {rectifier.heater for rectifier in supply.rectifiers.values()}
    every = [name for name, winding in supply.windings.items() if sum(winding.volts) < LOW_VOLTAGE]
    low = [name for name in every if name not in standing]
    if heater_voltages(supply):
        low = [name for name in low if name not in taken or fits_heaters(supply, name)]
    low = low or [name for name in every if _is_near(supply, name)]
    return min(low, key=lambda name: (not fits_heaters(supply, name), name in taken), default=None)


def fill_output(name: str, load: Load, supply: Supply, notes: list[Assumption]) -> OutputLoad:
    """The idle point, full output and law of one load's output valves."""
    assert load.valves  # the reader has seen to these three
    assert load.anodes
    assert load.idle
    valves = load.valves[0]
    count = sum(entry.count for entry in load.valves)
    part = load_valve(valves.type)
    anode_was = load.idle.at or supply.filter[load.anodes].was
    row = _row(part, anode_was or _usual_rail(supply, load.anodes), load.bias == "cathode")
    anode, screen = _idle_amps(name, load.idle, count, load.screens is not None, row, notes)
    screen_was = supply.filter[load.screens].was if load.screens else None
    bias, node, grid = _bias(name, load, supply, anode + screen, notes)
    full_anode, full_screen, full_volts = _full(name, load, count, anode, screen, row, anode_was, notes)
    mu = part.mu.value if part is not None and part.mu is not None else None
    if mu is None:
        notes.append(Assumption(f"loads.{name}.mu", 0.0, "1", "guess", UNKNOWN_MU_NOTE, guesses.PRACTICE))
    transformer = load.output_transformer or (0.0,)
    # Push-pull: half of the current through each half; single-ended: all of it through the one winding.
    path = sum(transformer) / len(transformer) / (2 if len(transformer) == 2 else 1)
    return OutputLoad(
        type=valves.type,
        count=count,
        anodes=load.anodes,
        screens=load.screens,
        anode_amps=anode,
        screen_amps=screen,
        anode_volts=anode_was,
        screen_volts=screen_was,
        bias=bias,
        bias_node=node,
        grid_volts=grid,
        cathode_ohms=load.cathode_resistor.value if load.cathode_resistor else 0.0,
        mu=mu,
        full_anode_amps=full_anode,
        full_screen_amps=full_screen,
        full_volts=full_volts,
        screen_ohms=load.screen_resistors.value / count if load.screen_resistors else 0.0,
        anode_path_ohms=path,
        halves=len(transformer),
        missing=load.missing or 0,
    )


def _idle_amps(
    name: str, idle: Idle, count: int, screened: bool, row: PushPullRow | None, notes: list[Assumption]
) -> tuple[float, float]:
    """Anode and screen amps of all valves together at the idle point."""
    times = count if idle.each else 1
    if not screened:
        # Nothing leaves by a screen's own lead: what was read at the anode, or the cathode, is all there is.
        read = idle.cathode if idle.anode is None else idle.anode + (idle.screen or 0.0)
        return (read or 0.0) * times, 0.0
    share = row.screen_idle_amps / row.anode_idle_amps if row else guesses.SCREEN_SHARE.value
    total = (idle.cathode or 0.0) * times
    if idle.screen is not None:
        screen = idle.screen * times
    else:
        why = (
            "the data sheet's screen to anode current at zero signal" if row else "share of the anode current"
        )
        usual = idle.anode * times * share if idle.anode is not None else total * share / (1 + share)
        screen = take(notes, guesses.SCREEN_SHARE.assume(f"loads.{name}.idle.screen", why, usual))
    anode = idle.anode * times if idle.anode is not None else total - screen
    return anode, screen


def _row(part: LoadValve | None, rail: float, cathode_bias: bool) -> PushPullRow | None:
    """The row of a type's push-pull table nearest to the anode rail, of the same kind of bias if any."""
    if part is None or not part.push_pull:
        return None
    rows = [row.value for row in part.push_pull]
    alike = [row for row in rows if (row.bias == "cathode") == cathode_bias]
    return min(alike or rows, key=lambda row: abs(row.anode_volts - rail))


def _usual_rail(supply: Supply, node: str) -> float:
    """About what a rail reads under load: 1.25 times the volts that its rectifier works on [V]."""
    rectifier = supply.rectifiers[rectifier_of(supply, node)]
    volts = supply.windings[rectifier.winding].volts
    whole = rectifier.circuit not in ("centre-tapped", "half-wave")
    return 1.25 * (sum(volts) if whole else max(volts)) * (2 if rectifier.circuit.endswith("doubler") else 1)


def _bias(
    name: str, load: Load, supply: Supply, cathode_amps: float, notes: list[Assumption]
) -> tuple[Literal["node", "fixed", "cathode"], str | None, float | None]:
    """How the grids are biased, from which node, and the grid volts at the idle point.

    None for a back bias of which nothing was read: the grids get the whole of it, as the run finds it.
    """
    if load.bias == "cathode":
        ohms = load.cathode_resistor.value if load.cathode_resistor else 0.0
        return "cathode", None, -cathode_amps * ohms
    if isinstance(load.bias, float):
        return "fixed", None, load.bias
    assert isinstance(load.bias, str)
    node = supply.filter[load.bias]
    volts = node.set if node.set is not None else node.was
    if volts is None and node.range is None and root_of(supply, load.bias).kind == "place":
        return "node", load.bias, None
    if volts is None and node.range is not None:
        volts = sum(node.range) / 2
        low, high = min(node.range), max(node.range)
        notes.append(
            Assumption(
                f"filter.{load.bias}.set", volts, "V", "guess", "the middle of its range",
                guesses.PRACTICE, low=low, high=high,
            )
        )  # fmt: skip
    return "node", load.bias, volts or 0.0


def _full(
    name: str,
    load: Load,
    count: int,
    anode: float,
    screen: float,
    row: PushPullRow | None,
    anode_was: float | None,
    notes: list[Assumption],
) -> tuple[float, float, float | None]:
    """Anode and screen amps of all valves at full output, and the anode rail that they are meant at."""
    key = f"loads.{name}.full"
    volts = anode_was
    if load.full is not None:
        full = load.full
    elif load.power is not None and anode_was is not None:
        usual = max(load.power / (guesses.OUTPUT_EFFICIENCY.value * anode_was), anode)
        why = f"{load.power:g} W at 60 % anode efficiency"
        full = take(notes, guesses.OUTPUT_EFFICIENCY.assume(key, why, usual))
    elif row is not None and len(load.output_transformer or (0, 0)) == 2:
        # The signal swings each rail in proportion, so the sheet's full-signal current goes with the rail.
        usual = max(row.anode_full_amps / 2 * count, anode * 1.05)
        volts = row.anode_volts
        why = f"the sheet's full-signal current at {row.anode_volts:g} V, in proportion to the rail"
        full = take(notes, _default(key, usual, why, _SHEET, 0.8, 1.2))
    else:
        why = "a class A stage draws what it draws at idle"
        full = take(notes, _default(key, anode, why, guesses.PRACTICE, 0.95, 1.1))
    if load.screens is None:
        return full, 0.0, volts
    if load.full_screen is not None:
        return full, load.full_screen, volts
    if row is not None and anode > _HOT * row.anode_idle_amps / 2 * count:
        # Set much hotter than the sheet's pair, it rises by less; what it rises to is the same.
        why = "the sheet's screen current at full signal"
        rise = _default(f"{key}_screen", row.screen_full_amps / 2 * count, why, _SHEET, 0.6, 1.5)
    elif row is not None:
        why = "the sheet's rise of screen current at full signal"
        rise = _default(
            f"{key}_screen", screen * row.screen_full_amps / row.screen_idle_amps, why, _SHEET, 0.6, 1.5
        )
    else:
        rise = guesses.SCREEN_RISE.assume(f"{key}_screen", "two and a half times idle", screen * 2.5)
    return full, take(notes, rise), volts


def _default(key: str, amps: float, why: str, source: str, low: float, high: float) -> Assumption:
    return Assumption(key, amps, "A", "default", why, source, low=low * amps, high=high * amps)
