"""psucheck try: what it takes, its messages, its statuses and its files."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest

from psucheck.cli.main import main
from psucheck.cli.trial import tried
from tests.studies.small import TEXT


@pytest.fixture
def supply(tmp_path: Path) -> str:
    path = tmp_path / "small.toml"
    path.write_text(TEXT, "utf-8")
    return str(path)


def test_values_belong_to_the_path_before_them() -> None:
    values = ["filter.reservoir=47 uF 450 V", "50 uF 500 V", "filter.preamp.resistor = 10k..15k E12 1 W"]
    assert tried(values) == {
        "filter.reservoir": ["47 uF 450 V", "50 uF 500 V"],
        "filter.preamp.resistor": ["10 kohm 1 W", "12 kohm 1 W", "15 kohm 1 W"],
    }
    assert tried(['fuses."centre tap ht"=T1AL250V', "T2AL250V"]) == {
        'fuses."centre tap ht"': ["T1AL250V", "T2AL250V"]
    }


def test_a_table_and_a_graph(supply: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    graph = tmp_path / "tried.svg"
    assert main(["try", supply, "filter.reservoir=22 uF 450 V", "100 uF 350 V", "--graph", str(graph)]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    assert "2 tried: 1 with nothing over" in out
    assert "100 uF 350 V is over in capacitor-voltage reservoir" in out
    assert graph.read_text("utf-8").startswith("<?xml")
    assert [path.name for path in tmp_path.iterdir() if path.name.endswith(".part")] == []


def test_csv_and_the_status_where_all_are_over(supply: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["try", supply, "filter.reservoir=100 uF 350 V", "--csv"]) == 1
    (described, point) = csv.DictReader(io.StringIO(capsys.readouterr().out))
    assert described["over"] == "0"
    assert point["worst_rule"] == "capacitor-voltage"


@pytest.mark.parametrize(
    ("values", "said"),
    [
        (["47 uF 450 V"], "a path comes first"),
        (["filter.reservoir="], "nothing stands behind the equals sign"),
        (["filter.reservoir=1 uF 450 V", "filter.reservoir=2 uF 450 V"], "filter.reservoir comes twice"),
        (["filter.resevoir=1 uF 450 V"], 'did you mean "filter.reservoir"'),
        (["filter.preamp.resistor=47k..10k E12"], "the range is empty"),
        (
            ["filter.preamp.resistor=1k..1M E192", "filter.reservoir.value=1 uF..100 uF E192"],
            "577 x 385 = 222,145 points; 1,000 at most",
        ),
        (["filter.reservoir=1 uF 450 V", "--csv", "--json"], "give one of them"),
        (["filter.reservoir=1 uF 450 V", "--graph", "tried.png"], "its name ends in .svg"),
        (["filter.reservoir=1 uF 450 V", "--graph", "no/such/folder/a.svg"], "there is no folder"),
        (["filter.reservoir=1 uF 450 V", "--jobs", "0"], "give 1 or more worker processes"),
    ],
)
def test_what_cannot_be_tried_is_one_message(
    values: list[str], said: str, supply: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["try", supply, *values]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert said in " ".join(err.split())
    assert "Traceback" not in err
