"""What trying values came to: the best first, the broken ones with the rule that breaks them."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from rich.console import Group, RenderableType
from rich.text import Text

from psucheck.checks.finding import Finding, Verdict
from psucheck.report import words
from psucheck.report.view import Extreme

ORDER = (
    "Best first: nothing over, then the fewest over, then the fewest marginal, then the most margin where it "
    "is least."
)
DESCRIBED = "as described"


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a point came to.

    Attributes
    ----------
    over, marginal, not_checked
        How many findings of each verdict.
    rail, volts, ripple, peak
        The first B+ node; its DC and its ripple peak to peak at full output [V], the peak of its rectifier's
        current there [A]. At idle where nothing has a full output; at the wall voltage if that is known.
    worst
        The finding with the worst verdict and, of those, the least margin.
    fuse
        The same among the rules on fuses.
    broken
        Rule and subject of all that is over, the worst first.
    highest, cautions
        The highest voltage on any node, and the cautions.
    failed
        Why there is nothing of all that: the values do not fit together, or the simulation failed.
    """

    over: int = 0
    marginal: int = 0
    not_checked: int = 0
    rail: str | None = None
    volts: float | None = None
    ripple: float | None = None
    peak: float | None = None
    worst: Finding | None = None
    fuse: Finding | None = None
    broken: tuple[str, ...] = ()
    highest: Extreme | None = None
    cautions: tuple[str, ...] = ()
    failed: str | None = None


def failed(why: str) -> Outcome:
    """A point of which there is nothing but the reason."""
    return Outcome(failed=why)


@dataclass(frozen=True, slots=True)
class Row:
    """A point: its number (0: as described), the value at each path, and what came of it."""

    number: int
    values: tuple[tuple[str, str], ...]
    outcome: Outcome

    @property
    def rank(self) -> tuple[bool, int, int, float, int]:
        """Sort key: the best first; see :data:`ORDER`. What failed comes last."""
        came = self.outcome
        margin = came.worst.margin if came.worst is not None and came.worst.margin is not None else math.inf
        return came.failed is not None, came.over, came.marginal, -margin, self.number


@dataclass(frozen=True)
class Trial:
    """All points: the paths, the supply as described, the others best first, and how many there should be."""

    title: str
    paths: tuple[str, ...]
    described: Row | None
    rows: tuple[Row, ...]
    wanted: int
    stopped: str | None = None

    @property
    def all(self) -> tuple[Row, ...]:
        """The supply as described before the rest."""
        return (*(() if self.described is None else (self.described,)), *self.rows)


def screen(trial: Trial) -> RenderableType:
    """The table, how it is ordered, what breaks those that are over, and the cautions."""
    parts: list[RenderableType] = [Text(words.plain(trial.title), style="bold"), _headline(trial), Text()]
    parts += [_table(trial), Text(), _read(trial)]
    for block in (_least(trial), _broken(trial), _failed(trial), _cautions(trial)):
        lines = list(block)
        if lines:
            parts += [Text(), *lines]
    return Group(*parts)


def _headline(trial: Trial) -> Text:
    sound = sum(not row.outcome.over and row.outcome.failed is None for row in trial.rows)
    done = len(trial.rows)
    of = f" of {trial.wanted}" if done != trial.wanted else ""
    said = f"{done}{of} tried: {sound} with nothing over, {done - sound} with something over or unusable"
    return Text(said, style=words.STYLES["ok"] if sound else words.STYLES["over"])


def _table(trial: Trial) -> RenderableType:
    rail = next((row.outcome.rail for row in trial.all if row.outcome.rail), "B+")
    headings = [_short(path) for path in trial.paths]
    figures = ("over", "marg.", f"{rail} V", "ripple", "peak", "margin", "fuse")
    table = words.ruled(*headings, *figures, left=len(headings))
    for column in table.columns[len(headings) :]:
        column.no_wrap = True
    for row in trial.all:
        words.row(table, *_values(trial, row), *_cells(row.outcome))
    return table


def _short(path: str) -> str:
    """The last words of a path: ``filter.reservoir`` is the reservoir."""
    return path.removeprefix("filter.")


def _values(trial: Trial, row: Row) -> list[str]:
    held = dict(row.values)
    if not held:
        return [DESCRIBED, *("" for _ in trial.paths[1:])]
    return [held[path] for path in trial.paths]


def _cells(came: Outcome) -> list[str | RenderableType]:
    if came.failed is not None:
        return ["unusable", *(words.NONE for _ in range(6))]
    over: Verdict = "over" if came.over else "ok"
    return [
        Text(str(came.over), style=words.STYLES[over]),
        str(came.marginal),
        words.volts(came.volts),
        words.amount(came.ripple, "V"),
        words.amount(came.peak, "A"),
        _margin(came.worst),
        _margin(came.fuse),
    ]


def _margin(finding: Finding | None) -> str:
    """How far inside its limit, or over it, the figure is; ``13 %`` and ``-13 %``."""
    if finding is None or finding.margin is None:
        return words.NONE
    return f"{100 * finding.margin:.0f} %"


