"""Reading the data files: strict, every fault at once, each with its file and key."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from importlib import resources
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from psucheck.parts.errors import BadPartsData

M = TypeVar("M", bound=BaseModel)


def read_file(name: str) -> dict[str, Any]:
    """The data file ``name`` of this package as plain tables.

    Raises
    ------
    BadPartsData
        The file is not TOML.
    """
    text = resources.files("psucheck.parts").joinpath("data", name).read_text(encoding="utf-8")
    return parse(text, name)


def parse(text: str, name: str) -> dict[str, Any]:
    """TOML text as plain tables; ``name`` is used in errors.

    Raises
    ------
    BadPartsData
        The text is not TOML.
    """
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise BadPartsData(name, [str(error)]) from error


def build(tables: Mapping[str, Any], shape: type[M], file: str) -> M:
    """Make a model of ``shape`` from a file's tables, its ``[sources]`` resolved.

    Parameters
    ----------
    tables : mapping
        The file.
    shape : type
        Pydantic model of the file without its sources.
    file : str
        Name of the file, for errors.

    Raises
    ------
    BadPartsData
        An unknown key, a missing key, source or status, a source that is not listed or never used, a value of
        the wrong kind or out of range.
    """
    sources, rest = split(tables)
    faults = [f"{'.'.join(path)}: {said}" for path, said in source_faults(sources, rest)]
    try:
        model = shape.model_validate(rest, context={"sources": sources})
    except ValidationError as error:
        faults += [f"{_dotted(one['loc'])}: {one['msg']}" for one in error.errors()]
        raise BadPartsData(file, faults) from None
    if faults:
        raise BadPartsData(file, faults)
    return model


def split(tables: Mapping[str, Any]) -> tuple[dict[str, Any], dict[str, Any]]:
    """A file's sources by their keys, and the rest of it."""
    rest = dict(tables)
    sources = rest.pop("sources", {})
    return (dict(sources) if isinstance(sources, Mapping) else {}), rest


def source_faults(sources: Mapping[str, Any], rest: Mapping[str, Any]) -> list[tuple[tuple[str, str], str]]:
    """Sources without a title, and sources that nothing uses: where, and what is said of it."""
    untitled = [key for key, title in sources.items() if not isinstance(title, str) or not title.strip()]
    used = set(_used_sources(rest))
    return [(("sources", key), "needs a title") for key in untitled] + [
        (("sources", key), "nothing uses it") for key in sources if key not in used
    ]


def _used_sources(node: Any) -> Iterator[str]:
    """Every source key named anywhere below ``node``."""
    if isinstance(node, list):
        for item in node:
            yield from _used_sources(item)
    elif isinstance(node, Mapping):
        named = node.get("source", [])
        for key in named if isinstance(named, list) else [named]:
            if isinstance(key, str):
                yield key
        for item in node.values():
            yield from _used_sources(item)


def _dotted(place: tuple[int | str, ...]) -> str:
    """A fault's place as a dotted key, entries of a list counted from one."""
    return ".".join(f"[{part + 1}]" if isinstance(part, int) else part for part in place) or "file"
