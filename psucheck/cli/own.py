"""Where a user keeps what holds for every description."""

from __future__ import annotations

from pathlib import Path

from platformdirs import user_config_path


def user_parts() -> Path | None:
    """The user's own parts file; None if there is none."""
    path = user_config_path("psucheck", appauthor=False) / "parts.toml"
    from psucheck.supply.text_file import is_there

    return path if is_there(path) else None
