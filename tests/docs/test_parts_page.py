"""docs/parts.md: its example is a parts file, and its tables say what is there."""

from __future__ import annotations

import re
from importlib import resources
from pathlib import Path
from typing import get_args

from psucheck.parts import shipped
from psucheck.parts.own import OwnFile
from psucheck.parts.sourced import Status
from psucheck.supply.own_parts import read_own_parts

PAGE = (Path(__file__).parents[2] / "docs" / "parts.md").read_text("utf-8")


def test_the_example_is_read(tmp_path: Path) -> None:
    (example,) = re.findall(r"^```toml\n(.*?)^```", PAGE, re.MULTILINE | re.DOTALL)
    path = tmp_path / "my-parts.toml"
    path.write_text(example, "utf-8")
    own = read_own_parts(path, shipped())
    assert {(table, part.name) for table, part in own.parts.all()} == {
        ("rectifiers", "GZ34"),
        ("diodes", "XD12"),
    }


def test_every_table_of_an_own_file_has_its_row() -> None:
    rows = re.findall(r"^\| `\[(\w+)\.NAME\]` \|.*`(\w+\.toml)`", PAGE, re.MULTILINE)
    assert [table for table, _ in rows] == list(OwnFile.model_fields)
    data = resources.files("psucheck.parts").joinpath("data")
    assert all(data.joinpath(file).is_file() for _, file in rows)


def test_every_status_is_explained() -> None:
    words = re.findall(r"^\| ([a-z-]+) \| ", PAGE, re.MULTILINE)
    assert [word for word in words if word in get_args(Status)] == list(get_args(Status))
