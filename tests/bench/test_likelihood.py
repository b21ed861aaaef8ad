"""Likelihood and ranking on responses made by hand: no simulation."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pytest

from psucheck.bench.advice import advice
from psucheck.bench.amplifier import Amplifier
from psucheck.bench.causes.cause import Cause, Size
from psucheck.bench.drifts import Drift
from psucheck.bench.likelihood import Scale, curve, curves, fit
from psucheck.bench.meter_spread import Meter
from psucheck.bench.pairs import together, unexplained
from psucheck.bench.ranking import Group, ranked
from psucheck.bench.responses import Response, Responses, Slot
from psucheck.bench.runs import Setting
from tests.bench.amplifiers import AMPLIFIERS
from tests.engine_runs import described

_IDLE = Setting("idle", 240.0)
_SLOTS: list[Slot] = [
    (_IDLE, name) for name in ("reservoir DC", "screens DC", "reservoir AC", "mains watts", "preamp DC")
]
_SOUND = (480.0, 478.0, 4.5, 85.0, 360.0)


def _same(amp: Amplifier, size: float) -> Amplifier:
    return amp


def _values(*numbers: float) -> Mapping[Slot, float]:
    return dict(zip(_SLOTS, numbers, strict=True))


def _cause(id: str, weight: float = 1.0, size: Size | None = None) -> Cause:
    return Cause(id, "somewhere", f"the {id}", weight, _same, size)


_DRIED = _cause("dried capacitor", size=Size("{:.0%}", (0.1, 0.3, 0.6)))
_BIAS, _TWIN, _LOAD = _cause("bias low"), _cause("its twin", 0.5), _cause("load")


def _responses() -> Responses:
    drifts = {
        "wall": (484.8, 482.8, 4.5, 86.8, 363.6),
        "capacitor": (480.0, 478.0, 4.05, 85.0, 360.0),
        "valves": (478.0, 476.0, 4.7, 90.0, 358.0),
        "preamp": (480.0, 478.0, 4.5, 85.0, 350.0),
    }
    spreads = {"wall": 0.01, "capacitor": 0.1, "valves": 0.06, "preamp": 0.08}
    dried = [(480.0 - 0.3 / s, 478.0 - 0.3 / s, 4.5 / s, 85.0, 360.0) for s in (0.1, 0.3, 0.6)]
    return Responses(
        described(AMPLIFIERS["fixed-bias head"]),
        (_IDLE,),
        Response(None, None, _values(*_SOUND)),
        tuple((Drift(name, spreads[name], _same), _values(*v)) for name, v in drifts.items()),
        {
            _DRIED: tuple(
                Response(_DRIED, s, _values(*v)) for s, v in zip((0.1, 0.3, 0.6), dried, strict=True)
            ),
            _BIAS: (Response(_BIAS, None, _values(458.0, 455.0, 9.0, 140.0, 345.0)),),
            _TWIN: (Response(_TWIN, None, _values(458.0, 455.0, 9.05, 140.0, 345.0)),),
            _LOAD: (Response(_LOAD, None, _values(478.0, 476.0, 4.6, 87.0, 300.0)),),
        },
    )  # fmt: skip


def _ranked(*read: float) -> list[Group]:
    responses = _responses()
    scale = Scale(_SLOTS, responses, Meter())
    values = scale.scaled(read)
    return ranked([fit(each, values) for each in curves(responses, scale)])


def test_the_sound_readings_are_nothing_wrong() -> None:
    assert _ranked(*_SOUND)[0].sound


def test_normal_oddities_are_no_fault() -> None:
    # Wall a per cent up, capacitor 15 % under, valves a tenth over, a dropper that has drifted a little.
    assert _ranked(481.0, 479.0, 5.3, 93.0, 350.0)[0].sound


def test_the_size_is_fitted_between_those_that_were_simulated() -> None:
    first = _ranked(478.5, 476.6, 4.5 / 0.2, 85.0, 360.0)[0]
    assert first.keys == ("dried capacitor: somewhere",)
    assert first.leader.size == pytest.approx(0.2, rel=0.15)


def test_a_cause_that_stands_alone_is_confirmed_by_a_trial() -> None:
    responses = _responses()
    read = dict(_values(478.5, 476.6, 4.5 / 0.2, 85.0, 360.0))
    steps = advice(_ranked(*read.values()), responses, read, Meter())
    assert [step.says for step in steps] == ["bridge a good capacitor of the same value across somewhere"]
    assert steps[0].expect == (("the dried capacitor", "cured"), ("otherwise", "no change"))


def test_causes_that_read_alike_are_one_group_the_likelier_first() -> None:
    first = _ranked(458.0, 455.0, 9.0, 141.0, 345.0)[0]
    assert first.keys == ("bias low: somewhere", "its twin: somewhere")


def test_shares_are_of_one() -> None:
    assert sum(group.share for group in _ranked(470.0, 468.0, 6.0, 95.0, 350.0)) == pytest.approx(1.0)


def test_one_reading_that_is_wrong_does_not_hide_the_cause() -> None:
    first = _ranked(458.0, 455.0, 9.0, 141.0, 34.5)[0]
    assert first.keys[0] == "bias low: somewhere"
    assert first.leader.wrong == (4,)


def test_what_nothing_explains_is_said_to_be_unexplained() -> None:
    assert not unexplained(_ranked(458.0, 455.0, 9.0, 141.0, 345.0)[0].leader)
    assert unexplained(_ranked(458.0, 455.0, 22.0, 141.0, 290.0)[0].leader)


def test_the_covariance_is_that_of_parts_meter_and_wall() -> None:
    scale = Scale(_SLOTS, _responses(), Meter())
    spread = np.sqrt(np.diag(scale.covariance(scale.sound)))
    meter = float(Meter().spread(480.0))
    # Wall 1 % and from step to step half of that, valves 2 V; the meter; what a bench tells apart at all.
    wanted = np.sqrt(4.8**2 + 2.4**2 + 2.0**2 + meter**2 + (0.3 * 0.005 * 480.0) ** 2)
    assert spread[0] == pytest.approx(wanted, rel=1e-3)
    correlation = scale.covariance(scale.sound)[0, 1] / (spread[0] * spread[1])
    assert 0.5 < correlation < 0.8


def test_a_cause_that_could_not_be_run_somewhere_is_judged_by_the_rest() -> None:
    responses = _responses()
    known = dict(_values(458.0, 455.0, 9.0, 140.0, 345.0))
    del known[_SLOTS[2]]
    scale = Scale(_SLOTS, responses, Meter())
    one = curve([Response(_BIAS, None, known)], scale)
    assert one is not None
    whole = fit(one, scale.scaled((458.0, 455.0, 60.0, 140.0, 345.0)))
    assert whole.misfit < 10.0 + (60.0 / 4.5) ** 2
    assert curve([Response(_BIAS, None, {})], scale) is None


def test_two_causes_together_do_what_each_does() -> None:
    scale = Scale(_SLOTS, _responses(), Meter())
    one = scale.scaled((240.0, 478.0, 9.0, 85.0, 360.0))
    other = scale.scaled((480.0, 478.0, 9.0, 85.0, 180.0))
    assert together(scale, one, other[None, :])[0] == pytest.approx([240.0, 478.0, 18.0, 85.0, 180.0])
