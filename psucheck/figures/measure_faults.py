"""From a fault's run to its currents."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from psucheck.circuit.faults import Fault, Lead
from psucheck.circuit.network import Mains, ValveLayout
from psucheck.conditions.faults import FaultRun
from psucheck.figures.conservation import check_transient
from psucheck.figures.faults import FaultCurrents, RedPlate
from psucheck.figures.trace import Trace


def measure_fault(run: FaultRun, fuses: Mapping[str, object]) -> FaultCurrents:
    """The currents of a fault in its run's last cycle; ``fuses`` names the places that hold one.

    Raises
    ------
    SimulationError
        If the run does not conserve energy.
    """
    network, fault = run.faulted.network, run.faulted.fault
    trace = Trace(network, run.run.waveforms, run.run.deck.currents)
    check_transient(network, trace, f"{fault.kind}: {fault.at}")
    return _currents(trace, _last(run, trace), run, fuses)


def measure_before(run: FaultRun, fuses: Mapping[str, object]) -> FaultCurrents:
    """The currents of the idle state that a fault's run starts from."""
    assert run.idle.run is not None
    trace = Trace(run.idle.network, run.idle.run.waveforms, run.idle.run.deck.currents)
    return _currents(trace, trace, run, fuses, before=True)


def _last(run: FaultRun, trace: Trace) -> Trace:
    end = float(trace.time[-1])
    window = run.run.waveforms.window(end - 1.0 / run.faulted.network.hertz, end)
    return Trace(run.faulted.network, window, run.run.deck.currents)


def _currents(
    trace: Trace, last: Trace, run: FaultRun, fuses: Mapping[str, object], *, before: bool = False
) -> FaultCurrents:
    layout = run.faulted.network.layout
    leads = {
        Lead(place, number): element
        for place, held in layout.places.items()
        if place in fuses
        for number, element in enumerate(held.elements)
    }
    wall = next(each.name for each in run.faulted.network.elements if isinstance(each, Mains))
    valves = None if before else run.faulted.valves
    return FaultCurrents(
        fuses={lead: last.rms(last.amps(element)) for lead, element in leads.items()},
        fuse_peaks={lead: float(np.abs(trace.amps(element)).max()) for lead, element in leads.items()},
        windings={
            name: tuple(last.rms(last.amps(section)) for section in sections)
            for name, sections in layout.windings.items()
        },
        primary=last.rms(last.amps(wall)),
        primary_peak=float(np.abs(trace.amps(wall)).max()),
        red_plate=None if valves is None else _red_plate(last, run.faulted.fault, valves, layout.valves),
    )


def _red_plate(last: Trace, fault: Fault, valves: ValveLayout, sound: Mapping[str, ValveLayout]) -> RedPlate:
    """What each of ``valves``, which lost their bias, passes and burns; ``sound`` are all of each load."""
    rail, cathode = last.waveforms.node(valves.anode_node), last.waveforms.node(valves.cathode_node)
    amps = sum((last.amps(law) for law in valves.anode_laws), np.zeros_like(rail)) / valves.count
    # As many of all the load's valves go through each winding of the output transformer.
    every = sound[fault.at]
    sharing = every.count / every.halves
    through = sharing * amps
    if valves.count < every.count:
        others = sum((last.amps(law) for law in every.anode_laws), np.zeros_like(rail))
        through = amps + others * (sharing - 1) / (every.count - valves.count)
    volts = np.maximum(rail - cathode - valves.anode_path_ohms * valves.halves * through, 0.0)
    return RedPlate(
        load=fault.at,
        type=valves.type,
        valves=valves.count,
        amps=last.mean(amps),
        volts=last.mean(volts),
        watts=last.mean(volts * amps),
    )
