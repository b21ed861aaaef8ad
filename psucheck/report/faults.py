"""The faults and the fuses' values, as ``--long`` and the JSON document tell them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from typing import Any

from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from psucheck.checks.fault_table import FaultLine
from psucheck.checks.fuse_values import FuseChoice
from psucheck.circuit.faults import Lead
from psucheck.figures.faults import Stage
from psucheck.report import own_limits, words
from psucheck.report.view import FAULTS, FUSE_VALUES, Report

Json = dict[str, Any]


def sections(report: Report) -> Iterator[tuple[str, RenderableType]]:
    """(heading, table) of the faults and of the values that each fuse may have."""
    if any(line.course.stages for line in report.faults):
        yield "When something fails", _faults(report)
    if report.fuse_values:
        yield "Values for the fuses", Group(_values(report), *own_limits.read_for(report, FUSE_VALUES))


def _faults(report: Report) -> Group:
    """Each fault by its name, a sentence for each mains level: what opens, when, and the winding by then."""
    subjects = dict.fromkeys(line.course.subject for line in report.faults if line.course.stages)
    lines: list[RenderableType] = []
    for subject in subjects:
        lines.append(Text(words.plain(subject)))
        lines += [
            Padding(Text(_course(line)), (0, 0, 0, 2))
            for line in report.faults
            if line.course.subject == subject
        ]
    return Group(*lines, *own_limits.read_for(report, FAULTS))


def _course(line: FaultLine) -> str:
    course = line.course
    one = ", one valve" if course.kind == "lost bias of one valve" else ""
    opened = [_opens(stage) for stage in course.stages if stage.opens is not None]
    last = course.stages[-1]
    if last.opens is None and not course.cleared:
        some = bool(last.currents.fuses)
        opened.append(f"no fuse need open ({_at(last)} in the busiest)" if some else "no fuse is described")
    winding = f"; {words.plain(line.winding)} {words.amount(line.amps, 'A')}" if line.winding else ""
    return f"{course.level} mains{one}: {', then '.join(opened)}{winding}{_by_then(line)}"


def _opens(stage: Stage) -> str:
    latest = "" if stage.at_latest is None else f" within {words.duration(stage.at_latest)}"
    return f"{words.plain(_lead(stage))} opens{latest} ({_at(stage)})"


def _at(stage: Stage) -> str:
    fuses = stage.currents.fuses
    return words.amount(fuses[stage.opens] if stage.opens else max(fuses.values(), default=None), "A")


def _lead(stage: Stage) -> str:
    return "" if stage.opens is None else lead_name(stage.opens, stage)


def lead_name(lead: Lead, stage: Stage) -> str:
    """A fuse's place; where a place has several leads, with the number of the lead."""
    several = sum(each.place == lead.place for each in stage.currents.fuses) > 1
    return f"{lead.place}, lead {lead.number + 1}" if several else lead.place


def _by_then(line: FaultLine) -> str:
    if line.celsius is not None:
        return f", {line.celsius:.0f} degC by then"
    if line.copper_seconds is None:
        return ""
    return f", at 200 degC after {words.duration(float(f'{line.copper_seconds:.2g}'))}"


def _values(report: Report) -> Group:
    """The table, and beneath it what is marked on the values that are sure."""
    notes: list[RenderableType] = []
    if any(choice.intermediate for choice in report.fuse_values):
        notes.append(Text("In brackets: between the preferred values (R20), seldom stocked."))
    notes += [
        Text(words.plain(f"{choice.place}, marked: {'; '.join(choice.markings)}."))
        for choice in report.fuse_values
        if choice.markings
    ]
    return Group(_table(report), *notes)


def _table(report: Report) -> Table:
    table = words.ruled("Fuse", "fitted", "sure to do", "may do", "")
    for column in table.columns[2:]:
        column.justify = "left"
    for choice in report.fuse_values:
        only = [amps for amps in choice.on_line if amps not in choice.values]
        words.row(
            table, choice.place, words.amount(choice.fitted, "A"),
            _listed(choice, choice.values), _listed(choice, tuple(only)), _said(choice),
        )  # fmt: skip
    return table


def _listed(choice: FuseChoice, values: tuple[float, ...]) -> str:
    """Values in order, those between the preferred ones in brackets."""
    shown = ((amps, words.amount(amps, "A")) for amps in values)
    return ", ".join(f"({text})" if amps in choice.intermediate else text for amps, text in shown) or "none"


def _said(choice: FuseChoice) -> str:
    said = [choice.why] if choice.why else []
    if choice.beyond and choice.duty:
        said.append(f"none opens in time in: {'; '.join(choice.beyond)}")
    return "; ".join(said)


def as_json(report: Report) -> Json:
    """The keys that the document has for faults; none where they were not run."""
    if not report.faults:
        return {}
    return {
        "faults": [_line(line) for line in report.faults],
        "fuse_values": [asdict(choice) for choice in report.fuse_values],
    }


def _line(line: FaultLine) -> Json:
    course = line.course
    return {
        "fault": course.kind,
        "at": course.at,
        "level": course.level,
        "mains": course.mains,
        "simulated": bool(course.stages),
        "cleared": course.cleared,
        "seconds": line.seconds,
        "winding": line.winding,
        "winding_current": line.amps,
        "copper_seconds": line.copper_seconds,
        "celsius": line.celsius,
        "stages": [_stage(stage) for stage in course.stages],
    }


def _stage(stage: Stage) -> Json:
    currents = stage.currents
    plate = currents.red_plate
    return {
        "opens": _lead(stage) or None,
        "at_latest": stage.at_latest,
        "on_line": stage.on_line,
        "fuses": {
            lead_name(lead, stage): {"rms_current": amps, "peak_current": currents.fuse_peaks[lead]}
            for lead, amps in currents.fuses.items()
        },
        "windings": currents.windings,
        "mains_supply": {"rms_current": currents.primary, "peak_current": currents.primary_peak},
        "valve": None if plate is None else asdict(plate),
    }
