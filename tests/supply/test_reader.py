"""A sound description becomes the model: short forms, table forms, both languages, and [new]."""

from pathlib import Path

import pytest

from psucheck.supply import model
from psucheck.supply.errors import DescriptionError
from psucheck.supply.model import Description, Supply
from psucheck.supply.reader import parse_description, read_description

BASE = Path(__file__).parent / "bad" / "base.toml"
TEXT = BASE.read_text(encoding="utf-8")


def edited(*edits: tuple[str, str]) -> Supply:
    text = TEXT
    for find, write in edits:
        assert text.count(find) == 1, find
        text = text.replace(find, write)
    return parse_description(text, "supply.toml").found


def with_new(new: str) -> Description:
    return parse_description(f"{TEXT}\n{new}", "supply.toml")


def proposed(new: str) -> Supply:
    supply = with_new(new).proposed
    assert supply is not None
    return supply


def test_the_worked_example_becomes_the_model() -> None:
    described = read_description(BASE)
    assert described.proposed is None
    supply = described.found
    assert supply.title == "Two-EL34 head, invented for the tests"
    assert [(entry.count, entry.type) for entry in supply.valves] == [(2, "EL34"), (3, "ECC83")]
    assert supply.mains == model.Mains(voltage=230.0, frequency=50.0, system="UK", wall=243.0)
    assert supply.transformer.primary == model.Primary(voltage=230.0, resistance=6.2)
    assert supply.windings["ht"] == model.Winding(
        volts=(365.0, 365.0), off_load_at=243.0, resistance=(33.0, 35.0)
    )
    assert supply.windings["rectifier heater"] == model.Winding(volts=(5.0,), current=2.0)
    assert supply.rectifiers["ht"].device == model.Device(type="GZ34")
    assert supply.rectifiers["bias"].feed == model.Resistor(value=47e3, power=2.0)
    assert list(supply.filter) == ["reservoir", "screens", "splitter", "preamp", "bias"]
    assert supply.filter["screens"].choke == model.Choke(resistance=110.0, inductance=10.0, current=0.18)
    splitter = supply.filter["splitter"]
    assert splitter.resistor == model.Resistor(value=10e3, power=1.0)
    assert splitter.capacitor is not None
    assert splitter.capacitor.value == pytest.approx(100e-6)
    assert (splitter.capacitor.in_series, splitter.capacitor.voltage) == (2, 350.0)
    assert splitter.capacitor.balancing == model.Resistor(value=220e3, power=1.0)
    assert splitter.was == 390.0
    bias = supply.filter["bias"]
    assert (bias.from_, bias.range, bias.set) == ("rectifiers.bias", (-30.0, -45.0), -37.0)
    output = supply.loads["output"]
    assert output.idle == model.Idle(cathode=0.038, each=True)
    assert output.output_transformer == (38.0, 41.0)
    assert supply.loads["preamp"].current == pytest.approx(4e-3)
    assert supply.fuses["mains"].current == 2.0
    assert supply.switches["standby"].place == "before screens"
    assert supply.accepted == {"valve-voltage output": "the maker ran them so"}


@pytest.mark.parametrize(
    ("short", "table"),
    [
        (
            'reservoir = "50 uF 500 V, was 455 V"',
            'reservoir = { capacitor = { value = "50 uF", voltage = "500 V" }, was = "455 V" }',
        ),
        ('"rectifier heater" = "5 V 2 A"', '"rectifier heater" = { volts = ["5 V"], current = "2 A" }'),
        ('primary = "230 V, 6.2 ohm"', 'primary = { voltage = "230 V", resistance = "6.2 ohm" }'),
        ('device = "GZ34"', 'device = { type = "GZ34" }'),
        ('idle = "38 mA each at the cathode"', 'idle = { cathode = "38 mA", each = true }'),
        ('mains = "T2AL250V"', 'mains = { rating = "T2AL250V" }'),
        ('standby = "before screens"', 'standby = { place = "before screens" }'),
        ('"2 x EL34, 3 x ECC83"', '[{ count = 2, type = "EL34" }, { count = 3, type = "ECC83" }]'),
        ('output_transformer = "38 + 41 ohm"', 'output_transformer = ["38 ohm", "41 ohm"]'),
    ],
)  # fmt: skip
def test_a_table_says_what_its_short_form_says(short: str, table: str) -> None:
    assert edited((short, table)) == edited()


