from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from psucheck.bench.comparing import compare
from psucheck.bench.editing import edited
from psucheck.bench.read_back import ReadBack
from psucheck.bench.reading import Reading
from psucheck.bench.settling import Settled, settled
from psucheck.bench.updating import CannotUpdate, updated, write_new
from psucheck.report.readings_view import ReadingsView
from psucheck.supply.reader import parse_description
from tests.bench.benches import TEXTS, plan
from tests.engine_runs import Here

TEXT = TEXTS["hundred watts"]
READINGS = (
    Reading("cold", "plug ohms", 3.5, None, unit="ohm"),
    Reading("cold", "ht a ohms", 18.4, None, unit="ohm"),
    Reading("cold", "ht b ohms", 19.2, None, unit="ohm"),
    Reading("cold", "screens choke ohms", 63.0, None, unit="ohm"),
    Reading("a half", "ht a", 172.0, 240.0),
    Reading("a half", "ht b", 173.0, 242.0),
    Reading("a tenth", "heaters a", 0.36, 240.0),
    Reading("full wall", "reservoir DC", 452.0, 243.0),
    Reading("full wall", "splitter DC", 395.0, 243.0),
    Reading("full wall", "preamp DC", 350.0, 243.0),
    Reading("full wall", "bias at output 1", -40.0, 243.0),
    *(Reading("full wall", f"output cathode {n} mV", 0.034 + 0.001 * n, 243.0) for n in (1, 2, 3, 4)),
)


@pytest.fixture(scope="module")
def back() -> ReadBack:
    bench = plan("hundred watts")
    return ReadBack(bench, ReadingsView("x", compare(bench, READINGS, Here())))


def test_what_the_readings_settle(back: ReadBack) -> None:
    changes, left = settled(back.plan, back.view.readings)
    found = {(one.table, one.name, one.what): one for one in changes}
    # Half b was read at 242 V of wall, so at 121 V: both at that.
    winding = found["windings", "ht", "off load"]
    assert winding.at == 121.0
    np.testing.assert_allclose(winding.values, (172.0 * 121 / 120, 173.0))
    assert found["windings", "ht", "ohms"].values == (18.4, 19.2)
    assert found["filter", "screens", "choke ohms"].values == (63.0,)
    assert found["mains", "", "wall"].values == (243.0,)
    assert found["loads", "output", "idle"].values[0] == pytest.approx(0.0365)
    assert found["filter", "bias", "set"].values == (-40.0,)
    assert found["filter", "preamp", "was"].values == (350.0,)
    # 10 kilohm before it, nothing behind it.
    assert found["loads", "preamp", "current"].values[0] == pytest.approx(45.0 / 10e3)
    # Of the heaters only one half was read.
    assert ("windings", "heaters", "off load") not in found
    assert left == ()


def test_a_reading_that_looks_like_a_fault_settles_nothing() -> None:
    bench = plan("hundred watts")
    judged = compare(bench, [Reading("full wall", "preamp DC", 150.0, 240.0)], Here())
    changes, left = settled(bench, judged)
    assert not [one for one in changes if one.name == "preamp"]
    assert "more like a fault" in left[0]


def test_the_new_description_says_it_and_marks_it(back: ReadBack) -> None:
    made = updated(parse_description(TEXT, "test"), TEXT, back, "on-the-bench.toml")
    supply = parse_description(made.text, "new").found
    winding = supply.windings["ht"]
    assert winding.volts == (173.4, 173.0)
    assert (winding.off_load_at, winding.resistance, winding.current) == (121.0, (18.4, 19.2), 0.4)
    assert supply.mains.wall == 243.0
    assert supply.filter["preamp"].was == 350.0
    assert supply.filter["bias"].set == -40.0
    idle = supply.loads["output"].idle
    assert idle is not None
    assert idle.cathode == pytest.approx(0.0365)
    assert idle.each
    assert supply.loads["preamp"].current == pytest.approx(4.5e-3)
    choke = supply.filter["screens"].choke
    assert choke is not None
    assert choke.resistance == 63.0
    assert made.left == ()
    old, new = TEXT.splitlines(), made.text.splitlines()
    assert new[0].startswith("#")
    changed = [line for line in new[1:] if line not in old]
    assert changed
    assert all("read at the bench" in line for line in changed)
    assert len(new) == len(old) + 1


