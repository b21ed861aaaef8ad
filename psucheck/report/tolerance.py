"""What a user sees of a study of sets of parts: the screen, the JSON document, the table as CSV."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict
from itertools import groupby

from rich.console import Group, RenderableType
from rich.text import Text

from psucheck.circuit.condition import State
from psucheck.report import words
from psucheck.report.document import SCHEMA, Json, cleaned, finding_document
from psucheck.report.tolerance_view import Driver, Held, Spreading, ToleranceReport
from psucheck.supply.tolerances import words_of

_SHOWN = {
    "nodes": ("dc", "ripple_pp"),
    "rectifiers": ("peak_current",),
    "windings": ("volts", "rms_current"),
    "capacitors": ("ripple_current",),
    "valves": ("anode_current", "anode_watts"),
    "mains_supply": ("rms_current",),
}
"""What the screen shows of a loaded supply; with nothing drawing only DC says something."""
_UNLOADED: tuple[State, ...] = ("valves out", "cold")
_SCREEN_DRIVERS = 2
_BESIDE = 0.6
"""A second driver is named if its correlation is at least this share of the first one's."""
_SMALL = 0.05
_LOW_VOLTS = 30.0
"""Below this a winding is for heaters [V RMS]."""
_SURE_COUNT = 3.0
"""None in n sets: fewer than 3/n of all, 95 % sure ("rule of three", from exp(-3) = 0.05)."""


# --- the screen -------------------------------------------------------------------------------------------


def tolerance_screen(report: ToleranceReport, *, long: bool = False) -> RenderableType:
    """The study for people; ``long`` adds the other figures, and where each tolerance comes from."""
    blocks = list(_blocks(report, long=long))
    spaced: list[RenderableType] = []
    for block in blocks:
        spaced += [Text(), block]
    return Group(*spaced[1:])


def _blocks(report: ToleranceReport, *, long: bool) -> Iterator[RenderableType]:
    yield Group(Text(words.plain(report.title), style="bold"), *(Text(said) for said in _head(report)))
    yield Group(*_limits(report))
    for state, figures in groupby(report.figures, key=lambda one: one.state):
        every = list(figures)
        shown = every if long else [one for one in every if _is_shown(one, every)]
        yield _figures(f"{state[0].upper()}{state[1:]}", shown)
    if long:
        yield _tolerances(report)
    if report.cautions:
        yield Group(words.heading("Caution"), *(words.indented(said) for said in report.cautions))


def _head(report: ToleranceReport) -> Iterator[str]:
    mains = "mains drawn over their range" if report.level is None else f"all at {report.level} mains"
    off = words.plural(len(report.tolerances), "value")
    yield (
        f"{report.done} sets of parts, seed {report.seed}, {off} off; {mains}. Then {report.corners} corners."
    )
    if report.stopped is not None:
        why = "" if report.stopped == "stopped" else f": {report.stopped}"
        yield f"Stopped after {report.done} of {report.asked} sets{why}."
    if report.failed:
        yield (
            f"{words.plural(report.failed, 'set')} could not be solved and {_is_are(report.failed)} in no "
            f"figure here: {words.plain(report.why_failed or '')}."
        )
    if not report.done:
        return
    if report.over:
        yield f"Something is over in {_share(report.over, report.done)} of the sets."
    elif report.anything_over:
        yield "Nothing is over in any set; with every part at its worst end something is."
    else:
        yield "Nothing is over in any set, nor with every part at its worst end."
    if report.over < report.done and report.over == 0:
        most = words.share(min(_SURE_COUNT / report.done, 1.0))
        yield f"None of {report.done}: fewer than {most} of all such supplies, 95 % sure."


def _is_are(count: int) -> str:
    return "is" if count == 1 else "are"


def _share(count: int, of: int) -> str:
    return words.share(count / of) if of else words.NONE


def _limits(report: ToleranceReport) -> Iterator[RenderableType]:
    broken = [one for one in report.limits if one.over or one.broken_at_worst]
    if broken:
        table = words.ruled("Over", "sets", "at worst", "limit", "driven by", left=1)
        table.columns[-1].justify = "left"
        for one in sorted(broken, key=lambda held: -held.over):
            name = words.place(one.nominal) + (", accepted" if one.accepted is not None else "")
            share = _share(one.over, report.done) if one.over else "none"
            words.row(table, name, share, *_worst(one), _driven(one.drivers))
        yield table
    held = len(report.limits) - len(broken)
    if held:
        yield Text(f"{words.plural(held, 'limit')} held in every set and at every corner.")


def _worst(one: Held) -> tuple[str, str]:
    finding = one.worst or one.nominal
    return words.amount(finding.figure, finding.unit), words.amount(finding.limit, finding.unit)


def _is_shown(one: Spreading, among: Sequence[Spreading]) -> bool:
    """Whether the screen shows a figure: of a state's parts those that are not small beside the largest."""
    group, key = _kind(one)
    if one.state in _UNLOADED:
        return (group, key) == ("nodes", "dc")
    if (group, key) == ("windings", "volts"):
        # The rails tell what the other windings do.
        return abs(one.nominal) < _LOW_VOLTS
    if key not in _SHOWN.get(group, ()):
        return False
    largest = max(abs(other.highest) for other in among if _kind(other) == (group, key))
    return key == "dc" or abs(one.highest) > _SMALL * largest


def _kind(one: Spreading) -> tuple[str, str]:
    return one.path.split(".", 1)[0], one.path.rsplit(".", 1)[1]