@pytest.mark.parametrize(
    ("ours", "theirs"),
    [
        ('valves = "2 x EL34"\n', 'tubes = "2 x EL34"\n'),
        ('anodes = "reservoir"', 'plates = "reservoir"'),
        ('circuit = "centre-tapped"', 'circuit = "full-wave CT"'),
        ('circuit = "centre-tapped"', 'circuit = "Center  Tapped"'),
        ('circuit = "half-wave"', 'circuit = "half wave"'),
        ('core = "laminated"', 'core = "EI"'),
        ('wall = "243 V"', 'line_voltage = "243 V"'),
        ("[mains]", "[line]"),
        ('"38 mA each at the cathode"', '"38 mA per tube at the cathode"'),
        ('winding = "ht"\ndevice', 'winding = "B+"\ndevice'),
        ('anodes = "reservoir"', 'anodes = "Reservoir"'),
        ('standby = "before screens"', 'standby = "before Screens"'),
        ('from = "rectifiers.bias"', 'from = "rectifiers.Bias"'),
        ('"50 uF 500 V, was 455 V"', '"50 mfd 500 V, was 455 V"'),
    ],
)
def test_both_languages_are_read(ours: str, theirs: str) -> None:
    assert edited((ours, theirs)) == edited()


def test_line_ends_and_a_byte_order_mark_of_windows_are_read(tmp_path: Path) -> None:
    path = tmp_path / "supply.toml"
    path.write_bytes(b"\xef\xbb\xbf" + TEXT.replace("\n", "\r\n").encode())
    assert read_description(path).found == edited()


def test_a_bridge_with_its_centre_tap_on_the_joint_of_two_capacitors() -> None:
    supply = edited(
        ('circuit = "centre-tapped"', 'circuit = "bridge"\ncentre_tap = "reservoir middle"'),
        ('"50 uF 500 V, was 455 V"', '"2 x 100 uF 350 V in series, was 455 V"'),
    )
    assert supply.rectifiers["ht"].centre_tap == "reservoir middle"


def test_a_doubler_with_a_node_on_its_joint() -> None:
    two = 'capacitors = ["220 uF 350 V", "220 uF 350 V"]'
    half = '[filter.half]\nfrom = "rectifiers.ht middle"\nresistor = "10k"'
    supply = edited(
        ('circuit = "centre-tapped"', f'circuit = "full-wave doubler"\n{two}'),
        ("[loads.preamp]", f"{half}\n\n[loads.preamp]"),
    )
    assert supply.filter["half"].from_ == "rectifiers.ht middle"


def test_a_rectifier_with_ratings_of_its_own_needs_no_library() -> None:
    device = '{ type = "NEW1", kind = "valve", drop = "17 V at 225 mA", reverse_voltage = "1500 V" }'
    assert edited(('device = "GZ34"', f"device = {device}")).rectifiers["ht"].device.kind == "valve"


def test_a_capacitor_feed_with_its_clamp() -> None:
    supply = edited(('feed = "47k 2 W"', 'feed = "47 nF 1000 V"\nclamp = "1N4007"'))
    assert isinstance(supply.rectifiers["bias"].feed, model.Capacitor)


# --- [new] ------------------------------------------------------------------------------------------------


def test_new_repeats_only_what_changes() -> None:
    described = with_new('[new.filter]\nreservoir = "47 uF 450 V"\n')
    assert described.proposed is not None
    assert described.proposed.filter["reservoir"].capacitor == model.Capacitor(value=47e-6, voltage=450.0)
    assert described.proposed.filter["reservoir"].was == 455.0
    assert described.found == edited()
    rest = {"filter": described.found.filter}
    assert described.proposed.model_copy(update=rest) == described.found