def _read(trial: Trial) -> Text:
    """How the table is ordered, and what its columns are."""
    rail = next((row.outcome.rail for row in trial.all if row.outcome.rail), "B+")
    return Text(
        f"{ORDER} Volts, ripple (peak to peak) and rectifier's peak are of {rail} at full output, or at idle "
        "without one; at the wall voltage, if it is given. Margin: what is left up to the limit where least "
        "is left, minus beyond it; fuse: the same of the fuses alone."
    )


def _least(trial: Trial) -> Iterator[Text]:
    """Where the least margin is, and in which points."""
    worst = _places((row, row.outcome.worst) for row in trial.all)
    fuses = _places((row, row.outcome.fuse) for row in trial.all)
    for lead, said in (("Least margin", worst), ("Of the fuses", fuses)):
        if said:
            yield Text(words.plain(f"{lead}: {said}."))


def _places(found: Iterable[tuple[Row, Finding | None]]) -> str:
    """Rule and subject of the findings; if they are not the same in all points, of which each is."""
    places: dict[str, list[str]] = {}
    for row, finding in found:
        if finding is not None:
            places.setdefault(words.place(finding), []).append(_named(row))
    if len(places) == 1:
        return next(iter(places))
    return "; ".join(f"{place} ({', '.join(names)})" for place, names in places.items())


def _named(row: Row) -> str:
    if not row.values:
        return DESCRIBED
    if len(row.values) == 1:
        return row.values[0][1]
    return ", ".join(f"{_short(path)} {value}" for path, value in row.values)


def _broken(trial: Trial) -> Iterator[Text]:
    """Which rules break each that is over."""
    for row in trial.all:
        if row.outcome.over:
            named = Text.assemble((words.plain(_named(row)), "bold"), " is over in ")
            yield named.append(words.plain(", ".join(row.outcome.broken)) + ".")


def _failed(trial: Trial) -> Iterator[Text]:
    for row in trial.all:
        if row.outcome.failed is not None:
            yield Text.assemble((words.plain(_named(row)), "bold"), f": {words.plain(row.outcome.failed)}")


def _cautions(trial: Trial) -> Iterator[Text]:
    """Those of the point with the highest voltage: what holds for it is enough for all."""
    rows = [row for row in trial.all if row.outcome.highest is not None]
    if not rows:
        return
    worst = max(rows, key=lambda row: abs(row.outcome.highest.volts) if row.outcome.highest else 0.0)
    if worst.outcome.cautions:
        said = " ".join(map(words.plain, worst.outcome.cautions))
        lead = f"Cautions, of the highest voltage ({_named(worst)})."
        yield Text.assemble((words.plain(lead), "bold"), f" {said}")


_COLUMNS = (
    "over", "marginal", "not_checked", "node", "volts_V", "ripple_pp_V", "rectifier_peak_A",
    "worst_rule", "worst_subject", "worst_verdict", "worst_margin",
    "fuse_rule", "fuse_subject", "fuse_verdict", "fuse_margin", "broken", "failed",
)  # fmt: skip


def as_csv(trial: Trial) -> str:
    """A line a point behind a line of headings; SI units, margins as shares of one; best first."""
    file = io.StringIO()
    out = csv.writer(file, lineterminator="\n")
    out.writerow(["rank", *trial.paths, *_COLUMNS])
    for rank, row in enumerate(trial.all, start=0 if trial.described is not None else 1):
        values = [value for _, value in row.values] or [DESCRIBED, *("" for _ in trial.paths[1:])]
        out.writerow([rank, *values, *_figures(row.outcome)])
    return file.getvalue()


def _figures(came: Outcome) -> list[object]:
    if came.failed is not None:
        return [*("" for _ in _COLUMNS[:-1]), came.failed]
    return [
        came.over, came.marginal, came.not_checked, came.rail or "",
        *("" if figure is None else f"{figure:.6g}" for figure in (came.volts, came.ripple, came.peak)),
        *_of(came.worst), *_of(came.fuse), "; ".join(came.broken), "",
    ]  # fmt: skip


def _of(finding: Finding | None) -> Sequence[object]:
    if finding is None:
        return ("", "", "", "")
    margin = "" if finding.margin is None else f"{finding.margin:.6g}"
    return finding.rule, finding.subject, finding.verdict, margin


def as_json(trial: Trial) -> dict[str, Any]:
    """The same content for :mod:`psucheck.report.document`."""
    return {
        "title": trial.title,
        "paths": list(trial.paths),
        "order": ORDER,
        "wanted": trial.wanted,
        "stopped": trial.stopped,
        "described": None if trial.described is None else _row(trial.described),
        "points": [_row(row) for row in trial.rows],
    }


def _row(row: Row) -> dict[str, Any]:
    came = row.outcome
    return {
        "values": dict(row.values),
        "over": came.over,
        "marginal": came.marginal,
        "not_checked": came.not_checked,
        "node": came.rail,
        "volts": came.volts,
        "ripple_pp": came.ripple,
        "rectifier_peak": came.peak,
        "worst": _finding(came.worst),
        "fuse": _finding(came.fuse),
        "broken": list(came.broken),
        "cautions": list(came.cautions),
        "failed": came.failed,
    }


def _finding(finding: Finding | None) -> dict[str, Any] | None:
    if finding is None:
        return None
    names = ("rule", "subject", "condition", "verdict", "figure", "limit", "unit", "margin")
    return {name: getattr(finding, name) for name in names}
