"""From one outcome of the engine to its figures."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from psucheck.circuit.network import (
    Capacitor,
    Core,
    Mains,
    PlaceLayout,
    RectifierLayout,
    StringLayout,
    ValveLayout,
)
from psucheck.conditions.run import Outcome
from psucheck.engine.decay import Decay
from psucheck.engine.waveforms import Samples
from psucheck.figures import model as m
from psucheck.figures.conservation import check_steady, check_transient
from psucheck.figures.numbers import differences
from psucheck.figures.sag import sags
from psucheck.figures.trace import Trace, i2t, spectrum, window_rms

_DECAY_LIMIT = 1e6
"""Seconds within which a decay is looked for."""


def measure(outcome: Outcome) -> m.Figures:
    """The figures of ``outcome``.

    Raises
    ------
    SimulationError
        If the run breaks a conservation law.
    """
    if outcome.decay is not None:
        return _decayed(outcome, outcome.decay)
    assert outcome.run is not None
    run = outcome.run
    trace = Trace(outcome.network, run.waveforms, run.deck.currents)
    condition = outcome.condition
    if condition.transient:
        check_transient(outcome.network, trace, condition.name)
        return _figures(outcome, trace)
    check_steady(outcome.network, trace, condition.name)
    figures = _figures(outcome, trace)
    assert run.coarse is not None
    coarse = _figures(outcome, Trace(outcome.network, run.coarse, run.deck.currents))
    return replace(figures, uncertainty=differences(figures, coarse))


def measure_coarse(outcome: Outcome) -> m.Figures:
    """The figures of an outcome without their uncertainty; of a steady one its final run may be left out.

    Raises
    ------
    SimulationError
        If the run breaks a conservation law.
    """
    if outcome.run is None or outcome.condition.transient:
        return measure(outcome)
    trace = Trace(outcome.network, outcome.run.waveforms, outcome.run.deck.currents)
    check_steady(outcome.network, trace, outcome.condition.name)
    return _figures(outcome, trace)


def _figures(outcome: Outcome, trace: Trace) -> m.Figures:
    layout, condition = outcome.network.layout, outcome.condition
    hertz = outcome.network.hertz
    last = _last_cycle(outcome, trace, hertz)
    return m.Figures(
        name=condition.name,
        state=condition.state,
        level=condition.level,
        mains=condition.volts,
        kind="transient" if condition.transient else "steady",
        nodes={name: _node(trace, last, node) for name, node in layout.nodes.items()},
        capacitors={
            name: _capacitor(trace, last, string, hertz) for name, string in layout.capacitors.items()
        },
        resistors={
            name: _resistor(trace, last, resistor.elements, resistor.parts)
            for name, resistor in layout.resistors.items()
        },
        chokes={name: _choke(trace, last, *elements) for name, elements in layout.chokes.items()},
        windings={
            name: replace(
                _winding(trace, last, sections, layout.winding_ends[name]),
                elevation=_elevation(outcome, last, name),
                heater_volts=_heater_volts(last, layout.heater_ends.get(name)),
            )
            for name, sections in layout.windings.items()
        },
        rectifiers={name: _rectifier(trace, last, r) for name, r in layout.rectifiers.items()},
        valves={name: _valves(last, valves) for name, valves in layout.valves.items()},
        places={
            name: replace(
                _place(trace, last, place, condition.transient, hertz),
                open_volts=_open_volts(trace, place) if condition.standby_open else None,
            )
            for name, place in layout.places.items()
        },
        mains_supply=_mains(outcome, trace, last),
        core=_core(outcome, trace, last),
        discharge=_discharge(outcome, trace) if condition.state == "switch-off" else {},
        sag=sags(outcome.network, trace) if condition.burst is not None else {},
        remarks=_remarks(outcome),
        seconds=condition.seconds,
        emission=dict(layout.emission),
    )


def _last_cycle(outcome: Outcome, trace: Trace, hertz: float) -> Trace:
    """The run's last mains cycle; a steady run is one as it stands."""
    if not outcome.condition.transient:
        return trace
    assert outcome.run is not None
    end = trace.time[-1]
    window = outcome.run.waveforms.window(end - 1.0 / hertz, end)
    return Trace(outcome.network, window, outcome.run.deck.currents)


def _remarks(outcome: Outcome) -> tuple[str, ...]:
    """What a reader of the figures has to know: what was taken as given, what is not in them."""
    remarks: list[str] = []
    if outcome.condition.state == "switch-on":
        remarks = ["all cathodes taken as hot"]
    elif outcome.condition.state == "switch-on, valves cold":
        remarks = ["rectifier conducting, valves and their heaters cold"]
    if remarks and outcome.network.layout.core is None:
        remarks.append("core inrush not simulated")
    if outcome.bias_reset:
        remarks.append("bias reset")
    return tuple(remarks)


