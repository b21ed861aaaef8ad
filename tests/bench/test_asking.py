from __future__ import annotations

from dataclasses import replace

import pytest

from psucheck.bench.asking import Asked, Asking
from psucheck.bench.bring_up import steps_of
from psucheck.bench.readings_out import readings_toml
from psucheck.bench.readings_toml import parse_toml
from psucheck.report.sheet_view import Step
from tests.bench.benches import plan
from tests.engine_runs import Here


class Answers:
    """Answers by what a question begins with; everything else is passed over."""

    def __init__(self, **answers: list[str]) -> None:
        self.answers = {key.replace("_", " "): iter(given) for key, given in answers.items()}
        self.asked: list[str] = []
        self.told: list[str] = []

    def ask(self, question: str) -> str:
        self.asked.append(question.strip())
        for key, given in self.answers.items():
            if question.strip().startswith(key):
                return next(given, "")
        return ""

    def tell(self, line: str) -> None:
        self.told.append(line)


def steps(*names: str) -> tuple[Step, ...]:
    numbered = (replace(step, number=n) for n, step in enumerate(steps_of(plan("hundred watts"))))
    return tuple(step for step in numbered if step.name in names)


def run(answers: Answers, *names: str) -> Asked:
    return Asking(plan("hundred watts"), Here(), answers.ask, answers.tell).go(steps(*names))


def test_each_reading_is_asked_for_and_judged() -> None:
    answers = Answers(the_wall_now=["238"], mains_amps=["10 mA"], reservoir_DC=["48.6"])
    done = run(answers, "a tenth")
    assert [(r.point, r.value, r.wall) for r in done.readings] == [
        ("mains amps", 0.01, 238.0), ("reservoir DC", 48.6, 238.0),
    ]  # fmt: skip
    assert done.stopped is None
    assert any("red" not in told and "in band" in told for told in answers.told)
    assert any(
        question.startswith("reservoir DC (reservoir to chassis; expect 4") for question in answers.asked
    )


def test_it_stops_at_a_reading_that_is_dangerous_and_says_why() -> None:
    answers = Answers(mains_amps=["1.2 A"], reservoir_DC=["49 V"])
    done = run(answers, "a tenth", "a quarter")
    assert done.stopped is not None
    assert done.stopped.point == "mains amps"
    assert [r.point for r in done.readings] == ["mains amps"]
    assert answers.told[-1].strip().startswith("STOP. 1.2 A from the mains")
    assert not any("a quarter" in told for told in answers.told)


def test_what_cannot_be_right_is_asked_again() -> None:
    answers = Answers(reservoir_DC=["48 kV", "48 mA", "48.9 V"])
    done = run(answers, "a tenth")
    assert [r.value for r in done.readings] == [48.9]
    assert sum(question.startswith("reservoir DC") for question in answers.asked) == 3
    assert any("which is it?" in told for told in answers.told)


def test_a_bare_number_is_in_the_unit_that_is_named() -> None:
    done = run(Answers(output_cathode_1_mV=["36"]), "full wall")
    assert [r.value for r in done.readings] == [0.036]


@pytest.mark.parametrize("end", ["q", "Quit", "stop"])
def test_it_ends_where_one_wants_to(end: str) -> None:
    answers = Answers(mains_amps=["10 mA"], reservoir_DC=[end])
    done = run(answers, "a tenth")
    assert (len(done.readings), answers.told[-1]) == (1, "Ended.")


def test_it_ends_where_nobody_answers() -> None:
    def nobody(question: str) -> str:
        raise EOFError

    told: list[str] = []
    done = Asking(plan("hundred watts"), Here(), nobody, told.append).go(steps("a tenth"))
    assert (done.readings, told[-1]) == ([], "Ended.")


def test_what_was_asked_for_can_be_read_back() -> None:
    answers = Answers(
        the_wall_now=["238 V", "241 V"], mains_amps=["10 mA"], reservoir_DC=["48.6"], plug_ohms=["open"]
    )
    done = run(answers, "cold", "a tenth", "a half")
    points = tuple(plan("hundred watts").up.points.values())
    text = readings_toml(done.readings, "a head")
    back = parse_toml(text, "back.toml", points)
    assert [(r.step, r.point, r.value, r.wall, r.unit) for r in back] == [
        (r.step, r.point, r.value, r.wall, r.unit) for r in done.readings
    ]
