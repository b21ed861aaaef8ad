import pytest

from psucheck.supply import guesses
from psucheck.supply.errors import DescriptionError
from psucheck.supply.fill import fill
from psucheck.supply.filled import FilledSupply, OutputLoad
from tests.supply.sketch import filled, notes, read

RECTIFIER_VALVE = (
    '[rectifiers.ht]\ncircuit = "centre-tapped"\nwinding = "ht"\ndevice = "GZ34"\nheater = "rectifier heater"'
)
HT = 'ht = "300-0-300 V off load at 240 V, 36 + 38 ohm, 320 mA"'


def _output(*lines: str, valves: str = "2 x EL34", **sections: str) -> FilledSupply:
    load = [
        "[loads.output]",
        f'valves = "{valves}"',
        'anodes = "reservoir"',
        *lines,
    ]
    for key, usual in (
        ("screens", '"screens"'),
        ("bias", '"-36 V"'),
        ("idle", '"38 mA each at the cathode"'),
        ("output_transformer", '"38 + 42 ohm"'),
    ):
        if not any(line.startswith(key) for line in lines):
            load.append(f"{key} = {usual}")
    return filled(output="\n".join(line for line in load if not line.endswith("= none")), **sections)


def _only(supply: FilledSupply) -> OutputLoad:
    return supply.outputs["output"]


# --- heaters ----------------------------------------------------------------------------------------------


def test_the_line_ups_heaters_add_up() -> None:
    supply = filled()
    # Two EL34 of 1.5 A, three ECC83 of 0.3 A.
    heated = [(load.winding, load.group, round(load.amps, 6), load.volts) for load in supply.heaters]
    assert heated == [("heaters", "valves", 3.9, 6.3)]
    assert notes(supply)["windings.heaters.heater_amps"].value == pytest.approx(3.9)


def test_without_a_line_up_the_loads_valves_are_heated() -> None:
    supply = filled(top='title = "A sketch"')
    assert supply.heaters[0].amps == pytest.approx(3.0)


def test_a_rectifier_valve_heats_from_its_own_winding_and_stays_in() -> None:
    supply = filled(
        rectifiers=RECTIFIER_VALVE,
        windings=f'[windings]\n"rectifier heater" = "5 V 3 A"\n{HT}\nheaters = "6.3 V 5 A"',
    )
    heated = [(load.winding, load.group, round(load.amps, 6), load.volts) for load in supply.heaters]
    assert heated == [("rectifier heater", "rectifier", 1.9, 5.0), ("heaters", "valves", 3.9, 6.3)]


def test_two_rectifier_valves_in_parallel_heat_twice() -> None:
    table = (
        '{ kind = "valve", drop = "17 V at 225 mA", heater = "5 V 1.9 A", in_parallel = 2, '
        'reverse_voltage = "1500 V" }'
    )
    supply = filled(
        rectifiers=RECTIFIER_VALVE.replace('"GZ34"', table),
        windings=f'[windings]\n{HT}\n"rectifier heater" = "5 V 5 A"\nheaters = "6.3 V 5 A"',
    )
    assert supply.heaters[0].amps == pytest.approx(3.8)


def test_silicon_is_not_heated() -> None:
    supply = filled(
        rectifiers=RECTIFIER_VALVE.replace("GZ34", "1N4007"),
        windings=f'[windings]\n{HT}\n"rectifier heater" = "5 V 3 A"\nheaters = "6.3 V 5 A"',
    )
    assert {load.group for load in supply.heaters} == {"valves"}


@pytest.mark.parametrize(
    ("windings", "chosen"),
    [
        ((HT, 'heaters = "6.3 V 5 A"', 'spare = "6.3 V 2 A"'), "heaters"),
        (('"rectifier heater" = "5 V 3 A"', 'low = "3.15-0-3.15 V 5 A"', HT), "low"),
        ((HT, '"rectifier heater" = "6.3 V 6 A"'), "rectifier heater"),
    ],
)
def test_the_winding_that_heats_the_line_up(windings: tuple[str, ...], chosen: str) -> None:
    rectifiers = RECTIFIER_VALVE if "rectifier heater" in "".join(windings) else None
    changes = {"rectifiers": rectifiers.replace("GZ34", "5AR4")} if rectifiers else {}
    supply = filled(windings="\n".join(("[windings]", *windings)), **changes)
    assert [load.winding for load in supply.heaters if load.group == "valves"] == [chosen]


