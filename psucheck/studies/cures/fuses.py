"""Other fuses. One is put forward only where it rides through switch-on and opens in the faults it is for.

:func:`safe` looks at what a run with the fuse in says of that; what is put forward here is worth the run.
"""

from __future__ import annotations

from collections.abc import Iterator

from psucheck.checks import fault_clearing
from psucheck.checks.finding import Finding
from psucheck.checks.fuse_values import FuseChoice
from psucheck.checks.judging import SEVERITY
from psucheck.parts import library
from psucheck.parts.preferred import at_least
from psucheck.report.view import Report
from psucheck.studies.cures.ways import Candidate, Trouble
from psucheck.supply import writing
from psucheck.supply.model import Fuse

_LEADS = 2
_SAME = 0.005
"""Times that differ by less, as a share, are the same."""
_RUNNING = 1.5
"""Rated over running RMS of a fuse that is added; the run then says whether it serves."""


def safe(before: Report, after: Report, place: str) -> str:
    """Why the fuse at ``place`` must not be offered, by a check with it in; empty if it may.

    It has to be one of the values that ride through switch-on and open in every fault of its duty, and no
    fault may be cleared later than before, or not any more.
    """
    now = after.supply.fuses.get(place)
    if now is None:
        return f"no fuse is left at {place}"
    choice = next((choice for choice in after.fuse_values if choice.place == place), None)
    if choice is None:
        return "what it does in a fault is not known"
    if now.current not in choice.values:
        return f"it does not both ride through switch-on and open in every fault: {choice.why or 'too large'}"
    for fault in after.findings:
        if fault.rule == fault_clearing.ID and _is_slower(fault, before):
            return f"it opens later in {fault.subject}, or not at all"
    return ""


def _is_slower(fault: Finding, before: Report) -> bool:
    old = next(
        (one for one in before.findings if (one.rule, one.subject) == (fault.rule, fault.subject)), None
    )
    if old is None or fault.verdict == "ok":
        return False
    if SEVERITY[fault.verdict] < SEVERITY[old.verdict]:
        return True
    if old.figure is None:
        return False
    return fault.figure is None or fault.figure > old.figure * (1 + _SAME)


def beyond(report: Report, place: str) -> str:
    """What a fuse that is offered still does not do, a clause; empty if there is nothing."""
    choice = next((choice for choice in report.fuse_values if choice.place == place), None)
    if choice is None or not choice.beyond:
        return ""
    return f"no value there that rides through switch-on opens in time in {' or '.join(choice.beyond)}"


def other_value(trouble: Trouble) -> Iterator[Candidate]:
    """The value nearest to the one that is in, of those that ride through and open in every fault."""
    place = trouble.finding.subject
    fuse, choice = trouble.supply.fuses.get(place), _choice(trouble, place)
    if fuse is None or choice is None:
        return
    grows = trouble.finding.rule in ("fuse-inrush", "fuse-running")
    values = [amps for amps in choice.values if (amps > fuse.current) is grows and amps != fuse.current]
    for amps in sorted(values, key=lambda amps: abs(amps - fuse.current)):
        yield Candidate({f"fuses.{place}": writing.fuse(_of(fuse, current=amps))})


def time_lag(trouble: Trouble) -> Iterator[Candidate]:
    """A time-lag fuse of the same rating in place of a fast one."""
    place = trouble.finding.subject
    fuse = trouble.supply.fuses.get(place)
    if fuse is not None and fuse.speed in ("F", "FF", "M"):
        yield Candidate({f"fuses.{place}": writing.fuse(_of(fuse, speed="T"))})


def smaller(trouble: Trouble) -> Iterator[Candidate]:
    """Smaller fuses that still ride through switch-on, of those that are there for the fault."""
    for place, fuse in trouble.supply.fuses.items():
        choice = _choice(trouble, place)
        if choice is None or trouble.finding.subject not in choice.duty:
            continue
        for amps in sorted((amps for amps in choice.values if amps < fuse.current), reverse=True):
            yield Candidate({f"fuses.{place}": writing.fuse(_of(fuse, current=amps))})


def one_more(trouble: Trouble) -> Iterator[Candidate]:
    """One more fuse, in the leads of the winding that heats fastest in the fault."""
    preferred = library().fuses.preferred_ratings.value.amps
    lines = [line for line in trouble.report.faults if line.course.subject == trouble.finding.subject]
    for name in dict.fromkeys(line.winding for line in lines):
        winding = trouble.supply.windings.get(name or "")
        if name is None or winding is None:
            continue
        rectified = any(rectifier.winding == name for rectifier in trouble.supply.rectifiers.values())
        place = f"each winding {name}" if rectified else f"winding {name}"
        amps = _running(trouble, name)
        if place in trouble.supply.fuses or amps <= 0:
            continue
        for rated in at_least(preferred, _RUNNING * amps)[:_LEADS]:
            volts = _rated(sum(winding.volts))
            fuse = Fuse(speed="T", breaking="H", current=rated, voltage=volts)
            yield Candidate({f"fuses.{place}": writing.fuse(fuse)})


def _running(trouble: Trouble, winding: str) -> float:
    """The most that any section of a winding carries in the steady states [A RMS]; 0 if not known."""
    return max(
        (
            max(figures.windings[winding].rms_current)
            for figures in trouble.report.figures.values()
            if figures.state in ("idle", "full output") and winding in figures.windings
        ),
        default=0.0,
    )


def for_direct_voltage(trouble: Trouble) -> Iterator[Candidate]:
    """A fuse of a series with a direct-voltage rating above the rail, of the same speed and current."""
    for place in trouble.finding.subject.split(", "):
        fuse = trouble.supply.fuses.get(place)
        if fuse is None or place == "mains" or fuse.standard != "IEC":
            continue
        for series in library().fuses.dc_series.values():
            rated = series.rated.value
            if rated.direct_volts < trouble.figure:
                continue
            made = _of(fuse, breaking="H", voltage=rated.alternating_volts, dc_voltage=rated.direct_volts)
            path = f"fuses.{place}"
            text = writing.fuse(made)
            yield Candidate({path: text}, f'change {path} to "{text}" (as {series.name})')


def _rated(volts: float) -> float:
    """Volts of a common fuse that stands a winding's [V]."""
    return next((rated for rated in (250.0, 500.0) if volts <= rated), 1000.0)


def _choice(trouble: Trouble, place: str) -> FuseChoice | None:
    return next((choice for choice in trouble.report.fuse_values if choice.place == place), None)


def _of(fuse: Fuse, **new: object) -> Fuse:
    """Another fuse of the kind; what the maker says of the old one does not hold for it."""
    gone = {"melting_i2t": None, "maker": None, "resistance": None}
    return fuse.model_copy(update={**gone, **new})