def test_a_short_node_in_new_keeps_what_it_does_not_name() -> None:
    node = proposed('[new.filter.bias]\nset = "-40 V"\n').filter["bias"]
    assert (node.from_, node.set, node.range) == ("rectifiers.bias", -40.0, (-30.0, -45.0))
    splitter = proposed('[new.filter]\nsplitter = "22k 2 W"\n').filter["splitter"]
    assert splitter.resistor == model.Resistor(value=22e3, power=2.0)
    assert splitter.capacitor == edited().filter["splitter"].capacitor


def test_a_resistor_in_new_takes_the_place_of_the_choke() -> None:
    node = proposed('[new.filter]\nscreens = "470 ohm 5 W"\n').filter["screens"]
    assert node.choke is None
    assert node.resistor == model.Resistor(value=470.0, power=5.0)


def test_another_capacitor_has_nothing_of_the_old_one() -> None:
    node = proposed('[new.filter]\nsplitter = { capacitor = "47 uF 500 V" }\n').filter["splitter"]
    assert node.capacitor == model.Capacitor(value=47e-6, voltage=500.0)


def test_another_transformer_has_nothing_of_the_old_one() -> None:
    supply = proposed(
        '[new.transformer]\nprimary = "240 V"\n'
        '[new.windings]\nht = "345-0-345 V 220 mA"\nheaters = "6.3 V 5 A"\n"rectifier heater" = "5 V 3 A"\n'
    )
    assert supply.transformer == model.Transformer(primary=model.Primary(voltage=240.0))
    assert supply.windings["ht"] == model.Winding(volts=(345.0, 345.0), current=0.22)


def test_another_mains_leaves_the_old_readings_behind() -> None:
    mains = proposed('[new.mains]\nvoltage = "120 V"\nfrequency = "60 Hz"\n').mains
    assert mains == model.Mains(voltage=120.0, frequency=60.0)
    assert proposed('[new.mains]\nwall = "236 V"\n').mains.system == "UK"


def test_silicon_for_a_valve_leaves_its_heater_winding_unused() -> None:
    new = (
        '[new.rectifiers.ht]\ndevice = "1N4007"\n[new.windings]\nht = "345-0-345 V"\nheaters = "6.3 V 5 A"\n'
    )
    assert proposed(new).rectifiers["ht"].heater is None
    assert proposed('[new.rectifiers.ht]\ndevice = "5U4GB"\n').rectifiers["ht"].heater == "rectifier heater"


def test_none_takes_a_part_out() -> None:
    supply = proposed('[new.fuses]\n"before reservoir" = "none"\n[new.filter]\nsplitter = "none"\n')
    assert list(supply.fuses) == ["mains"]
    assert list(supply.filter) == ["reservoir", "screens", "preamp", "bias"]


def test_both_languages_serve_in_new() -> None:
    assert proposed('[new.loads.output]\nplates = "screens"\n').loads["output"].anodes == "screens"


def test_a_fault_of_the_found_supply_is_not_told_again_for_the_proposed() -> None:
    text = TEXT.replace('anodes = "reservoir"', 'anodes = "resevoir"') + '\n[new.mains]\nwall = "236 V"\n'
    with pytest.raises(DescriptionError) as caught:
        parse_description(text, "supply.toml")
    assert [problem.key for problem in caught.value.problems] == ["loads.output.anodes"]


def test_faults_of_both_supplies_are_told_at_once() -> None:
    text = TEXT.replace('anodes = "reservoir"', 'anodes = "resevoir"') + "\n[new.mains]\nwall = 236\n"
    with pytest.raises(DescriptionError) as caught:
        parse_description(text, "supply.toml")
    assert [problem.key for problem in caught.value.problems] == ["loads.output.anodes", "new.mains.wall"]
