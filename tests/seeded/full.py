"""The whole corpus through the whole check, as a user sees it: ``python -m tests.seeded.full [BASE ...]``.

Without names it runs everything and writes ``outcome.json`` beside this file, which is not kept; with the
names of bases it prints those and writes nothing. Some minutes on two cores.
"""

from __future__ import annotations

import json
import sys
from collections import Counter
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict, dataclass, field

from psucheck.checks.finding import Finding
from psucheck.checks.registry import accept, name_of
from psucheck.studies.check import check
from tests.seeded.corpus import HERE, SOUND, description_of, news, wrong
from tests.seeded.running import Remembering

OUTCOME = HERE / "outcome.json"


@dataclass
class Outcome:
    """What came of one base and of those made wrong of it.

    ``over`` and ``marginal`` are the base's findings; ``otherwise`` tells of each wrong one that was not as
    expected what was expected and what was found; ``hit`` counts the rules that wrong ones are there for.
    """

    base: str
    over: list[str] = field(default_factory=list)
    marginal: list[str] = field(default_factory=list)
    wrong: int = 0
    otherwise: dict[str, dict[str, dict[str, str]]] = field(default_factory=dict)
    hit: dict[str, int] = field(default_factory=dict)


def main(names: Sequence[str]) -> int:
    """Run what is named, or all; 1 where a supply is not as it should be."""
    outcomes = []
    with ProcessPoolExecutor() as workers:
        for outcome in workers.map(run, [base for base in SOUND if not names or base in names]):
            print(json.dumps(asdict(outcome), ensure_ascii=False), flush=True)
            outcomes.append(outcome)
    if not names:
        text = json.dumps([asdict(outcome) for outcome in outcomes], indent=1, ensure_ascii=False)
        OUTCOME.write_text(text + "\n", "utf-8")
    return int(any(outcome.over or outcome.otherwise for outcome in outcomes))


def run(base: str) -> Outcome:
    """One sound supply, and those made wrong of it."""
    pool = Remembering()
    before = check(description_of(base), pool).findings
    outcome = Outcome(base, _named(before, "over"), _named(before, "marginal"))
    hit = Counter[str]()
    for one in (each for each in wrong() if each.base == base):
        after = check(description_of(base, one.change), pool).findings
        _assert_acceptable(after)
        found = news(before, after)
        outcome.wrong += 1
        hit.update(list(one.finds))
        if found != one.expected:
            outcome.otherwise[one.name] = {"expected": dict(one.expected), "found": dict(found)}
    outcome.hit = dict(sorted(hit.items()))
    return outcome


def _named(findings: Sequence[Finding], verdict: str) -> list[str]:
    return sorted({name_of(finding) for finding in findings if finding.verdict == verdict})


def _assert_acceptable(findings: Sequence[Finding]) -> None:
    """Whatever is over or marginal can be accepted by its name.

    Raises
    ------
    AssertionError
        Where something is over or marginal all the same.
    """
    told = {name_of(finding): "built so" for finding in findings if finding.verdict in ("over", "marginal")}
    left = [name_of(one) for one in accept(findings, told) if one.verdict in ("over", "marginal")]
    if left:
        raise AssertionError(left)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
