"""A description with parts of its own: the key, the order of looking up, and what is said of it."""

from __future__ import annotations

from pathlib import Path

import pytest

from psucheck.parts import library, shipped
from psucheck.supply.errors import DescriptionError
from psucheck.supply.fill import fill
from psucheck.supply.model import Description
from psucheck.supply.own_parts import own_parts_used
from psucheck.supply.reader import read_description
from tests.parts.test_user_parts import DROP, GOOD

HEAD = """\
title = "Own parts"
{parts}
[mains]
voltage = "230 V"
frequency = "50 Hz"
[transformer]
primary = "230 V, 6.2 ohm"
[windings]
ht = "345-0-345 V off load at 230 V, 33 + 35 ohm, 200 mA"
heater = "5 V 2 A"
[rectifiers.ht]
circuit = "centre-tapped"
winding = "ht"
device = "{device}"
{heater}
[filter]
reservoir = "32 uF 500 V, bleeder 220k 1 W"
"""
HEATED = 'heater = "heater"'
KEY = 'parts = "my-parts.toml"'


def read(
    folder: Path,
    device: str = "GZ34",
    *,
    key: str = KEY,
    own: str | None = GOOD,
    everywhere: str | None = None,
    more: str = "",
) -> Description:
    """A description in ``folder`` with its parts file, and a parts file that holds everywhere."""
    heater = "" if device.startswith(("XD", "2 x", "1N")) else HEATED
    path = folder / "amp.toml"
    path.write_text(HEAD.format(parts=key, device=device, heater=heater) + more, "utf-8")
    if own is not None:
        (folder / "my-parts.toml").write_text(own, "utf-8")
    if everywhere is None:
        return read_description(path)
    user = folder / "everywhere.toml"
    user.write_text(everywhere, "utf-8")
    return read_description(path, user)


def perveance(description: Description) -> float:
    return fill(description.found).devices["ht"].perveance


def test_the_own_part_is_what_the_circuit_is_made_of(tmp_path: Path) -> None:
    found = read(tmp_path)
    assert perveance(found) == pytest.approx(0.225 / 20.0**1.5)
    assert own_parts_used(found.found) == ("GZ34 from my-parts.toml, in place of the library's own",)
    assert library() is shipped()


def test_without_the_key_nothing_of_the_file_is_read(tmp_path: Path) -> None:
    found = read(tmp_path, key="", own="nonsense")
    assert perveance(found) == pytest.approx(0.225 / 17.0**1.5)
    assert found.found.library is None
    assert own_parts_used(found.found) == ()


def test_a_part_that_is_not_used_is_not_told(tmp_path: Path) -> None:
    assert own_parts_used(read(tmp_path, "5U4GB").found) == ()


@pytest.mark.parametrize("device", ["XD12", "xd-1200", "2 x XD12 in series"])
def test_a_part_that_the_library_lacks(device: str, tmp_path: Path) -> None:
    assert own_parts_used(read(tmp_path, device).found) == ("XD12 from my-parts.toml",)
    with pytest.raises(DescriptionError, match="is not in the part library"):
        read(tmp_path, device, key="")