def _node(trace: Trace, last: Trace, node: str) -> m.NodeFigures:
    cycle, whole = last.waveforms.node(node), trace.waveforms.node(node)
    dc = last.mean(cycle)
    return m.NodeFigures(
        dc=dc,
        ripple_pp=float(np.ptp(cycle)),
        ripple_rms=last.rms(cycle - dc),
        min=float(whole.min()),
        max=float(whole.max()),
    )


def _capacitor(trace: Trace, last: Trace, layout: StringLayout, hertz: float) -> m.CapacitorFigures:
    units, plus, minus = layout.units, layout.plus, layout.minus
    amps = last.amps(units[0])
    whole = trace.amps(units[0])
    energy = 0.0
    for unit in units:
        element = trace.element(unit)
        assert isinstance(element, Capacitor)
        energy += 0.5 * element.farads * float(np.abs(trace.volts(unit)).max()) ** 2
    # Parts of a string are told by their joints: the ESR's few volts count as the part's own.
    string = trace.waveforms.between(plus, minus)
    return m.CapacitorFigures(
        dc=last.mean(last.waveforms.between(plus, minus)),
        max_volts=float(np.abs(string).max()),
        unit_max_volts=tuple(float(np.abs(trace.volts(unit)).max()) for unit in units),
        ripple_current=last.rms(amps - last.mean(amps)),
        ripple_spectrum=spectrum(last.time, amps, hertz),
        peak_current=float(np.abs(whole).max()),
        energy=energy,
        reverse_volts=max(_reverse_volts(trace, unit, layout.sign) for unit in units),
    )


def _reverse_volts(trace: Trace, unit: str, sign: int | None) -> float:
    """The most volts over an electrolytic with its poles the wrong way round; 0 for a part without poles."""
    return 0.0 if sign is None else max(float((-sign * trace.volts(unit)).max()), 0.0)


def _resistor(trace: Trace, last: Trace, elements: tuple[str, ...], parts: int) -> m.ResistorFigures:
    """The busiest of equal resistors; ``parts`` of them in parallel share an element's current."""
    busiest = max(elements, key=last.power)
    return m.ResistorFigures(
        rms_current=last.rms(last.amps(busiest)) / parts,
        watts=last.power(busiest) / parts,
        max_volts=max(float(np.abs(trace.volts(element)).max()) for element in elements),
    )


def _choke(trace: Trace, last: Trace, choke: str, copper: str) -> m.ChokeFigures:
    amps, whole = last.amps(choke), trace.amps(choke)
    return m.ChokeFigures(
        dc=last.mean(amps),
        rms_current=last.rms(amps),
        min_current=float(amps.min()),
        peak_current=float(np.abs(whole).max()),
        dc_volts=last.mean(last.volts(copper)),
    )


def _winding(
    trace: Trace, last: Trace, sections: tuple[str, ...], ends: tuple[tuple[str, str], ...]
) -> m.WindingFigures:
    volts = [last.waveforms.between(*pair) for pair in ends]
    return m.WindingFigures(
        volts=last.rms(np.sum(volts, axis=0)),
        section_volts=tuple(last.rms(section) for section in volts),
        rms_current=tuple(last.rms(last.amps(section)) for section in sections),
        peak_current=tuple(float(np.abs(trace.amps(section)).max()) for section in sections),
    )


def _rectifier(trace: Trace, last: Trace, layout: RectifierLayout) -> m.RectifierFigures:
    arms = [last.amps(arm) for arm in layout.arms]
    return m.RectifierFigures(
        mean_current=sum(last.mean(last.amps(arm)) for arm in layout.outputs),
        arm_mean_current=max(last.mean(arm) for arm in arms),
        arm_rms_current=max(last.rms(arm) for arm in arms),
        peak_current=max(float(trace.amps(arm).max()) for arm in layout.arms),
        reverse_voltage=max(float(-trace.waveforms.between(*pair).min()) for pair in layout.ends),
        source_resistance=layout.source_ohms,
    )


def _valves(last: Trace, layout: ValveLayout) -> m.ValveFigures:
    rail = last.waveforms.node(layout.anode_node)
    cathode = last.waveforms.node(layout.cathode_node)
    anode_amps = sum((last.amps(law) for law in layout.anode_laws), np.zeros_like(rail))
    screen_amps = sum((last.amps(law) for law in layout.screen_laws), np.zeros_like(rail))
    screen = last.waveforms.node(layout.screen_node) if layout.screen_node else rail
    grid = np.full_like(rail, layout.fixed_grid_volts)
    if layout.grid_node is not None:
        grid = layout.grid_share * last.waveforms.node(layout.grid_node)
    anode = rail - layout.anode_path_ohms * anode_amps
    return m.ValveFigures(
        count=layout.count,
        type=layout.type,
        anode_volts=last.mean(anode - cathode),
        screen_volts=last.mean(screen - cathode),
        bias=last.mean(grid - cathode),
        anode_current=last.mean(anode_amps) / layout.count,
        screen_current=last.mean(screen_amps) / layout.count,
        anode_watts=last.mean((anode - cathode) * anode_amps) / layout.count,
        screen_watts=last.mean((screen - cathode) * screen_amps) / layout.count,
        anode_rail=last.mean(rail),
    )


