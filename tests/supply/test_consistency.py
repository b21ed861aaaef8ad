"""Facts that contradict each other are pointed out with both numbers; a sound description has none."""

from pathlib import Path

import pytest

from psucheck.supply.consistency import contradictions
from psucheck.supply.reader import parse_description
from psucheck.supply.remark import Remark

TEXT = (Path(__file__).parent / "bad" / "base.toml").read_text(encoding="utf-8")


def remarks(*edits: tuple[str, str], new: str = "") -> list[Remark]:
    text = TEXT
    for find, write in edits:
        assert text.count(find) == 1, find
        text = text.replace(find, write)
    return contradictions(parse_description(f"{text}\n{new}", "supply.toml"))


def test_a_sound_description_contradicts_itself_nowhere() -> None:
    assert remarks() == []


CATHODE = ('bias = "bias"', 'bias = "cathode"\ncathode_resistor = "{}"')


@pytest.mark.parametrize(
    ("edit", "keys", "message"),
    [
        pytest.param(
            ("365-0-365 V", "365-0-350 V"),
            ("windings.ht",),
            "the halves of ht are 4 % apart, 365 V and 350 V: measure them again, off load; a "
            "difference that stays means shorted turns, or a tap off centre",
            id="halves of a winding",
        ),
        pytest.param(
            ("50 uF 500 V, was 455 V", "50 uF 600 V, was 530 V"),
            ("filter.reservoir.was", "windings.ht"),
            "reservoir was 530 V, above the 516 V that ht can charge it to: 365 V AC off load at the wall "
            "voltage x 1.41",
            id="a reservoir above the crest",
        ),
        pytest.param(
            ("was 455 V", "was 320 V"),
            ("filter.reservoir.was", "windings.ht"),
            "reservoir was 320 V, below 0.9 x the 365 V AC of ht: so low a rail on a capacitor-input filter "
            "means a dead half, an empty capacitor, or a bad reading",
            id="a reservoir below the mean",
        ),
        pytest.param(
            ("2 x EL34, 3 x ECC83", "1 x EL34, 3 x ECC83"),
            ("valves", "loads"),
            "the loads have 2 x EL34, the line-up has 1",
            id="more valves than the line-up",
        ),
        pytest.param(
            ("2 x EL34, 3 x ECC83", "3 x ECC83"),
            ("valves", "loads"),
            "the loads have 2 x EL34, the line-up has none",
            id="a type that the line-up lacks",
        ),
        pytest.param(
            ("2 x EL34, 3 x ECC83", "4 x EL34, 3 x ECC83"),
            ("valves", "loads"),
            "the line-up has 4 x EL34, but only 2 of them draw in the loads",
            id="output valves that draw nowhere",
        ),
        pytest.param(
            ('heaters = "6.9 V off load at 243 V"', 'heaters = "6.3 V 3 A"'),
            ("valves", "windings.heaters"),
            "the heaters of the line-up draw 3.9 A, the winding heaters is rated 3 A",
            id="heaters beyond their winding",
        ),
        pytest.param(
            ("was 390 V", "was 460 V"),
            ("filter.splitter.was", "filter.screens.was"),
            "splitter was 460 V, more than the 450 V of screens that feeds it",
            id="a node above what feeds it",
        ),
        pytest.param(
            ("50 uF 500 V, was 455 V", "50 uF 450 V, was 455 V"),
            ("filter.reservoir.was", "filter.reservoir.capacitor"),
            "reservoir was 455 V, and its capacitor is rated 450 V",
            id="a capacitor below the reading",
        ),
        pytest.param(
            ('set = "-37 V"', 'set = "-52 V"'),
            ("filter.bias.set", "filter.bias.range"),
            "the bias is set to -52 V, outside the pot's range of -30 V to -45 V",
            id="a bias outside the pot's range",
        ),
        pytest.param(
            ('set = "-37 V"', 'set = "-37 V"\nwas = "-41 V"'),
            ("filter.bias.was", "filter.bias.set"),
            "bias was -41 V and is set to -37 V: two readings of one voltage",
            id="two readings of the bias",
        ),
        pytest.param(
            ('"38 mA each at the cathode"', '{ cathode = "38 mA", at = "430 V" }'),
            ("loads.output.idle", "filter.reservoir.was"),
            "the idle current of output was read at 430 V, and reservoir was 455 V: two readings of one rail",
            id="two readings of the rail",
        ),
        pytest.param(
            (CATHODE[0], CATHODE[1].format("27 ohm")),
            ("loads.output.cathode_resistor", "loads.output.idle", "loads.output.valves"),
            "76 mA through 27 ohm is 2.05 V at the cathodes of output; EL34 is biased with 13.5 V to 38 V",
            id="cathode volts too low for the type",
        ),
        pytest.param(
            (CATHODE[0], CATHODE[1].format("2k2")),
            ("loads.output.cathode_resistor", "loads.output.idle", "loads.output.valves"),
            "76 mA through 2.2 kohm is 167 V at the cathodes of output; EL34 is biased with 13.5 V to 38 V",
            id="cathode volts too high for the type",
        ),
    ],
)
def test_a_contradiction_is_told_with_both_numbers(
    edit: tuple[str, str], keys: tuple[str, ...], message: str
) -> None:
    screens = ('180 mA, 50 uF 500 V"', '180 mA, 50 uF 500 V, was 450 V"')
    (remark,) = remarks(edit, screens) if edit[0] == "was 390 V" else remarks(edit)
    assert (remark.keys, remark.message) == (keys, message)