def test_every_place_that_names_a_type_is_told(tmp_path: Path) -> None:
    own = f"""{GOOD}
[valves.XL]
use = "small"
heater = {{ volts = 6.3, amps = 0.3, source = "box", status = "read" }}
anode_voltage_limit = {{ volts = 300.0, source = "box", status = "read" }}
anode_watts = {{ watts = 1.0, source = "box", status = "read" }}
[ntcs.XN]
cold_resistance = {{ ohms = 10.0, source = "box", status = "read" }}
rated_current = {{ amps = 3.0, source = "box", status = "read" }}
beta = {{ kelvin = 3000.0, source = "box", status = "read" }}
dissipation = {{ watts_per_kelvin = 0.01, source = "box", status = "read" }}
time_constant = {{ seconds = 50.0, source = "box", status = "read" }}
hot = {{ amps = [3.0], ohms = [0.3], source = "box", status = "read" }}
[systems.Island]
voltage = {{ nominal = 230.0, low = 200.0, high = 260.0, source = "meter", status = "read" }}
frequencies = {{ hertz = [50.0], source = "meter", status = "read" }}
impedance = {{ ohms = 1.0, reactance_ohms = 0.1, hertz = 50.0, source = "meter", status = "read" }}
"""
    key = f'{KEY}\nvalves = "2 x XL"\nlimiters = {{ mains = "XN" }}'
    more = (
        '[rectifiers.bias]\ncircuit = "half-wave"\nwinding = "ht"\npolarity = "negative"\ndevice = "XD12"\n'
    )
    more += '[filter.bias]\nfrom = "rectifiers.bias"\ncapacitor = "10 uF 500 V"\nbleeder = "100k"\n'
    text = HEAD.replace('frequency = "50 Hz"', 'frequency = "50 Hz"\nsystem = "Island"')
    device = '{ type = "GZ34", backup = "XD-1200" }'
    text = text.replace('device = "{device}"', f"device = {device}".replace("{ ", "{{ ").replace(" }", " }}"))
    path = tmp_path / "amp.toml"
    path.write_text(text.format(parts=key, heater=HEATED) + more, "utf-8")
    (tmp_path / "my-parts.toml").write_text(own, "utf-8")
    said = own_parts_used(read_description(path).found)
    assert set(said) == {
        "Island from my-parts.toml",
        "XL from my-parts.toml",
        "XN from my-parts.toml",
        "XD12 from my-parts.toml",
        "GZ34 from my-parts.toml, in place of the library's own",
    }
    assert fill(read_description(path).found).mains.high == 260.0


def test_the_descriptions_file_goes_before_the_one_that_holds_everywhere(tmp_path: Path) -> None:
    everywhere = GOOD.replace("volts = 20.0", "volts = 24.0").replace("XD12", "XE").replace("XD-1200", "XF")
    both = read(tmp_path, everywhere=everywhere)
    assert perveance(both) == pytest.approx(0.225 / 20.0**1.5)
    alone = read(tmp_path, key="", everywhere=everywhere)
    assert perveance(alone) == pytest.approx(0.225 / 24.0**1.5)
    (said,) = own_parts_used(alone.found)
    assert "everywhere.toml" in said
    assert own_parts_used(read(tmp_path, "XE", everywhere=everywhere).found)[0].startswith("XE from ")


def test_one_name_cannot_be_two_kinds_of_rectifier_in_two_files(tmp_path: Path) -> None:
    everywhere = GOOD.replace("[rectifiers.GZ34]", "[rectifiers.XD12]").split("[diodes")[0]
    with pytest.raises(DescriptionError, match="is a valve in the library"):
        read(tmp_path, everywhere=everywhere)


def test_supply_as_found_and_as_proposed_have_the_same_parts(tmp_path: Path) -> None:
    more = '[new.rectifiers.ht]\ndevice = "XD12"\n'
    description = read(tmp_path, more=more)
    assert description.proposed is not None
    assert description.proposed.library is description.found.library
    assert fill(description.proposed, loads_of=fill(description.found)).devices["ht"].kind == "silicon"
    assert own_parts_used(description.proposed) == ("XD12 from my-parts.toml",)


def test_a_parts_file_is_not_proposed(tmp_path: Path) -> None:
    with pytest.raises(DescriptionError, match="one parts file holds") as caught:
        read(tmp_path, more='[new]\nparts = "others.toml"\n')
    assert [problem.key for problem in caught.value.problems] == ["new.parts"]


def test_a_parts_file_that_is_not_there_is_a_fault_of_the_description(tmp_path: Path) -> None:
    with pytest.raises(DescriptionError, match="there is no parts file") as caught:
        read(tmp_path, own=None)
    (problem,) = caught.value.problems
    assert (problem.key, problem.line, Path(problem.file).name) == ("parts", 2, "amp.toml")


def test_a_bad_parts_file_is_told_with_its_own_name_and_lines(tmp_path: Path) -> None:
    with pytest.raises(DescriptionError) as caught:
        read(tmp_path, own=GOOD.replace(DROP, "drop = 3"))
    (problem,) = caught.value.problems
    assert Path(problem.file).name == "my-parts.toml"
    assert problem.text == "drop = 3"


@pytest.mark.parametrize("key", ["parts = 3", 'parts = ""', "parts = []", 'parts = "a\\nb"', 'parts = "."'])
def test_what_names_no_file(key: str, tmp_path: Path) -> None:
    with pytest.raises(DescriptionError):
        read(tmp_path, key=key)
