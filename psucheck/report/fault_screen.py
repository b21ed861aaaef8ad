"""The screen of a fault hunt: what is likeliest, which readings say so, what to do next, the cautions."""

from __future__ import annotations

from collections.abc import Iterator

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from psucheck.report import words
from psucheck.report.fault_view import PRIORS, CauseLine, FaultReport, GroupLine, ReadingLine, StepLine
from psucheck.report.words import plain

_GROUPS = 5
_LEAST = 0.01
"""Causes less likely than this are not listed, unless there is no other."""
_IN_GROUP = 6
_OPEN_OHMS = 1e6
"""Beyond this a reading in place is called open: only leakage is left."""


def fault_screen(report: FaultReport) -> RenderableType:
    """The screen of ``report``."""
    return Group(*_spaced(list(_blocks(report))))


def _spaced(blocks: list[RenderableType]) -> Iterator[RenderableType]:
    for number, block in enumerate(blocks):
        if number:
            yield Text()
        yield block


def _blocks(report: FaultReport) -> Iterator[RenderableType]:
    yield Group(Text(plain(report.title), style="bold"), _headline(report))
    if report.two is not None:
        yield Group(
            Text("By itself none explains all of it; the likeliest alone:", style="bold"), _causes(report)
        )
    else:
        yield _causes(report)
    if report.unexplained:
        yield Group(
            Text("Not explained by it; read again first:", style="bold"), _readings(report.unexplained)
        )
    if report.off:
        yield Group(Text("What lies farthest from a sound supply:", style="bold"), _readings(report.off))
    if report.steps:
        yield Group(Text("Next, whatever tells most for its time:", style="bold"), *map(_step, report.steps))
    yield Text(" ".join(_notes(report)))
    if report.cautions:
        said = " ".join(plain(caution) for caution in report.cautions)
        yield Text.assemble(("Cautions.", "bold"), f" {said}")


def _headline(report: FaultReport) -> RenderableType:
    first = report.groups[0]
    if report.two is not None:
        return Text(
            f"TWO FAULTS: {' and '.join(_with_size(cause) for cause in report.two)}",
            style=words.STYLES["over"],
        )
    if not first.causes:
        return Text(
            f"Nothing wrong shows in these readings ({words.share(first.share)})", style=words.STYLES["ok"]
        )
    said = f"LIKELIEST ({words.share(first.share)}): {plain(_with_size(first.causes[0]))}"
    if len(first.causes) > 1:
        more = len(first.causes) - 1
        said += f", or {words.number(more)} more that {'reads' if more == 1 else 'read'} alike"
    return Text(said, style=words.STYLES["over"])


def _with_size(cause: CauseLine) -> str:
    return f"{cause.says} ({cause.size})" if cause.size else cause.says


def _causes(report: FaultReport) -> Table:
    table = Table.grid(padding=(0, 2, 0, 0))
    table.add_column(justify="right", no_wrap=True)
    table.add_column()
    shown = [group for group in report.groups if group.share >= _LEAST] or [report.groups[0]]
    for group in shown[:_GROUPS]:
        words.row(table, words.share(group.share), _group(group))
    return table


def _group(group: GroupLine) -> Text:
    if not group.causes:
        return Text("nothing wrong")
    text = Text(plain(_with_size(group.causes[0])))
    others = group.causes[1:]
    for cause in others[: _IN_GROUP - 1]:
        text.append(f"\nor {plain(_with_size(cause))}")
    if len(others) >= _IN_GROUP:
        text.append(f"\nor {words.number(len(others) - _IN_GROUP + 1)} more (see --json)")
    if others:
        text.append("\nThese readings do not tell them apart.", style="dim")
    return text


def _readings(lines: tuple[ReadingLine, ...]) -> Table:
    table = words.ruled("step", "reading", "read", "sound", "then", left=2)
    for line in lines:
        cells = [_amount(value, line) for value in (line.value, line.sound, line.explained)]
        words.row(table, line.step, line.point, *cells)
    return table


def _amount(value: float, line: ReadingLine) -> str:
    if line.point.endswith(" hum"):
        return "mains" if value > 0.5 else "twice"
    if line.unit == "ohm" and value > _OPEN_OHMS:
        return "open"
    return words.amount(value, line.unit)


def _step(step: StepLine) -> RenderableType:
    grid = Table.grid(padding=(0, 1, 0, 0))
    grid.add_column(width=1)
    grid.add_column()
    said = Text(plain(f"{step.says[0].upper()}{step.says[1:]} ({step.minutes:g} min)."), style="bold")
    if step.why:
        said.append(f" {step.why[0].upper()}{step.why[1:]}.", style="not bold")
    if step.expect:
        expected = "; ".join(f"{name}: {shown}" for name, shown in step.expect)
        said.append(f" {plain(expected[0].upper() + expected[1:])}.", style="not bold")
    said.append(f" {step.safety[0].upper()}{step.safety[1:]}.", style="not bold")
    words.row(grid, "-", said)
    return grid


def _notes(report: FaultReport) -> Iterator[str]:
    yield f"{words.plural(report.readings, 'reading')} against {report.considered} causes. {PRIORS}"
    if report.silent:
        yield f"{report.silent} of them would not show in these readings, whatever their size."
    for left in report.left_out:
        yield f"Not used: {plain(left)}."
