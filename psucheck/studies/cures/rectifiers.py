"""Other rectifiers, resistors in their anode leads, and inrush limiters."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice

from psucheck.parts import UnknownPart, library
from psucheck.parts.preferred import upwards
from psucheck.parts.rectifiers import Diode, RectifierValve
from psucheck.parts.series import mantissas
from psucheck.studies.cures.sizes import for_current
from psucheck.studies.cures.ways import Candidate, Trouble
from psucheck.supply import writing
from psucheck.supply.model import Rectifier

_OCTAL_VOLTS = 5.0
"""Rectifier valves of 5 V share base and connections, in the main; of other volts they do not [V]."""


def _rectifier(trouble: Trouble) -> tuple[str, Rectifier] | None:
    name = trouble.finding.subject.removeprefix("rectifiers.")
    found = trouble.supply.rectifiers.get(name)
    return None if found is None else (name, found)


def _held(rectifier: Rectifier) -> RectifierValve | Diode | None:
    try:
        return library().rectifier(rectifier.device.type or "")
    except UnknownPart:
        return None


def anode_resistors(trouble: Trouble) -> Iterator[Candidate]:
    """A resistor in each anode lead, or a larger one, in watts that its anode's current asks for."""
    found = _rectifier(trouble)
    if found is None or not isinstance(_held(found[1]), RectifierValve):
        return
    name, rectifier = found
    fitted = rectifier.anode_resistors.value if rectifier.anode_resistors else 0.0
    series = mantissas(12)
    if trouble.finding.unit == "ohm":
        missing = (trouble.limit - trouble.figure) / max(rectifier.device.in_parallel, 1)
        values = list(islice(upwards(series, max(fitted + missing, 1.0)), 2))
    else:
        values = list(islice(upwards(series, max(1.2 * fitted, 22.0)), 0, 9, 3))
    amps = max(
        (
            figures.rectifiers[name].arm_rms_current
            for figures in trouble.report.figures.values()
            if figures.state in ("idle", "full output") and name in figures.rectifiers
        ),
        default=0.0,
    )
    for ohms in values:
        part = for_current(ohms, amps)
        if part is not None:
            yield Candidate({f"rectifiers.{name}.anode_resistors": writing.resistor(part)})


def other_valve(trouble: Trouble) -> Iterator[Candidate]:
    """Another rectifier valve with a 5 V heater, the least different heater first."""
    found = _rectifier(trouble)
    held = _held(found[1]) if found is not None else None
    if found is None or not isinstance(held, RectifierValve) or held.heater.value.volts != _OCTAL_VOLTS:
        return
    name, rectifier = found
    if rectifier.device.in_parallel > 1 or rectifier.device.backup is not None:
        return
    others = [
        valve
        for valve in library().rectifier_valves
        if valve.name != held.name and valve.heater.value.volts == _OCTAL_VOLTS and _is_better(trouble, valve)
    ]
    for valve in sorted(others, key=lambda valve: abs(valve.heater.value.amps - held.heater.value.amps)):
        path = f"rectifiers.{name}.device"
        yield Candidate(
            {path: valve.name}, f'change {path} to "{valve.name}" (check its base and connections)'
        )


def _is_better(trouble: Trouble, valve: RectifierValve) -> bool:
    """Whether the rating that the finding is about is enough in another type, as far as that can be told."""
    if trouble.finding.unit == "F":
        return valve.first_capacitor is not None and valve.first_capacitor.value >= trouble.figure
    if trouble.finding.rule == "rectifier-peak-current":
        return valve.peak_current.value >= trouble.figure
    if trouble.finding.rule == "rectifier-mean-current":
        return valve.mean_current.value >= trouble.figure
    if trouble.finding.rule == "rectifier-reverse-voltage":
        return valve.reverse_voltage.value >= trouble.figure
    return True


def other_diode(trouble: Trouble) -> Iterator[Candidate]:
    """A diode of higher ratings, the nearest first."""
    found = _rectifier(trouble)
    held = _held(found[1]) if found is not None else None
    if found is None or not isinstance(held, Diode):
        return
    name, rectifier = found
    arm = rectifier.device.in_series
    better = [
        diode
        for diode in library().diodes
        if diode.reverse_voltage.value >= held.reverse_voltage.value
        and diode.mean_current.value >= held.mean_current.value
        and diode.surge.value.amps >= held.surge.value.amps
        and diode.name != held.name
        and _diode_enough(trouble, diode, arm)
    ]
    ranked = sorted(better, key=lambda d: (d.mean_current.value, d.reverse_voltage.value, d.name))
    for diode in ranked:
        count = f"{arm} x {diode.name} in series" if arm > 1 else diode.name
        yield Candidate({f"rectifiers.{name}.device": count})


def _diode_enough(trouble: Trouble, diode: Diode, in_series: int) -> bool:
    if trouble.finding.rule == "rectifier-reverse-voltage":
        return diode.reverse_voltage.value * in_series >= trouble.figure
    if trouble.finding.rule == "rectifier-mean-current":
        return diode.mean_current.value >= trouble.figure / 2
    return diode.surge.value.amps >= trouble.figure


def diodes_in_series(trouble: Trouble) -> Iterator[Candidate]:
    """More diodes of the type in series in each arm."""
    found = _rectifier(trouble)
    held = _held(found[1]) if found is not None else None
    if found is None or not isinstance(held, Diode) or found[1].device.in_parallel > 1:
        return
    name, rectifier = found
    for count in range(rectifier.device.in_series + 1, min(rectifier.device.in_series + 4, 11)):
        if held.reverse_voltage.value * count >= trouble.figure:
            yield Candidate({f"rectifiers.{name}.device": f"{count} x {held.name} in series"})


def limiter(trouble: Trouble) -> Iterator[Candidate]:
    """An inrush limiter in the mains lead, those held in the library by their current."""
    if "mains" in trouble.supply.limiters:
        return
    for ntc in sorted(library().ntcs, key=lambda ntc: ntc.rated_current.value):
        yield Candidate({"limiters.mains": ntc.name})


def other_limiter(trouble: Trouble) -> Iterator[Candidate]:
    """Another inrush limiter at the same place."""
    fitted = trouble.supply.limiters.get(trouble.finding.subject)
    if fitted is None:
        return
    for ntc in sorted(library().ntcs, key=lambda ntc: ntc.rated_current.value):
        if ntc.name != fitted.type:
            yield Candidate({f"limiters.{trouble.finding.subject}": ntc.name})