def test_a_rectifier_valves_winding_of_other_volts_heats_nothing_else() -> None:
    supply = filled(rectifiers=RECTIFIER_VALVE, windings=f'[windings]\n{HT}\n"rectifier heater" = "5 V 9 A"')
    assert [load.group for load in supply.heaters] == ["rectifier"]


def test_a_low_winding_that_a_rectifier_stands_on_heats_nothing() -> None:
    bias = (
        '[rectifiers.bias]\ncircuit = "half-wave"\npolarity = "negative"\nwinding = "low"\n'
        'device = "1N4007"\n'
        '[filter.bias]\nfrom = "rectifiers.bias"\ncapacitor = "100 uF 63 V"\nset = "-30 V"'
    )
    supply = filled(windings=f'[windings]\n{HT}\nlow = "25 V 100 mA"\nheaters = "6.3 V 5 A"', bias=bias)
    assert [load.winding for load in supply.heaters] == ["heaters"]


SHARING = (
    '[rectifiers.low]\ncircuit = "half-wave"\npolarity = "negative"\nwinding = "heaters"\n'
    'device = "1N4007"\n[filter.low]\nfrom = "rectifiers.low"\ncapacitor = "100 uF 25 V"'
)


@pytest.mark.parametrize(("volts", "heated"), [("6.3", ["heaters"]), ("9", [])])
def test_without_another_the_line_up_hangs_on_a_winding_that_a_rectifier_stands_on(
    volts: str, heated: list[str]
) -> None:
    supply = filled(windings=f'[windings]\n{HT}\nheaters = "{volts} V 5 A"', bias=SHARING)
    assert [load.winding for load in supply.heaters] == heated


@pytest.mark.parametrize(
    ("line_up", "amps", "volts"),
    [
        # Halves in series: 150 mA each.
        ("3 x ECC83", 0.45, 12.6),
        # Two EL34, of 9.45 W each, take what watts they take; that they are for 6.3 V is pointed out.
        ("2 x EL34, 3 x ECC83", (2 * 9.45 + 3 * 1.89) / 12.6, 12.6),
        ("3 x ECC83, 2 x EL34", (2 * 9.45 + 3 * 1.89) / 12.6, 12.6),
    ],
)
def test_heaters_take_their_watts_at_the_windings_nominal_volts(
    line_up: str, amps: float, volts: float
) -> None:
    top = f'title = "A sketch"\nvalves = "{line_up}"'
    supply = filled(top=top, windings=f'[windings]\n{HT}\nheaters = "12.6 V 3 A"')
    (load,) = supply.heaters
    assert load.amps == pytest.approx(amps)
    assert load.volts == volts


def test_no_winding_for_heaters_no_heaters() -> None:
    assert filled(windings=f"[windings]\n{HT}").heaters == ()


# --- the idle point ---------------------------------------------------------------------------------------


def test_the_cathodes_current_is_split_as_on_the_sheet() -> None:
    supply = _output()
    output = _only(supply)
    # The EL34's fixed-bias row next to 400 V: 60 mA of anode, 9 mA of screen current for a pair.
    assert output.anode_amps + output.screen_amps == pytest.approx(0.076)
    assert output.screen_amps / output.anode_amps == pytest.approx(9 / 60)
    note = notes(supply)["loads.output.idle.screen"]
    assert note.value == pytest.approx(output.screen_amps)
    assert note.low is not None
    assert note.high is not None
    assert note.low < note.value < note.high


