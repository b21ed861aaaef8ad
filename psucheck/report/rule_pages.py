"""The manual page of a rule, and the list of rules, as text and as JSON."""

from __future__ import annotations

import re
from collections.abc import Sequence

from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.text import Text

from psucheck.checks.limits import Limit
from psucheck.checks.manual import Page
from psucheck.report import words
from psucheck.report.document import SCHEMA, Json

_MARKED = re.compile(r"``(.+?)``", re.DOTALL)


def rule_list(pages: Sequence[Page]) -> RenderableType:
    """The rules with their titles."""
    table = words.ruled("Rule", "what it is about", left=2)
    for page in pages:
        words.row(table, page.id, page.title)
    return table


def rule_page(page: Page, limits: Sequence[Limit]) -> RenderableType:
    """One rule's page; the entries of the table of limits stand below what the page says of its limit."""
    blocks: list[RenderableType] = [words.heading(page.id), _prose(page.summary)]
    for heading, text in page.sections.items():
        blocks += [Text(), words.heading(heading)]
        blocks += [Padding(_prose(paragraph), (0, 0, 0, 2)) for paragraph in text.split("\n\n")]
        if heading == "Limit" and limits:
            blocks.append(Padding(_limits(limits, f"{page.id}."), (1, 0, 0, 2)))
    return Group(*blocks)


def _prose(text: str) -> Text:
    """A paragraph on one flowing line; what stands between double back-ticks in the source is bold."""
    flowing, at = Text(), 0
    for marked in _MARKED.finditer(text):
        flowing.append(_flat(text[at : marked.start()]))
        flowing.append(_flat(marked[1]), style="bold")
        at = marked.end()
    flowing.append(_flat(text[at:]))
    return flowing


def _flat(text: str) -> str:
    return re.sub(r"\s+", " ", text)


def _limits(limits: Sequence[Limit], own: str) -> RenderableType:
    """The entries; those whose names begin with ``own`` go without that."""
    table = words.ruled("entry", "value", "what it means, and its source", left=3)
    table.columns[1].no_wrap = True
    for limit in limits:
        words.row(table, limit.name.removeprefix(own), limit.written, f"{limit.says}. {limit.cited}.")
    return table


# --- JSON -------------------------------------------------------------------------------------------------


def rules_document(pages: Sequence[Page]) -> Json:
    """The list as a JSON document."""
    return {"schema": SCHEMA, "rules": [{"id": page.id, "title": page.title} for page in pages]}


def rule_document(page: Page, limits: Sequence[Limit]) -> Json:
    """One rule's page as a JSON document; its texts are those of the module, on one line a paragraph."""
    return {
        "schema": SCHEMA,
        "rule": {
            "id": page.id,
            "title": page.title,
            "summary": _prose(page.summary).plain,
            "sections": {
                heading: "\n\n".join(_prose(paragraph).plain for paragraph in text.split("\n\n"))
                for heading, text in page.sections.items()
            },
            "limits": [
                {
                    "name": limit.name,
                    "value": limit.value,
                    "unit": limit.unit,
                    "says": limit.says,
                    "source": limit.source,
                    "status": limit.status,
                    **_of_house(limit),
                }
                for limit in limits
            ],
        },
    }


def _of_house(limit: Limit) -> Json:
    """What the document says of the house's value and the file, where a limit is the user's own."""
    return {} if limit.house is None else {"house": limit.house.value, "file": limit.file}
