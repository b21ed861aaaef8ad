"""Every link of the documentation leads somewhere."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from docs.build import ROOT, pages

_LINK = re.compile(r"\[[^\]]*\]\(([^)\s]+)\)")
_FENCE = re.compile(r"^```.*?^```", re.MULTILINE | re.DOTALL)


def anchors(path: Path) -> set[str]:
    """The anchors that a page's headings make, as the usual hosts of Markdown make them."""
    headings = re.findall(r"^#+ (.+)$", _FENCE.sub("", path.read_text("utf-8")), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-") for heading in headings}


@pytest.mark.parametrize("page", pages(), ids=lambda page: page.relative_to(ROOT).as_posix())
def test_every_link_leads_somewhere(page: Path) -> None:
    for link in _LINK.findall(_FENCE.sub("", page.read_text("utf-8"))):
        target, _, anchor = link.partition("#")
        path = (page.parent / target).resolve() if target else page
        assert path.exists(), link
        if anchor:
            assert anchor in anchors(path), link
