"""What stands behind a valve, at a place, or is missing: silicon, tired anodes, zeners, pulled valves."""

from __future__ import annotations

import pytest

from psucheck.parts import library
from psucheck.supply import guesses
from psucheck.supply.fill import fill
from psucheck.supply.fill_rectifiers import fill_device
from psucheck.supply.model import Device
from tests.supply.sketch import SECTIONS, filled, notes, read

CENTRE_TAP = "centre tap ht"


def _series(standing: str) -> str:
    return f'[series]\n"{CENTRE_TAP}" = {standing}'


@pytest.mark.parametrize(
    "standing", ['"zener 50 V 10 W"', '{ zener = "50 V", power = "10 W" }'], ids=["short", "table"]
)
def test_a_zeners_differential_resistance_is_a_guess(standing: str) -> None:
    supply = filled(more=_series(standing))
    zener = supply.zeners[CENTRE_TAP]
    # 2 % of 50 V over a quarter of the 200 mA that 10 W allow.
    assert zener.volts == 50.0
    assert zener.ohms == pytest.approx(0.02 * 50.0 / 0.050)
    note = notes(supply)[f"series.{CENTRE_TAP}.resistance"]
    assert note.kind == "guess"
    assert note.low == pytest.approx(0.4 * zener.ohms)
    assert supply.at_place(CENTRE_TAP) == pytest.approx(zener.ohms)


def test_without_its_watts_a_zener_is_taken_for_one_of_five() -> None:
    assert filled(more=_series('"zener 50 V"')).zeners[CENTRE_TAP].ohms == pytest.approx(
        guesses.ZENER_SHARE.value * 50.0 / (guesses.ZENER_WATTS / 200.0)
    )


def test_a_zener_whose_resistance_is_given_rests_on_no_guess() -> None:
    supply = filled(more=_series('"zener 50 V 10 W 12 ohm"'))
    assert supply.zeners[CENTRE_TAP].ohms == 12.0
    assert f"series.{CENTRE_TAP}.resistance" not in notes(supply)


def test_a_resistor_at_the_place_is_no_zener() -> None:
    supply = filled(more=_series('"47 ohm 10 W"'))
    assert not supply.zeners
    assert supply.at_place(CENTRE_TAP) == 47.0


@pytest.mark.parametrize("backup", ["1N4007", {"type": "1N4007"}], ids=["short", "table"])
def test_the_silicon_behind_a_valve(backup: object) -> None:
    device = fill_device(Device.model_validate({"type": "GZ34", "backup": backup}))
    assert device.perveance == library().rectifier_valve("GZ34").perveance.value
    assert device.backup == fill_device(Device.model_validate({"type": "1N4007"}))


def test_a_backup_by_its_drop_and_in_series() -> None:
    backup = {"drop": "1 V at 1 A", "in_series": 2}
    device = fill_device(Device.model_validate({"type": "GZ34", "backup": backup, "unequal": "20 %"}))
    alone = fill_device(Device.model_validate({"kind": "silicon", "drop": "1 V at 1 A", "in_series": 2}))
    assert device.backup == alone
    assert device.unequal == pytest.approx(0.2)


def _missing(count: int) -> str:
    return SECTIONS["output"].replace('"2 x EL34"', '"4 x EL34"') + f"\nmissing = {count}"


def test_valves_that_are_missing_leave_the_reading_as_it_is() -> None:
    top = 'title = "Four"\nvalves = "4 x EL34, 3 x ECC83"'
    supply = filled(top=top, output=_missing(2))
    whole = filled(top=top, output=SECTIONS["output"].replace('"2 x EL34"', '"4 x EL34"'))
    output, complete = supply.outputs["output"], whole.outputs["output"]
    assert (output.count, output.missing, output.standing, output.share) == (4, 2, 2, 0.5)
    assert output.anode_amps == complete.anode_amps
    assert output.anode_path_ohms == complete.anode_path_ohms
    heated = next(load for load in supply.heaters if load.group == "valves")
    assert heated.amps == pytest.approx(4 * 1.5 + 3 * 0.3)
    assert heated.pulled_amps == pytest.approx(2 * 1.5)


def test_valves_may_be_missing_from_the_proposal_only() -> None:
    found = filled(output=SECTIONS["output"].replace('"2 x EL34"', '"4 x EL34"'))
    proposed = fill(read(output=_missing(1)), loads_of=found)
    assert proposed.outputs["output"].missing == 1
    assert proposed.outputs["output"].anode_amps == found.outputs["output"].anode_amps


BACK_BIAS = _series('"100 ohm 10 W"') + '\n[filter.bias]\nfrom = "CT ht"\nresistor = "10k 0.5 W"\n'


@pytest.mark.parametrize(
    ("node", "volts"),
    [("", None), ('was = "-12 V"', -12.0), ('set = "-10 V"', -10.0), ('range = ["-8 V", "-12 V"]', -10.0)],
)
def test_back_bias(node: str, volts: float | None) -> None:
    supply = filled(
        output=SECTIONS["output"].replace('bias = "-36 V"', 'bias = "bias"'), more=BACK_BIAS + node
    )
    output = supply.outputs["output"]
    assert (output.bias, output.bias_node, output.grid_volts) == ("node", "bias", volts)
    bias = supply.nodes["bias"]
    assert (bias.source.kind, bias.source.name) == ("place", CENTRE_TAP)
    # Nothing but what the description names draws from it: no pot is guessed.
    assert bias.bias_load_ohms is None
    assert "filter.bias.load" not in notes(supply)
