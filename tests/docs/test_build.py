"""What the documentation and the netlists take from the tool is what the tool says now."""

from __future__ import annotations

import pytest

from docs import build, tables
from psucheck.checks.registry import RULES


def test_a_netlist_stands_beside_every_example() -> None:
    assert len(build.netlists()) >= 3
    assert all(netlist.exists() for netlist in build.netlists())


def test_a_part_is_filled_and_the_rest_left() -> None:
    page = "Before.\n<!-- fill: file netlists/two-el34-head.toml -->\nold\n<!-- /fill -->\nAfter.\n"
    filled = build.filled(page)
    assert filled.startswith("Before.\n<!-- fill: file netlists/two-el34-head.toml -->\n```toml\n# A guitar")
    assert filled.endswith("```\n<!-- /fill -->\nAfter.\n")
    assert build.filled(filled) == filled


def test_a_part_of_an_output_ends_at_the_next_blank_line() -> None:
    assert build.part_of("One\na\n\nTwo\nb\nc\n\nThree", "Two") == "Two\nb\nc"
    assert build.part_of("One\na", "One") == "One\na"
    with pytest.raises(build.BuildError, match="no part 'Four'"):
        build.part_of("One\na", "Four")


@pytest.mark.parametrize(
    ("what", "said"),
    [
        ("picture x.png", "no part is filled with 'picture x.png'"),
        ("run ls", "only psucheck is run, not ls"),
        ("run psucheck check no-such-file.toml", "ended with 2"),
    ],
)
def test_what_cannot_be_filled_is_an_error(what: str, said: str) -> None:
    with pytest.raises(build.BuildError, match=said):
        build.filled(f"<!-- fill: {what} -->\n<!-- /fill -->")


def test_every_rule_has_its_place_on_the_page() -> None:
    page = tables.rules_page()
    for rule in RULES:
        assert f"\n## {rule.ID}\n" in page
        assert f"(#{rule.ID})" in page


def test_no_fill_mark_is_left_open() -> None:
    for path in build.pages():
        text = path.read_text("utf-8")
        assert text.count("<!-- fill: ") == text.count("<!-- /fill -->"), path.name