def _place(trace: Trace, last: Trace, layout: PlaceLayout, transient: bool, hertz: float) -> m.PlaceFigures:
    busiest = max(layout.elements, key=lambda element: trace.rms(trace.amps(element)))
    amps = trace.amps(busiest)
    return m.PlaceFigures(
        rms_current=last.rms(last.amps(busiest)),
        peak_current=float(np.abs(amps).max()),
        volts=max(_place_volts(trace, last, pair, layout.dc) for pair in layout.volts_between),
        dc=layout.dc,
        i2t=i2t(trace.time, amps) if transient else None,
        window_rms=window_rms(trace.time, amps, hertz) if transient else (),
    )


def _place_volts(trace: Trace, last: Trace, pair: tuple[str, str], dc: bool) -> float:
    return (
        float(np.abs(trace.waveforms.between(*pair)).max()) if dc else last.rms(last.waveforms.between(*pair))
    )


def _elevation(outcome: Outcome, last: Trace, winding: str) -> float | None:
    """DC on which a heater winding stands, as it comes out of its divider or as given."""
    stands = outcome.network.layout.elevations.get(winding)
    return last.mean(last.waveforms.node(stands)) if isinstance(stands, str) else stands


def _heater_volts(last: Trace, ends: tuple[str, str] | None) -> float | None:
    """RMS volts between the two nodes of the heaters on a winding; None where none hang."""
    return None if ends is None else last.rms(last.waveforms.between(*ends))


def _open_volts(trace: Trace, layout: PlaceLayout) -> float | None:
    """Highest voltage over any contact at a place; None where no switch stands."""
    return max((float(np.abs(trace.volts(contact)).max()) for contact in layout.contacts), default=None)


def _core(outcome: Outcome, trace: Trace, last: Trace) -> m.CoreFigures | None:
    name = outcome.network.layout.core
    if name is None or not outcome.condition.mains_on:
        return None
    core = trace.element(name)
    assert isinstance(core, Core)
    loss = outcome.network.layout.core_loss
    return m.CoreFigures(
        flux=float(np.ptp(last.flux(name))) / 2 / core.rated_flux,
        offset=last.mean(last.flux(name)) / core.rated_flux,
        magnetising=last.rms(last.amps(name)),
        watts=last.power(loss) if loss is not None else 0.0,
    )


def _mains(outcome: Outcome, trace: Trace, last: Trace) -> m.MainsFigures | None:
    if not outcome.condition.mains_on:
        return None
    wall = next(e.name for e in outcome.network.elements if isinstance(e, Mains))
    amps, volts = -last.amps(wall), last.volts(wall)
    rms_amps, rms_volts = last.rms(amps), last.rms(volts)
    return m.MainsFigures(
        volts=rms_volts,
        rms_current=rms_amps,
        watts=last.mean(volts * amps),
        volt_amperes=rms_amps * rms_volts,
        peak_current=float(np.abs(trace.amps(wall)).max()),
    )


def _discharge(outcome: Outcome, trace: Trace) -> dict[str, m.Discharge]:
    layout = outcome.network.layout
    found = {}
    for name, node in layout.nodes.items():
        volts = np.abs(trace.waveforms.node(node))
        found[name] = m.Discharge(float(volts[0]), _first_below(trace.time, volts), layout.bled[name])
    return found


def _first_below(time: Samples, volts: Samples) -> float | None:
    below = volts <= m.SAFE_VOLTS
    # It must stay below: a node may dip while others feed it again.
    if not below[-1]:
        return None
    above = np.flatnonzero(~below)
    return float(time[above[-1] + 1]) if above.size else 0.0


def _decayed(outcome: Outcome, decay: Decay) -> m.Figures:
    """Figures of a linear decay: times to 60 V, and the state it starts from."""
    layout, condition = outcome.network.layout, outcome.condition
    discharge, nodes = {}, {}
    for name, node in layout.nodes.items():
        start = float(decay.volts(node, np.zeros(1))[0])
        seconds = decay.seconds_to(node, m.SAFE_VOLTS, _DECAY_LIMIT)
        discharge[name] = m.Discharge(abs(start), seconds, layout.bled[name])
        nodes[name] = m.NodeFigures(start, 0.0, 0.0, min(start, 0.0), max(start, 0.0))
    return m.Figures(
        name=condition.name, state=condition.state, level=condition.level, mains=condition.volts,
        kind="transient", nodes=nodes, capacitors={}, resistors={}, chokes={}, windings={}, rectifiers={},
        valves={}, places={}, mains_supply=None, discharge=discharge,
    )  # fmt: skip
