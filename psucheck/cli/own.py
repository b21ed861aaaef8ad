"""Where a user keeps what holds for every description."""

from __future__ import annotations

from pathlib import Path

from platformdirs import user_config_path


def user_parts() -> Path | None:
    """The user's own parts file; None if there is none."""
    return _of_user("parts.toml")


def user_limits() -> Path | None:
    """The user's own limits file; None if there is none."""
    return _of_user("limits.toml")


def limits_files(named: Path | None) -> tuple[tuple[Path, str], ...]:
    """Limits files that hold whatever a description says, each with the name that outputs show.

    First the one that is named on the command line, then the user's own.
    """
    from psucheck.supply.own_file import shown_of_home

    own = user_limits()
    at_the_command = () if named is None else ((named, str(named)),)
    return at_the_command if own is None else (*at_the_command, (own, shown_of_home(own)))


def _of_user(name: str) -> Path | None:
    path = user_config_path("psucheck", appauthor=False) / name
    from psucheck.supply.text_file import is_there

    return path if is_there(path) else None
