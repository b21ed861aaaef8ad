"""Rows of docs/accuracy.md: what psucheck gives, held against what was published or computed elsewhere.

A test records a row through the fixture ``accuracy`` (:class:`Accuracy`), and the same call asserts that the
row holds, so that none can be recorded without being checked. pytest carries the rows in its reports, also
from the workers of pytest-xdist; ``tests/conftest.py`` gathers them, and docs/build.py makes the page.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any, Literal

import pytest

from docs.accuracy_page import identities, identity
from tests.tolerances import within

Known = Literal["read", "second-hand", "from memory", "computed", "common practice, no source"]
Range = tuple[float | None, float | None]

PROPERTY = "accuracy"


@dataclass(frozen=True)
class Row:
    """One row.

    Attributes
    ----------
    published
        A value, or its lowest and highest [``unit``]; None: no bound on that side.
    tolerance
        A quantity of ``tolerances.toml``; None where ``differs`` stands, or for strictly inside a range.
    differs
        Lowest and highest deviation, as shares of ``published``, of a row that is known to disagree.
    group
        Rows of one group and quantity are shown as one, with their median and their worst.
    test
        File of the test, from the root.
    """

    source: str
    case: str
    quantity: str
    published: float | Range
    computed: float
    unit: str
    tolerance: str | None
    known: Known
    note: str
    differs: tuple[float, float] | None
    group: str
    test: str

    @property
    def deviation(self) -> float | None:
        """``computed`` over ``published``, less one; from the nearer end of a range, none inside it."""
        if isinstance(self.published, tuple):
            low, high = self.published
            if low is not None and self.computed < low:
                return self.computed / low - 1
            return self.computed / high - 1 if high is not None and self.computed > high else None
        return self.computed / self.published - 1 if self.published else None


def agrees(row: Row) -> bool:
    """Whether a row lies within its tolerance, or a range."""
    if isinstance(row.published, tuple):
        if row.deviation is None or row.tolerance is None:
            return row.deviation is None
        ends = [end for end in row.published if end is not None]
        return any(row.computed == within(row.tolerance, end) for end in ends)
    assert row.tolerance is not None, "a tolerance, or a range"
    return bool(row.computed == within(row.tolerance, row.published))


class Accuracy:
    """Records rows of one test, and asserts each.

    Parameters
    ----------
    item
        The test.
    page
        The page on which each row has to stand already, None where it is being made.
    """

    def __init__(self, item: pytest.Item, page: str | None) -> None:
        self._item = item
        self._page = None if page is None else identities(page)

    def __call__(
        self,
        source: str,
        case: str,
        quantity: str,
        published: float | Range,
        computed: float,
        unit: str,
        tolerance: str | None,
        known: Known,
        note: str = "",
        *,
        differs: tuple[float, float] | None = None,
        group: str = "",
    ) -> None:
        """Record a row, and assert it; the arguments are those of :class:`Row`.

        Raises
        ------
        AssertionError
            If the row does not hold; if one that is said to disagree agrees, or lies outside its band; if the
            page lacks it.
        """
        path = self._item.path.relative_to(self._item.config.rootpath).as_posix()
        row = Row(
            source=source,
            case=case,
            quantity=quantity,
            published=_range(published) if isinstance(published, tuple) else float(published),
            computed=float(computed),
            unit=unit,
            tolerance=tolerance,
            known=known,
            note=note,
            differs=differs,
            group=group,
            test=path,
        )
        self._item.user_properties.append((PROPERTY, asdict(row)))
        if differs is None:
            assert agrees(row), f"{case}: {quantity} {computed:g} {unit}, not {published}"
        else:
            _assert_still_open(row, differs)
        if self._page is not None:
            assert identity(asdict(row)) in self._page, (
                "docs/accuracy.md lacks this row: run python docs/build.py accuracy"
            )


def _range(ends: Range) -> Range:
    low, high = ends
    return None if low is None else float(low), None if high is None else float(high)


def _assert_still_open(row: Row, differs: tuple[float, float]) -> None:
    """A discrepancy says why, has a band that leaves agreement out, and lies in it."""
    assert row.note, "a discrepancy needs its reason or its question"
    low, high = differs
    assert low < high < 0 or 0 < low < high, "the band holds agreement too"
    deviation = row.deviation
    assert deviation is not None
    assert low <= deviation <= high, f"{row.case}: {row.quantity} deviates by {deviation:+.1%}"


def rows_of(report: pytest.TestReport) -> list[dict[str, Any]]:
    """The rows that a test's report carries."""
    return [value for name, value in report.user_properties if name == PROPERTY and isinstance(value, dict)]