def test_with_cathode_bias_the_sheets_cathode_bias_row() -> None:
    output = _only(_output('bias = "cathode"', 'cathode_resistor = "470 ohm 5 W"'))
    assert output.screen_amps / output.anode_amps == pytest.approx(23 / 150)
    assert output.grid_volts == pytest.approx(-0.076 * 470)
    assert (output.bias, output.bias_node, output.cathode_ohms) == ("cathode", None, 470.0)


def test_a_screen_current_that_was_read_is_taken() -> None:
    supply = _output('idle = { cathode = "38 mA", screen = "4 mA" }')
    assert (_only(supply).anode_amps, _only(supply).screen_amps) == pytest.approx((0.068, 0.008))
    assert "loads.output.idle.screen" not in notes(supply)


def test_an_anode_current_that_was_read_leaves_the_screens_to_the_sheet() -> None:
    output = _only(_output('idle = "34 mA each at the anode"'))
    assert output.anode_amps == pytest.approx(0.068)
    assert output.screen_amps == pytest.approx(0.068 * 9 / 60)


def test_a_reading_of_all_together() -> None:
    output = _only(_output('idle = { anode = "68 mA", screen = "8 mA", each = false, at = "438 V" }'))
    assert (output.anode_amps, output.screen_amps) == pytest.approx((0.068, 0.008))
    assert output.anode_volts == 438.0
    assert output.screen_volts == 396.0


def test_without_screens_the_anodes_take_all() -> None:
    output = _only(_output("screens = none"))
    assert (output.anode_amps, output.screen_amps) == pytest.approx((0.076, 0.0))
    assert (output.screens, output.screen_volts) == (None, None)


def test_a_type_without_a_table_takes_the_usual_share_and_no_law() -> None:
    supply = _output(valves="2 x KT77")
    output, share = _only(supply), guesses.SCREEN_SHARE.value
    assert output.screen_amps == pytest.approx(0.076 * share / (1 + share))
    assert output.mu is None
    assert "screen voltage alone" in notes(supply)["loads.output.mu"].why


def test_the_type_with_two_points_has_its_law() -> None:
    mu = _only(_output()).mu
    assert mu is not None
    assert 5 < mu < 15


@pytest.mark.parametrize(("idle", "amps"), [
    ('"34 mA each at the anode"', 0.068),
    ('"38 mA each at the cathode"', 0.076),
    ('{ anode = "68 mA", screen = "8 mA", each = false }', 0.076),
])  # fmt: skip
def test_without_screens_what_was_read_is_all(idle: str, amps: float) -> None:
    """A triode, or a pentode strapped as one: no share for a screen is guessed on top of what was read."""
    supply = _output(f"idle = {idle}", "screens = none", valves="2 x EL34")
    output = _only(supply)
    assert output.anode_amps == pytest.approx(amps)
    assert output.screen_amps == 0.0
    assert "loads.output.idle.screen" not in notes(supply)


# --- full output ------------------------------------------------------------------------------------------


def test_full_output_as_given() -> None:
    supply = _output('full = "190 mA"', 'full_screen = "30 mA"')
    output = _only(supply)
    assert (output.full_anode_amps, output.full_screen_amps, output.full_volts) == (0.19, 0.03, 400.0)
    assert not [key for key in notes(supply) if key.startswith("loads.output.full")]


def test_full_output_from_the_power_on_the_badge() -> None:
    supply = _output('power = "36 W"')
    assert _only(supply).full_anode_amps == pytest.approx(36 / (0.6 * 400))
    note = notes(supply)["loads.output.full"]
    assert note.kind == "guess"
    assert "36 W" in note.why


def test_a_small_power_never_draws_less_than_idle() -> None:
    output = _only(_output('power = "5 W"'))
    assert output.full_anode_amps == output.anode_amps


def test_full_output_from_the_sheet_is_meant_at_the_sheets_rail() -> None:
    supply = _output()
    output = _only(supply)
    assert (output.full_anode_amps, output.full_volts) == pytest.approx((0.24, 425.0))
    # 9 mA rise to 50 mA.
    assert output.full_screen_amps == pytest.approx(output.screen_amps * 50 / 9)
    assert notes(supply)["loads.output.full"].kind == "default"


