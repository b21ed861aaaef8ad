"""The scanner's paths are those of tomllib's tree, and each span holds the value that tomllib read."""

import string
import tomllib
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from psucheck.supply.toml_positions import Path, offset_in_string, scan

DOCUMENT = """\
title = "x" # a remark
a.b . "c d" = 'one'
list = [
  "p", # first
  ["q", "r"],
  { s = 1, t.u = "v" },
]
long = \"\"\"
two "" lines
\"\"\"\"
when = 1979-05-27 07:32:00 # a date
[table."sub.dotted"]
'key' = "\\u00e9 \\"quoted\\" end"
[[many]]
n = 1
[[many]]
n = 2
[many.deep]
m = +1_000.5
"""


def paths(tree: Any, path: Path = ()) -> dict[Path, Any]:
    found: dict[Path, Any] = {path: tree} if path else {}
    if isinstance(tree, dict):
        items: Any = tree.items()
    elif isinstance(tree, list):
        items = enumerate(tree)
    else:
        return found
    for key, value in items:
        found |= paths(value, (*path, key))
    return found


def assert_agrees(text: str) -> None:
    tree = paths(tomllib.loads(text))
    positions = scan(text)
    assert set(positions.places) == set(tree)
    for path, value in tree.items():
        source = positions.source(positions.places[path].value)
        if not isinstance(value, dict | list):
            assert tomllib.loads(f"x = {source}")["x"] == value


def test_a_document_with_every_construct() -> None:
    assert_agrees(DOCUMENT)


@pytest.mark.parametrize(
    ("path", "key", "value"),
    [
        (("title",), "title", '"x"'),
        (("a", "b", "c d"), '"c d"', "'one'"),
        (("list", 1, 0), '"q"', '"q"'),
        (("list", 2, "t", "u"), "u", '"v"'),
        (("when",), "when", "1979-05-27 07:32:00"),
        (("table", "sub.dotted"), '"sub.dotted"', '[table."sub.dotted"]'),
        (("many", 1, "n"), "n", "2"),
        (("many", 1, "deep", "m"), "m", "+1_000.5"),
    ],
)
def test_spans_hold_the_key_and_the_value(path: Path, key: str, value: str) -> None:
    positions = scan(DOCUMENT)
    place = positions.places[path]
    assert (positions.source(place.key), positions.source(place.value)) == (key, value)


def test_lines_and_columns_count_from_one() -> None:
    positions = scan(DOCUMENT)
    assert positions.line_column(0) == (1, 1)
    assert positions.line_column(positions.places[("list", 1, 1)].value.start) == (5, 9)


def test_deepest_is_the_longest_beginning_that_stands_in_the_text() -> None:
    positions = scan(DOCUMENT)
    assert positions.deepest(("a", "b", "missing", 3)) == ("a", "b")
    assert positions.deepest(("nothing",)) == ()


@pytest.mark.parametrize(
    ("source", "index", "offset"),
    [
        ('"ab"', 1, 2),
        ("'ab'", 0, 1),
        (r'"\u00e9b"', 1, 7),
        (r'"\"b"', 1, 3),
        ('"""ab"""', 1, None),
        ("12", 0, None),
    ],
)
def test_characters_of_a_string_are_found_in_its_source(source: str, index: int, offset: int | None) -> None:
    assert offset_in_string(source, index) == offset


# --- generated documents ----------------------------------------------------------------------------------

_text = st.text(
    st.characters(codec="utf-8", exclude_categories=("Cs", "Cc")) | st.sampled_from("\"'\\#[]{}=,\n"),
    max_size=8,
)
_name = st.text(string.ascii_lowercase + string.digits + "_-", min_size=1, max_size=4) | _text
_scalar = _text | st.integers(-99, 99) | st.booleans() | st.dates()
_value = st.recursive(
    _scalar,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(_name, inner, max_size=3),
    max_leaves=6,
)
_tree = st.dictionaries(_name, _value, max_size=4)


class Writer:
    """Writes a tree as TOML in a style that hypothesis chooses."""

    def __init__(self, data: st.DataObject) -> None:
        self.data = data

    def choose(self, *ways: str) -> str:
        return self.data.draw(st.sampled_from(ways))

    def string(self, text: str) -> str:
        escaped = "".join(
            f"\\U{ord(c):08x}" if ord(c) < 32 or 127 <= ord(c) < 160 else {'"': '\\"', "\\": "\\\\"}.get(c, c)
            for c in text
        )
        ways = [f'"{escaped}"', f'"""{escaped}"""']
        if text.isprintable() and "'" not in text:
            ways += [f"'{text}'", f"'''{text}'''"]
        return self.choose(*ways)

    def key(self, name: str) -> str:
        quoted = self.string(name)
        while quoted.startswith(('"""', "'''")):
            quoted = self.string(name)
        bare = name and set(name) <= set(string.ascii_letters + string.digits + "_-")
        return self.choose(name, quoted) if bare else quoted

    def value(self, value: Any) -> str:
        if isinstance(value, str):
            return self.string(value)
        if isinstance(value, bool):
            return str(value).lower()
        if isinstance(value, list):
            gap = self.choose("", " ", "\n  ", ' # ] "remark\n')
            return "[" + gap + ",".join(gap + self.value(item) + gap for item in value) + "]"
        if isinstance(value, dict):
            return "{" + ",".join(f" {self.key(k)} = {self.value(v)} " for k, v in value.items()) + "}"
        return str(value)

    def table(self, tree: dict[str, Any], path: tuple[str, ...] = ()) -> str:
        lines, later = [], []
        for name, value in tree.items():
            if isinstance(value, dict) and self.choose("header", "inline") == "header":
                header = ".".join(self.key(part) for part in (*path, name))
                later.append(f"[{header}] # [x]\n" + self.table(value, (*path, name)))
            elif isinstance(value, dict) and value and self.choose("dotted", "inline") == "dotted":
                lines += [f"{self.key(name)} . {self.key(k)} = {self.value(v)}\n" for k, v in value.items()]
            elif (
                value
                and isinstance(value, list)
                and all(isinstance(v, dict) for v in value)
                and self.choose("y", "n") == "y"
            ):
                header = ".".join(self.key(part) for part in (*path, name))
                later += [f"[[{header}]]\n" + self.table(item, (*path, name)) for item in value]
            else:
                lines.append(f"{self.key(name)} = {self.value(value)}{self.choose('', ' # remark')}\n")
        return "".join(lines + later)


@settings(max_examples=150, deadline=None)
@given(tree=_tree, data=st.data())
def test_generated_documents_agree_with_tomllib(tree: dict[str, Any], data: st.DataObject) -> None:
    text = Writer(data).table(tree)
    assert tomllib.loads(text) == tree
    assert_agrees(text)
