"""By how much parts may be off: their own tolerance, their kind's, or the range of a guess."""

import pytest

from psucheck.parts import library
from psucheck.supply.filled import FilledSupply
from psucheck.supply.tolerances import Tolerance, tolerances, words_of
from tests.supply.sketch import filled


def found(supply: FilledSupply) -> dict[str, Tolerance]:
    by_key = {one.key: one for one in tolerances(supply)}
    assert len(by_key) == len(tolerances(supply))
    return by_key


def test_a_capacitors_own_tolerance_goes_before_its_familys() -> None:
    held = found(
        filled(filter='[filter]\nreservoir = "50 uF 500 V -10/+50 %, was 400 V"\nscreens = "1k, 50 uF 500 V"')
    )
    own, usual = held["filter.reservoir.capacitance"], held["filter.screens.capacitance"]
    assert (own.low, own.high) == pytest.approx((0.9, 1.5))
    assert own.status == "given"
    rule = library().capacitor_rules.tolerance
    assert (usual.low, usual.high) == (1 - rule.value.minus, 1 + rule.value.plus)
    assert (usual.source, usual.status) == (rule.citation, rule.status)


def test_a_guess_brings_its_own_range() -> None:
    supply = filled()
    note = next(one for one in supply.assumptions if one.key == "filter.reservoir.capacitor.esr")
    held = found(supply)["filter.reservoir.esr"]
    assert note.low is not None
    assert note.high is not None
    assert held.low == pytest.approx(note.low / note.value)
    assert held.high == pytest.approx(note.high / note.value)
    assert (held.source, held.status) == (note.source, "guess")


def test_what_was_read_off_load_is_surer_than_what_is_rated() -> None:
    windings = '[windings]\nht = "300-0-300 V off load at 240 V, 36 + 38 ohm, 320 mA"\nheaters = "6.3 V 5 A"'
    held, usual = found(filled(windings=windings)), library().spreads
    assert held["windings.ht.volts"].high == usual.winding_volts_read.value.most
    assert held["windings.heaters.volts"].high == usual.winding_volts_rated.value.most


def test_the_mains_have_their_range() -> None:
    held = found(filled())["mains"]
    assert (held.low, held.high) == pytest.approx((216.2 / 230, 253 / 230))
    assert held.status == library().mains_system("UK").voltage.status
    given = found(
        filled(mains='[mains]\nvoltage = "230 V"\nfrequency = "50 Hz"\nlow = "220 V"\nhigh = "240 V"')
    )
    assert given["mains"].status == "given"
    assert given["mains"].low == pytest.approx(220 / 230)


@pytest.mark.parametrize(("device", "kind"), [("1N4007", "silicon_drop"), ("GZ34", "valve_drop")])
def test_a_rectifiers_drop_by_its_kind(device: str, kind: str) -> None:
    windings = '[windings]\nht = "300-0-300 V, 36 + 38 ohm"\nheaters = "6.3 V 5 A"\nrect = "5 V 2 A"'
    rectifiers = f'[rectifiers.ht]\ncircuit = "centre-tapped"\nwinding = "ht"\ndevice = "{device}"'
    if device == "GZ34":
        rectifiers += '\nheater = "rect"'
    held = found(filled(windings=windings, rectifiers=rectifiers))["rectifiers.ht.drop"]
    usual = getattr(library().spreads, kind)
    assert (held.low, held.high, held.source) == (usual.value.least, usual.value.most, usual.citation)


def test_an_ideal_core_has_no_iron_to_vary() -> None:
    ideal = filled(transformer='[transformer]\nprimary = "230 V, 8 ohm"\ncore = "ideal"')
    assert "transformer.iron" not in found(ideal)
    assert "transformer.iron" in found(filled())


def test_every_tolerance_says_where_it_comes_from() -> None:
    for one in tolerances(filled()):
        assert one.source, one.key
        assert one.low <= 1.0 <= one.high, one.key
        assert one.low < one.high, one.key


def test_factors_lie_between_the_ends_and_double_and_half_are_equally_far() -> None:
    one = Tolerance("x", 0.5, 2.0, "", "guess")
    assert [one.factor(share) for share in (-1.0, 0.0, 1.0)] == [0.5, 1.0, 2.0]
    assert one.factor(-0.5) * one.factor(0.5) == pytest.approx(1.0)
    lopsided = Tolerance("x", 0.9, 1.5, "", "given")
    assert [lopsided.factor(share) for share in (-1.0, 0.0, 1.0)] == [0.9, 1.0, 1.5]


@pytest.mark.parametrize(
    ("key", "words"),
    [
        ("mains", "mains volts"),
        ("mains.impedance", "mains impedance"),
        ("transformer.primary.resistance", "primary resistance"),
        ("transformer.iron", "transformer iron loss"),
        ("transformer.leakage", "transformer leakage"),
        ("windings.ht.volts", "ht winding volts"),
        ("rectifiers.ht.capacitors.1.capacitance", "ht lower rectifier capacitance"),
        ("rectifiers.bias.feed.capacitance", "bias feed rectifier capacitance"),
        ("filter.reservoir.esr", "reservoir ESR"),
        ("filter.preamp.resistor", "preamp dropper"),
        ("loads.at preamp.current", "current at preamp"),
        ("loads.output.full", "output current at full output"),
        ("fuses.centre tap ht.resistance", "fuse centre tap ht, resistance"),
        ("series.before preamp.volts", "before preamp, series volts"),
    ],
)
def test_keys_in_words(key: str, words: str) -> None:
    assert words_of(key) == words