def test_four_valves_are_two_pairs() -> None:
    assert _only(_output(valves="4 x EL34")).full_anode_amps == pytest.approx(0.48)


def test_single_ended_draws_at_full_output_what_it_draws_at_idle() -> None:
    output = _only(_output('output_transformer = "120 ohm"', valves="1 x EL34"))
    assert output.full_anode_amps == output.anode_amps
    assert output.anode_path_ohms == 120.0


# --- what stands around the valves ------------------------------------------------------------------------


def test_each_half_of_the_output_transformer_carries_half() -> None:
    # 34 mA through 38 ohm and 34 mA through 42: the mean drop is 68 mA x 20 ohm.
    assert _only(_output()).anode_path_ohms == pytest.approx(20.0)


def test_screen_resistors_stand_in_parallel() -> None:
    assert _only(_output('screen_resistors = "1k 5 W"', valves="4 x EL34")).screen_ohms == 250.0


def test_without_a_transformer_and_resistors_nothing_is_dropped() -> None:
    output = _only(_output("output_transformer = none"))
    assert (output.anode_path_ohms, output.screen_ohms, output.cathode_ohms) == (0.0, 0.0, 0.0)


def test_a_fixed_bias_is_what_it_says() -> None:
    output = _only(_output('bias = "-34 V"'))
    assert (output.bias, output.bias_node, output.grid_volts) == ("fixed", None, -34.0)


BIAS = (
    '[rectifiers.bias]\ncircuit = "half-wave"\npolarity = "negative"\nwinding = "ht"\nfeed = "47k 2 W"\n'
    'device = "1N4007"\n[filter.bias]\nfrom = "rectifiers.bias"\ncapacitor = "10 uF 100 V"\n'
)


@pytest.mark.parametrize(
    ("node", "volts"),
    [
        ('set = "-35 V"\nrange = ["-28 V", "-44 V"]', -35.0),
        ('was = "-35 V"', -35.0),
        ('range = ["-28 V", "-44 V"]', -36.0),
    ],
)
def test_the_bias_from_a_node(node: str, volts: float) -> None:
    supply = _output('bias = "bias"', more=BIAS + node)
    output = _only(supply)
    assert (output.bias, output.bias_node, output.grid_volts) == ("node", "bias", volts)
    guessed = "filter.bias.set" in notes(supply)
    assert guessed is ("set" not in node and "was" not in node)


def test_output_valves_without_a_bias_are_refused_in_words() -> None:
    with pytest.raises(DescriptionError, match="bias"):
        read(
            output='[loads.output]\nvalves = "2 x EL34"\nanodes = "reservoir"\nscreens = "screens"\n'
            'idle = "38 mA each at the cathode"'
        )


def test_the_loads_of_a_proposal_are_those_of_the_supply_as_found() -> None:
    found = filled(more=BIAS + 'was = "-40 V"')
    changed = read(
        windings='[windings]\nht = "330-0-330 V off load at 240 V, 40 + 42 ohm, 320 mA"\n'
        'heaters = "6.3 V 5 A"',
        more=BIAS + 'was = "-40 V"',
    )
    proposed = fill(changed, loads_of=found)
    assert proposed.outputs == found.outputs
    assert proposed.currents == found.currents
    assert proposed.nodes["bias"].bias_load_ohms == found.nodes["bias"].bias_load_ohms
    assert proposed.windings["ht"].ratios[0] == pytest.approx(330 / 240)
    assert notes(proposed)["filter.preamp.current"] == notes(found)["filter.preamp.current"]


def test_a_pair_set_hotter_than_the_sheet_s_reaches_the_sheet_s_screen_current_and_no_more() -> None:
    supply = _output('idle = "70 mA each at the cathode"')
    output = _only(supply)
    assert output.full_screen_amps == pytest.approx(0.05)
    assert notes(supply)["loads.output.full_screen"].why == "the sheet's screen current at full signal"