def test_a_usual_cathode_resistor_is_no_contradiction() -> None:
    assert remarks((CATHODE[0], CATHODE[1].format("470 ohm"))) == []


@pytest.mark.parametrize(("was", "told"), [(1020, False), (1040, True)])
def test_a_doubler_charges_to_twice_the_crest(was: int, told: bool) -> None:
    """365 V plain winding: 2 x 1.414 x 365 V = 1032 V."""
    pair = 'capacitors = ["47 uF 630 V", "47 uF 630 V"]'
    found = remarks(
        ('"365-0-365 V off load at 243 V, 33 + 35 ohm"', '"365 V off load at 243 V, 33 ohm"'),
        ('circuit = "centre-tapped"', f'circuit = "cascade doubler"\n{pair}'),
        ("50 uF 500 V, was 455 V", f"2 x 100 uF 630 V in series, was {was} V"),
    )
    assert ["x 1.41 x 2" in remark.message for remark in found] == [True] * told


def test_off_load_volts_are_taken_at_the_wall_voltage() -> None:
    """Read at 230 V, 345 V is 364.5 V at the wall's 243 V: a crest of 515 V."""
    at_230 = ("365-0-365 V off load at 243 V", "345-0-345 V off load at 230 V")
    assert remarks(at_230, ("was 455 V", "was 514 V")) == [
        Remark(
            ("filter.reservoir.was", "filter.reservoir.capacitor"),
            "reservoir was 514 V, and its capacitor is rated 500 V",
        )
    ]
    crest, _ = remarks(at_230, ("was 455 V", "was 517 V"))
    assert crest.message.startswith("reservoir was 517 V, above the 515 V")


def test_choke_input_may_lie_below_the_mean() -> None:
    assert remarks(("50 uF 500 V, was 455 V", "choke 10 H 110 ohm, 50 uF 500 V, was 320 V"),
                   ("was 390 V", "was 300 V")) == []  # fmt: skip


def test_with_the_original_given_the_reading_was_taken_on_that() -> None:
    text = "50 uF 450 V, original 50 uF 500 V, was 455 V"
    assert remarks(("50 uF 500 V, was 455 V", text)) == []


def test_readings_of_the_supply_as_found_are_not_held_against_the_new_one() -> None:
    heaters = 'heaters = "6.3 V 5 A"\n"rectifier heater" = "5 V 3 A"\n'
    new = f'[new.windings]\nht = "300-0-300 V off load at 243 V"\n{heaters}'
    assert remarks(new=new) == []


