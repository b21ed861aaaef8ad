from __future__ import annotations

from types import ModuleType

import pytest

from psucheck.checks import manual

DOC = "A summary.\n\n" + "\n\n".join(f"{name}\n{'-' * len(name)}\nText of it." for name in manual.SECTIONS)


def rule(doc: str) -> ModuleType:
    module = ModuleType("a_rule", doc)
    module.ID, module.TITLE = "a-rule", "A rule"  # type: ignore[attr-defined]
    return module


def test_a_page_holds_summary_and_sections() -> None:
    page = manual.page(rule(DOC))
    assert (page.id, page.title, page.summary) == ("a-rule", "A rule", "A summary.")
    assert tuple(page.sections) == manual.SECTIONS
    assert set(page.sections.values()) == {"Text of it."}


@pytest.mark.parametrize(
    ("doc", "message"),
    [
        (DOC.replace("Why it matters\n--------------\nText of it.\n\n", ""), "sections are"),
        (DOC.replace("Limit", "Limits").replace("-----\n", "------\n", 1), "sections are"),
        (DOC.removesuffix("Text of it."), r"nothing is said under \['A failing example'\]"),
        ("", "sections are"),
    ],
)
def test_a_page_that_is_not_complete_is_refused(doc: str, message: str) -> None:
    with pytest.raises(manual.ManualError, match=message):
        manual.page(rule(doc))
