"""What draws from the rails: small valves and other loads, and the output valves by their law."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from psucheck.circuit.condition import Readings
from psucheck.circuit.network import GROUND, ColdHeater, Factor, Law, ValveLayout, Window
from psucheck.circuit.wiring import Wiring
from psucheck.supply.fill_warm_up import VALVES
from psucheck.supply.filled import CurrentLoad, OutputLoad

_LEAST_DRIVE = 0.1
"""Least drive at the idle point, as a share of the screen's part of it. A valve that is biased colder than
its type's law allows is taken to sit there: its law is shifted, not its reading."""


def add_current(wiring: Wiring, name: str, load: CurrentLoad, readings: Readings) -> None:
    """A load that follows its rail from the point where it was read, or stays constant."""
    node = wiring.layout.nodes[load.node]
    if load.heats:
        _add_dc_heaters(wiring, name, node, load)
        return
    if load.ohms is not None:
        wiring.resistor(node, GROUND, load.ohms, f"load {name}")
        return
    if wiring.condition.drawing == "nothing":
        return
    volts = load.at_volts if load.at_volts is not None else readings.volts.get(load.node)
    factors: tuple[Factor, ...] = ()
    if wiring.condition.drawing != "as read" and not load.constant and volts is not None:
        factors = (Factor(((1.0, node),), 0.0, volts, 1.0),)
    amps = load.amps * wiring.emission(VALVES)
    wiring.add(Law, "b", node, GROUND, f"load {name}", amps=amps, factors=factors)


def _add_dc_heaters(wiring: Wiring, name: str, node: str, load: CurrentLoad) -> None:
    """Heaters on a DC node: gone with the valves, cold at a switch-on from cold."""
    assert load.ohms is not None  # heaters are resistances
    if VALVES not in wiring.condition.heaters:
        return
    if wiring.condition.heaters_cold:
        wiring.add(
            ColdHeater,
            "h",
            node,
            GROUND,
            f"heaters {name}, cold at first",
            hot_ohms=load.ohms,
            cold_share=wiring.filled.cold_heaters.share,
            time_constant=wiring.filled.cold_heaters.seconds,
        )
    else:
        wiring.resistor(node, GROUND, load.ohms, f"heaters {name}")


def add_output(wiring: Wiring, name: str, load: OutputLoad, readings: Readings) -> None:
    """The output valves of a load: anode and screen currents from their own nodes."""
    if wiring.condition.drawing == "nothing":
        return
    anode = wiring.layout.nodes[load.anodes]
    # What was read was read with all valves in; what is missing is pulled in all other runs.
    count = load.count if wiring.condition.drawing == "as read" else load.standing
    screen = _screen_node(wiring, name, load, count)
    cathode = GROUND
    if load.cathode_ohms:
        cathode = wiring.node()
        resistor = wiring.resistor(cathode, GROUND, load.cathode_ohms, f"{name} cathode resistor")
        wiring.note_resistor(f"{name} cathode resistor", resistor)
    grid = wiring.layout.nodes[load.bias_node] if load.bias_node else None
    share = readings.grid_shares.get(name, 0.0)
    full = (load.full_anode_amps, load.full_screen_amps), _full_factors(load, anode, readings)
    idle_factors: tuple[Factor, ...] = ()
    if wiring.condition.drawing == "idle":
        idle_factors = _idle_factors(name, load, anode, screen, cathode, grid, share, readings)
    idle = (load.anode_amps, load.screen_amps), idle_factors
    burst = wiring.condition.burst
    courses: list[tuple[tuple[tuple[float, float], tuple[Factor, ...]], Window | None]]
    if burst is not None:
        courses = [(idle, Window(*burst, inside=False)), (full, Window(*burst, inside=True))]
    else:
        courses = [(full if wiring.condition.drawing == "full output" else idle, None)]
    anode_laws, screen_laws = [], []
    for (of_all, factors), window in courses:
        amps = tuple(each * count / load.count * wiring.emission(VALVES) for each in of_all)
        says = f"{name} anodes, {count} x {load.type}"
        anode_laws.append(
            wiring.add(Law, "b", anode, cathode, says, amps=amps[0], factors=factors, window=window)
        )
        if screen is not None:
            screen_laws.append(
                wiring.add(
                    Law, "b", screen, cathode, f"{name} screens", amps=amps[1], factors=factors, window=window
                )
            )
    wiring.layout.valves[name] = ValveLayout(
        count=count,
        type=load.type,
        anode_laws=tuple(anode_laws),
        screen_laws=tuple(screen_laws),
        anode_node=anode,
        screen_node=screen,
        cathode_node=cathode,
        grid_node=grid,
        grid_share=share,
        fixed_grid_volts=load.grid_volts or 0.0 if load.bias == "fixed" else 0.0,
        anode_path_ohms=load.anode_path_ohms,
        halves=load.halves,
    )


