"""docs/accuracy.md, from the rows that the tests record (``python docs/build.py accuracy``)."""

from __future__ import annotations

import re
import statistics
import tomllib
from collections.abc import Iterable, Sequence
from functools import cache
from pathlib import Path
from typing import Any

Row = dict[str, Any]

ROOT = Path(__file__).resolve().parents[1]

ORDER = (
    "tests/published/test_rectifier_sheets.py",
    "tests/published/test_rectifier_parts.py",
    "tests/published/test_capacitor_input_grid.py",
    "tests/published/test_steady_state_cases.py",
    "tests/published/test_transformer_sheets.py",
    "tests/published/test_transformer_facts.py",
    "tests/published/test_textbooks.py",
    "tests/published/test_closed_forms.py",
    "tests/published/test_cold_start_cases.py",
    "tests/published/test_inrush.py",
    "tests/published/test_fuse_examples.py",
    "tests/published/test_limiters.py",
    "tests/published/test_output_valves.py",
    "tests/published/test_bench_facts.py",
)
"""The tests whose rows come first, in this order; those of tests/reference/ follow by name."""

_HEAD = """\
# Accuracy

This page is made from the tests' results by `python docs/build.py accuracy`; nothing on it is edited by hand.
Every row is checked by the test that recorded it: it holds within its tolerance, or inside the published
range, or it is marked **open** and still disagrees by what is stated. No row is left out because it
disagrees.

- **Published** is what was published, or computed elsewhere.
- **Deviation** is psucheck's value over the published one, less one.
- **Tolerance** goes by name; the reasons stand in [DEVELOPERS.md](../DEVELOPERS.md#tests).
- **Known**: *read* (in the source named), *second-hand* (in a text that cites it), *from memory* (the source
  was not opened), *computed* (by an independent solver, or mathematics), *common practice, no source*.
- Where many cases are summed up in one row, its figures are those of the worst case, and the median follows.

None of the rows is a measured amplifier. A data sheet's table and an independent solution of the same circuit
show that the physics is computed right; what the parts of a particular amplifier do they do not show.
"""
_HEADING = ("source", "case", "quantity", "published", "psucheck", "deviation", "tolerance", "known", "note")
_MARK = re.compile(r"\d+(?:\.\d+)?|\D+")


def page(rows: Sequence[Row]) -> str:
    """The page.

    Raises
    ------
    ValueError
        If two rows that are not summed up have the same source, case and quantity.
    """
    shown = list(_lines(rows))
    lines = ["| " + " | ".join(_HEADING) + " |", "|" + "---|" * len(_HEADING)]
    lines += ["| " + " | ".join(line) + " |" for line in shown]
    return f"{_HEAD}\n{_summary(rows, shown)}\n\n" + "\n".join(lines) + "\n"


def identity(row: Row) -> str:
    """What a row is on the page without its figures: source, case, quantity, tolerance."""
    case = row["group"] or row["case"]
    return " | ".join(_plain(one) for one in (row["source"], case, row["quantity"], _tolerance(row)))


@cache
def identities(text: str) -> frozenset[str]:
    """The identities of the rows of a page."""
    found = set()
    for line in text.splitlines():
        cells = re.split(r"(?<!\\) \| ", line.removeprefix("| ").removesuffix(" |"))
        if line.startswith("| ") and len(cells) == len(_HEADING) and tuple(cells) != _HEADING:
            found.add(" | ".join(re.sub(r" \(\d+ cases\)$", "", cells[at]) for at in (0, 1, 2, 6)))
    return frozenset(found)


def _summary(rows: Sequence[Row], shown: Sequence[tuple[str, ...]]) -> str:
    open_rows = sum(row["differs"] is not None for row in rows)
    sources = len({row["source"] for row in rows})
    compared = len({(row["test"], row["source"], row["case"], row["quantity"]) for row in rows})
    return f"{len(shown)} rows, {open_rows} of them open; {compared} comparisons with {sources} sources."