@pytest.mark.parametrize(
    ("old", "change", "new"),
    [
        (
            '[windings]\nht = "345-0-345 V 220 mA"',
            Settled("windings", "ht", "off load", (361.0, 362.0), 230.0),
            "361-0-362 V off load at 230 V, 220 mA",
        ),
        (
            '[windings]\nht = "300 V off load at 236 V, 40 ohm, tap bias 50 V"',
            Settled("windings", "ht", "off load", (305.0,), 240.0),
            "305 V off load at 240 V, 40 ohm, tap bias 50 V",
        ),
        (
            '[windings]\nht = "300 V 200 mA"',
            Settled("windings", "ht", "ohms", (41.0,)),
            "300 V 200 mA, 41 ohm",
        ),
        (
            '[filter]\nscreens = "choke 5 H, 47 uF 500 V"',
            Settled("filter", "screens", "choke ohms", (93.0,)),
            "choke 5 H 93 ohm, 47 uF 500 V",
        ),
        (
            '[filter]\nsplitter = "10k 1 W, 22 uF 450 V"',
            Settled("filter", "splitter", "was", (322.0,)),
            "10k 1 W, 22 uF 450 V, was 322 V",
        ),
    ],
)
def test_short_forms(old: str, change: Settled, new: str) -> None:
    done = edited(old, [change])
    assert f'"{new}"  # read at the bench' in done.text
    assert done.left == []


def test_a_key_that_is_missing_is_added_under_its_table_and_comments_stay() -> None:
    text = '[mains]\nvoltage = "230 V"  # of the plate\n[windings]\n'
    done = edited(text, [Settled("mains", "", "wall", (241.0,))])
    assert (
        done.text
        == '[mains]\nwall = "241 V"  # read at the bench\nvoltage = "230 V"  # of the plate\n[windings]\n'
    )


def test_what_cannot_be_written_is_said() -> None:
    text = 'mains = { voltage = "230 V" }\n[windings]\nht = { volts = ["300 V"], off_load_at = "240 V" }\n'
    done = edited(
        text, [Settled("mains", "", "wall", (241.0,)), Settled("windings", "ht", "off load", (1.0,), 24.0)]
    )
    assert done.text == text
    assert len(done.left) == 2


def test_the_old_file_is_left_alone_and_no_other_is_overwritten(back: ReadBack, tmp_path: Path) -> None:
    old, new = tmp_path / "old.toml", tmp_path / "new.toml"
    old.write_text(TEXT, "utf-8")
    made = updated(parse_description(TEXT, "test"), TEXT, back, "r.toml")
    write_new(new, made, old)
    assert old.read_text("utf-8") == TEXT
    assert new.read_text("utf-8") == made.text
    for taken in (new, old):
        with pytest.raises(CannotUpdate, match="never written over"):
            write_new(taken, made, old)
    with pytest.raises(CannotUpdate, match="cannot be written"):
        write_new(tmp_path / "no" / "folder.toml", made, old)


def test_beside_a_proposal_it_is_refused(back: ReadBack) -> None:
    text = f'{TEXT}\n[new.fuses]\nmains = "T4AH250V"\n'
    with pytest.raises(CannotUpdate, match="proposal"):
        updated(parse_description(text, "test"), text, back, "r.toml")


def test_readings_that_settle_nothing_make_no_file(back: ReadBack) -> None:
    nothing = ReadBack(back.plan, ReadingsView("x", ()))
    with pytest.raises(CannotUpdate, match="settle nothing"):
        updated(parse_description(TEXT, "test"), TEXT, nothing, "r.toml")
