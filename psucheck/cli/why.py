"""``psucheck why``."""

from __future__ import annotations

import sys
from pathlib import Path

from psucheck.cli.status import UNUSABLE, in_words


def why(rule: str | None = None, /, *, json: bool = False, limits: Path | None = None) -> int:
    """Show the page of a rule: what it checks, why it matters, its limit and source, what to change.

    Parameters
    ----------
    rule
        The rule, as findings name it: capacitor-voltage. Without it the rules are listed.
    json
        Print one JSON document instead.
    limits
        A file of your own limits (TOML), as `limits` in a description names it: shown beside the house's.
    """
    return in_words(lambda: _why(rule, limits, json=json))


def _why(asked: str | None, file: Path | None, *, json: bool) -> int:
    import difflib

    from psucheck.checks.limits import default_limits
    from psucheck.checks.manual import limits_of, page
    from psucheck.checks.own_limits import with_files
    from psucheck.checks.registry import RULES
    from psucheck.cli.own import limits_files
    from psucheck.report import rule_pages, words
    from psucheck.report.document import dump

    rules = {rule.ID: rule for rule in RULES}
    console = words.console(sys.stdout)
    if asked is None:
        pages = [page(rule) for rule in RULES]
        if json:
            print(dump(rule_pages.rules_document(pages)), end="")
        else:
            console.print(rule_pages.rule_list(pages))
        return 0
    # A finding's name, rule and subject, is taken as well.
    name = (asked.split() or [""])[0].lower()
    if name not in rules:
        near = difflib.get_close_matches(name, rules, n=1)
        hint = f'; the nearest is "{near[0]}"' if near else ""
        print(
            f'psucheck: no rule "{words.plain(asked)}"{hint}. There are: {", ".join(rules)}', file=sys.stderr
        )
        return UNUSABLE
    limits = limits_of(rules[name], with_files(default_limits(), limits_files(file)))
    if json:
        print(dump(rule_pages.rule_document(page(rules[name]), limits)), end="")
    else:
        console.print(rule_pages.rule_page(page(rules[name]), limits))
    return 0