def _lines(rows: Sequence[Row]) -> Iterable[tuple[str, ...]]:
    groups: dict[tuple[str, ...], list[Row]] = {}
    for row in sorted(rows, key=_place):
        case = row["group"] or row["case"]
        groups.setdefault((row["source"], case, row["quantity"], row["group"]), []).append(row)
    for (*name, group), held in groups.items():
        if not group and len(held) > 1:
            raise ValueError(f"two rows are called {' | '.join(name)}")
        yield _many(held) if group else _one(held[0])


def _place(row: Row) -> tuple[Any, ...]:
    """By test, source, case with its numbers as numbers, and quantity."""
    test = row["test"]
    rank = ORDER.index(test) if test in ORDER else len(ORDER)
    return (rank, test, row["source"], _natural(row["group"] or row["case"]), row["quantity"], row["case"])


def _natural(text: str) -> list[tuple[int, float, str]]:
    pieces = _MARK.findall(text)
    return [(0, float(one), "") if one[0].isdigit() else (1, 0.0, one) for one in pieces]


def _one(row: Row) -> tuple[str, ...]:
    published = row["published"]
    text = _range(*published) if isinstance(published, list | tuple) else _number(published)
    cells = (
        row["source"],
        row["case"],
        row["quantity"],
        f"{text} {row['unit']}".strip(),
        f"{_number(row['computed'])} {row['unit']}".strip(),
        _deviation(row),
        _tolerance(row),
        row["known"],
        row["note"],
    )
    return tuple(_plain(cell) for cell in cells)


def _many(rows: Sequence[Row]) -> tuple[str, ...]:
    """The worst of a group, with the median of the sizes."""
    worst = max(rows, key=lambda row: (round(abs(_share(row)), 4), row["case"]))
    median = statistics.median(abs(_share(row)) for row in rows)
    line = list(_one(worst))
    line[1] = _plain(f"{worst['group']} ({len(rows)} cases)")
    line[5] += f"; median {_percent(median, signed=False)}"
    line[8] = _plain("; ".join(part for part in (f"worst: {worst['case']}", worst["note"]) if part))
    return tuple(line)


def _share(row: Row) -> float:
    return float(row["computed"] / row["published"] - 1)


def _deviation(row: Row) -> str:
    published = row["published"]
    if isinstance(published, list | tuple):
        low, high = published
        if low is not None and row["computed"] < low:
            return _percent(row["computed"] / low - 1)
        if high is not None and row["computed"] > high:
            return _percent(row["computed"] / high - 1)
        return "inside"
    if published == 0:
        return f"{_number(row['computed'])} {row['unit']}".strip()
    return _percent(_share(row))


def _tolerance(row: Row) -> str:
    if row["differs"] is not None:
        low, high = row["differs"]
        return f"**open**: {100 * low:+g} to {100 * high:+g} %"
    if row["tolerance"] is None:
        return "the range"
    entry = _table()[row["tolerance"]]
    parts = [f"{100 * entry['rel']:g} %"] if "rel" in entry else []
    parts += [f"{entry['abs']:g} {row['unit']}".strip()] if "abs" in entry else []
    return f"{row['tolerance']}: {' or '.join(parts)}"


@cache
def _table() -> dict[str, Any]:
    return tomllib.loads((ROOT / "tests" / "tolerances.toml").read_text("utf-8"))


def _percent(share: float, *, signed: bool = True) -> str:
    """To a tenth of a per cent: less differs from one version of the simulator to the next."""
    size = round(100 * abs(share), 1)
    if size == 0:
        return "below 0.1 %"
    sign = ("+" if share > 0 else "-") if signed else ""
    return f"{sign}{size:.0f} %" if size >= 100 else f"{sign}{size:.1f} %"


def _number(value: float) -> str:
    """Four digits at most."""
    return f"{value:.4g}" if abs(value) < 1e4 else f"{value:.0f}"


def _range(low: float | None, high: float | None) -> str:
    if low is None:
        return f"at most {_number(high or 0.0)}"
    return f"at least {_number(low)}" if high is None else f"{_number(low)} to {_number(high)}"


def _plain(text: str) -> str:
    return text.replace("|", r"\|")