def _figures(heading: str, figures: Iterable[Spreading]) -> RenderableType:
    table = words.ruled(heading, "nominal", "5 to 95 %", "at the corners", "driven by")
    for column in table.columns[1:-1]:
        column.no_wrap = True
    table.columns[-1].justify = "left"
    for one in figures:
        group, part, quantity = one.named
        name = f"{part} {quantity.words}" if group != "windings" else f"{part} winding {quantity.words}"
        unit = quantity.unit
        nominal = words.amount(_or_none(one.nominal), unit)
        ranges = (_range(one.p5, one.p95, unit), _range(one.lowest, one.highest, unit))
        words.row(table, name, nominal, *ranges, _driven(one.drivers))
    return table


def _range(low: float, high: float, unit: str) -> str:
    """``353 to 398 V``; a range of negative numbers from the one nearer to nothing."""
    if not (math.isfinite(low) and math.isfinite(high)):
        return words.NONE
    first, last = (words.amount(end, unit) for end in sorted((low, high), key=abs))
    number, _, small = first.partition(" ")
    return f"{number if last.endswith(f' {small}') else first} to {last}"


def _or_none(number: float) -> float | None:
    return number if math.isfinite(number) else None


def _driven(drivers: Sequence[Driver]) -> str:
    """``mains volts +0.93, ...``: the first, and the second if it is not far behind."""
    told = [
        one
        for one in drivers[:_SCREEN_DRIVERS]
        if abs(one.correlation) > _BESIDE * abs(drivers[0].correlation)
    ]
    return ", ".join(f"{words_of(one.key)} {one.correlation:+.2f}" for one in told)


def _tolerances(report: ToleranceReport) -> RenderableType:
    table = words.ruled("What is off", "low", "high", "from", left=1)
    table.columns[-1].justify = "left"
    for one in report.tolerances:
        words.row(table, one.words, _per_cent(one.low), _per_cent(one.high), f"{one.source} ({one.status})")
    return table


def _per_cent(factor: float) -> str:
    """``-20 %``; beyond half and twice the factor itself, ``x 0.4``."""
    return f"{100 * (factor - 1):+.3g} %" if 0.5 <= factor <= 2.0 else f"x {factor:.3g}"


# --- JSON and CSV -----------------------------------------------------------------------------------------


def tolerance_document(report: ToleranceReport) -> Json:
    """The study as a JSON document, SI units; what is not known is null."""
    content: Json = {
        "title": report.title,
        "sets": {"asked": report.asked, "done": report.done, "failed": report.failed, "over": report.over},
        "why_failed": report.why_failed,
        "stopped": report.stopped,
        "seed": report.seed,
        "mains": report.level or "range",
        "states": list(report.states),
        "corners": report.corners,
        "tolerances": [asdict(one) for one in report.tolerances],
        "limits": [_limit(one) for one in report.limits],
        "figures": [_figure(one) for one in report.figures],
        "cautions": list(report.cautions),
    }
    return {"schema": SCHEMA, "tolerance": cleaned(content, "tolerance")}


def _limit(one: Held) -> Json:
    return {
        "rule": one.nominal.rule,
        "subject": one.nominal.subject,
        "over_sets": one.over,
        "nominal": finding_document(one.nominal),
        "worst": None if one.worst is None else finding_document(one.worst),
        "over_at_worst": one.broken_at_worst,
        "accepted": one.accepted,
        "drivers": [asdict(driver) for driver in one.drivers],
    }


def _figure(one: Spreading) -> Json:
    _, part, quantity = one.named
    numbers = {
        "nominal": one.nominal, "lowest": one.lowest, "p5": one.p5, "p95": one.p95, "highest": one.highest
    }  # fmt: skip
    return {
        "state": one.state,
        "path": one.path,
        "part": part,
        "quantity": quantity.words,
        "unit": quantity.unit,
        **{name: _or_none(number) for name, number in numbers.items()},
        "drivers": [asdict(driver) for driver in one.drivers],
    }


_COLUMNS = (
    "kind", "state", "part", "quantity", "unit", "nominal", "lowest", "p5", "p95", "highest", "limit",
    "over_share", "driver", "correlation",
)  # fmt: skip


def tolerance_csv(report: ToleranceReport) -> str:
    """A line a figure, then a line a limit, SI units; what does not apply is empty."""
    text = io.StringIO()
    writer = csv.DictWriter(text, _COLUMNS, restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows(_rows(report))
    return text.getvalue()


def _rows(report: ToleranceReport) -> Iterator[dict[str, str]]:
    for one in report.figures:
        told = _figure(one)
        first = {key: told[key] for key in ("state", "part", "quantity", "unit")}
        numbers = {key: _number(told[key]) for key in ("nominal", "lowest", "p5", "p95", "highest")}
        yield {"kind": "figure", **first, **numbers, **_driver(one.drivers)}
    for held in report.limits:
        finding = held.worst or held.nominal
        yield {
            "kind": "limit",
            "part": held.nominal.subject,
            "quantity": held.nominal.rule,
            "unit": held.nominal.unit,
            "nominal": _number(held.nominal.figure),
            "lowest" if finding.lower_limit else "highest": _number(finding.figure),
            "limit": _number(finding.limit),
            "over_share": _number(held.over / report.done if report.done else None),
            **_driver(held.drivers),
        }


def _number(value: float | None) -> str:
    return "" if value is None else f"{value:.6g}"


def _driver(drivers: Sequence[Driver]) -> dict[str, str]:
    if not drivers:
        return {}
    return {"driver": drivers[0].key, "correlation": f"{drivers[0].correlation:.3f}"}
