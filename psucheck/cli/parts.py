"""``psucheck parts``."""

from __future__ import annotations

import sys
from pathlib import Path

from psucheck.cli.status import UNUSABLE, in_words
from psucheck.parts.kinds import KindWord


def parts(
    search: str | None = None,
    /,
    *,
    kind: KindWord | None = None,
    own: Path | None = None,
    json: bool = False,
) -> int:
    """List the part library, search it, or show one part with every value and its source.

    Parameters
    ----------
    search
        A part by its name (GZ34), or a piece of a name or of what it is. Without it all parts are listed.
    kind
        Parts of this kind alone.
    own
        A parts file of your own (TOML), as `parts` in a description names it: checked, and listed first.
    json
        Print one JSON document instead: every value of every part found.
    """
    return in_words(lambda: _parts(search, kind, own, json=json))


def _parts(search: str | None, kind: KindWord | None, own: Path | None, *, json: bool) -> int:
    from psucheck.cli.own import user_parts
    from psucheck.parts.listing import find, items
    from psucheck.report import part_pages, words
    from psucheck.report.document import dump
    from psucheck.supply.own_parts import library_with

    known = [item for item in items(library_with(own, user_parts())) if kind in (None, item.kind)]
    exact, found, near = ([], known, []) if search is None else find(known, search)
    if not exact and not found:
        among = f" among the {kind}" if kind else ""
        hint = f"; the nearest: {', '.join(near)}" if near else ""
        print(f'psucheck: no part "{words.plain(search or "")}"{among}{hint}', file=sys.stderr)
        return UNUSABLE
    if json:
        print(dump(part_pages.part_document([*exact, *found])), end="")
        return 0
    console = words.console(sys.stdout)
    for index, item in enumerate(exact):
        if index:
            console.print()
        console.print(part_pages.part_page(item))
    if found:
        console.print(part_pages.part_list(found))
    return 0