def _screen_node(wiring: Wiring, name: str, load: OutputLoad, count: int) -> str | None:
    """The screens behind their resistors, all of a load joined into one."""
    if load.screens is None:
        return None
    node = wiring.layout.nodes[load.screens]
    if not load.screen_ohms:
        return node
    screen = wiring.node()
    ohms = load.screen_ohms * load.count / count
    resistor = wiring.resistor(node, screen, ohms, f"{name} screen resistors, all in parallel")
    wiring.note_resistor(f"{name} screen resistor", resistor, parts=count)
    return screen


def _full_factors(load: OutputLoad, anode: str, readings: Readings) -> tuple[Factor, ...]:
    """Full output scales with the anode rail."""
    volts = load.full_volts or readings.volts.get(load.anodes)
    return (Factor(((1.0, anode),), 0.0, volts, 1.0),) if volts else ()


@dataclass(frozen=True, slots=True)
class _IdlePoint:
    """The idle point of the law: the voltage that controls it, its part of the drive, and the drive [V]."""

    control_volts: float
    pull: float
    drive: float
    shift: float
    """What is added to the drive so that the type's law passes through a point that it would cut off."""


def _grid_volts(name: str, load: OutputLoad, readings: Readings) -> float:
    """Grid volts at the idle point: as read, or what the bias node had in the run of the readings."""
    return load.grid_volts if load.grid_volts is not None else readings.grid_volts.get(name, 0.0)


def _idle_point(name: str, load: OutputLoad, readings: Readings) -> _IdlePoint:
    load = load.told_on or load
    given = load.screen_volts if load.screens else load.anode_volts
    at = given if given is not None else readings.volts[load.screens or load.anodes]
    cathode_volts = load.cathode_ohms * (load.anode_amps + load.screen_amps)
    control = at - load.screen_ohms * load.screen_amps - cathode_volts
    if load.mu is None:
        return _IdlePoint(control, control, control, 0.0)
    pull = control / load.mu
    grid = -cathode_volts if load.bias == "cathode" else _grid_volts(name, load, readings)
    drive = max(pull + grid, _LEAST_DRIVE * pull)
    return _IdlePoint(control, pull, drive, drive - (pull + grid))


def grid_volts_for_idle(name: str, load: OutputLoad, readings: Readings, volts: Mapping[str, float]) -> float:
    """Grid volts at which the idle current flows again on rails that stand at ``volts`` (node -> V).

    From the law of :func:`_idle_factors` with the current at its idle value: Vg1 = E0 - Vg2/mu. Where the
    type's law is not known, the bias that was read.
    """
    if load.mu is None:
        return _grid_volts(name, load, readings)
    point = _idle_point(name, load, readings)
    control = volts[load.screens or load.anodes] - load.screen_ohms * load.screen_amps
    return point.drive - point.shift - control / load.mu


def _idle_factors(
    name: str,
    load: OutputLoad,
    anode: str,
    screen: str | None,
    cathode: str,
    grid: str | None,
    share: float,
    readings: Readings,
) -> tuple[Factor, ...]:
    """The three-halves law about the idle point.

    i = I0 ((Vg2k/mu + Vg1k)/E0)^1.5, E0 the same sum at the point where I0 was read (Child's law for the
    current of a screen-grid valve, the anode left out). Without screens the anode takes their part; without
    mu the current follows that voltage alone.
    """
    point = _idle_point(name, load, readings)
    control = screen if screen is not None else anode
    if load.mu is None:
        return (Factor(((1.0, control), (-1.0, cathode)), 0.0, point.drive, 1.5),)
    terms = [(1.0 / load.mu, control)]
    if cathode != GROUND:
        terms.append((-(1.0 + 1.0 / load.mu), cathode))
    offset = point.shift
    if load.bias == "fixed":
        offset += _grid_volts(name, load, readings)
    elif load.bias == "node" and grid is not None:
        terms.append((share, grid))
    return (Factor(tuple(terms), offset, point.drive, 1.5),)