def test_what_the_new_parts_say_is_looked_at() -> None:
    new = '[new.windings]\nht = "300-0-300 V"\nheaters = "6.3 V 3 A"\n"rectifier heater" = "5 V 3 A"\n'
    (remark,) = remarks(new=new)
    assert remark.message == "the heaters of the line-up draw 3.9 A, the winding heaters is rated 3 A"


def test_heaters_that_no_winding_feeds_are_pointed_out() -> None:
    found = remarks(('heaters = "6.9 V off load at 243 V"\n', ""))
    assert [remark.message for remark in found] == [
        "the line-up's heaters draw 3.9 A, no winding feeds them: the primary is judged without them"
    ]


def test_a_part_in_a_lead_of_the_ht_is_not() -> None:
    assert remarks(new='[series]\n"each winding ht" = "22 ohm 5 W"') == []


HEATERS = 'heaters = "6.9 V off load at 243 V"'
FEED = 'feed = "47k 2 W"'


def test_a_rectifier_heaters_winding_is_not_taken_for_the_line_up() -> None:
    (remark,) = remarks((HEATERS, ""))
    assert remark.message == (
        "the line-up's heaters draw 3.9 A, no winding feeds them: the primary is judged without them"
    )


@pytest.mark.parametrize("volts", ["5 V 9 A", "12.6 V 9 A"])
def test_a_winding_of_other_volts_than_the_heaters(volts: str) -> None:
    found = [each for each in remarks((HEATERS, f'heaters = "{volts}"')) if "the heaters of" in each.message]
    if volts.startswith("12.6"):
        assert found == []  # the halves of an ECC83 in series
        return
    (remark,) = found
    assert remark.keys == ("valves", "windings.heaters")
    assert remark.message == (
        "the heaters of the line-up are for 6.3 V or 12.6 V, and heaters, the only winding left for them, "
        "has 5 V"
    )


def test_heaters_within_their_spread_over_the_label_are_not_nagged_about() -> None:
    assert remarks((HEATERS, 'heaters = "6.3 V 3.8 A"')) == []


def test_the_line_up_on_the_winding_of_a_rectifier_of_its_volts() -> None:
    other = ('"rectifier heater" = "5 V 2 A"', '"rectifier heater" = "6.3 V 6 A"')
    assert remarks((HEATERS, ""), other) == []


def test_a_rectifier_that_feeds_no_node() -> None:
    spare = 'circuit = "half-wave"\npolarity = "negative"\nwinding = "ht"\ndevice = "1N4007"'
    (remark,) = remarks(new=f"[rectifiers.spare]\n{spare}")
    assert remark.keys == ("rectifiers.spare", "filter")
    assert remark.message.startswith("the rectifier spare feeds no node: say from = ")


@pytest.mark.parametrize(("feed", "said"), [
    ("47 nF 1000 V", None),
    ("220 nF 630 V", None),
    ("47 uF 1000 V", "passes up to 2.43 A, where a bias takes a few mA: is nF meant?"),
    ("47 pF 1000 V", "is nF meant?"),
])  # fmt: skip
def test_a_feed_capacitor_in_the_wrong_unit(feed: str, said: str | None) -> None:
    found = remarks((FEED, f'feed = "{feed}"\nclamp = "1N4007"'))
    assert [said is not None and said in each.message for each in found] == [True] * (said is not None)


def test_a_large_feed_capacitor_on_a_low_winding_is_a_usual_doubler() -> None:
    found = remarks(
        ("33 + 35 ohm", "33 + 35 ohm, tap bias 30 V"),
        (FEED, 'feed = "47 uF 100 V"\nclamp = "1N4007"\nend = "bias"'),
        ('range = ["-30 V", "-45 V"]\nset = "-37 V"', 'set = "-37 V"'),
    )
    assert found == []


def test_a_filter_capacitor_in_the_wrong_unit() -> None:
    (remark,) = remarks(("10k 1 W, 22 uF 450 V, bleeder", "10k 1 W, 22 nF 450 V, bleeder"))
    assert remark.message == "the capacitor of preamp is 22 nF, which filters next to nothing: is uF meant?"
