"""The shape of the description, read off the model: which keys a table allows and what stands under each."""

from __future__ import annotations

import types
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Annotated, Any, Literal, Union, cast, get_args, get_origin

from pydantic import BaseModel, BeforeValidator

from psucheck.supply import model

Reads = Callable[[Any], Any]
"""What reads a short form into its table or list."""


@dataclass(frozen=True, slots=True)
class Shape:
    """What may stand at one key.

    Attributes
    ----------
    keys
        Of a table with fixed keys: the shape under each.
    table
        Name of the model that the fixed keys belong to.
    named
        Of a table with free names: the shape under every name.
    items
        Of an array: the shape of its items.
    words
        The words allowed, where only certain words are.
    whole, flag, text, quantity
        Whether an integer, a boolean, plain text, a quantity may stand there.
    short
        What reads a short form that may stand there; of several, each reads its own.
    """

    keys: dict[str, Shape] = field(default_factory=dict)
    table: str = ""
    named: Shape | None = None
    items: Shape | None = None
    words: tuple[str, ...] = ()
    whole: bool = False
    flag: bool = False
    text: bool = False
    quantity: bool = False
    short: tuple[Reads, ...] = ()

    def under(self, key: str | int) -> Shape:
        """The shape under a key, a name or an index; an empty shape if nothing may stand there."""
        if isinstance(key, int):
            return self.items or Shape()
        return self.keys.get(key) or self.named or Shape()

    def expanded(self, value: Any) -> Any:
        """The table or list that a short form stands for; any other value, or one at fault, as it is."""
        if not isinstance(value, str) or not (self.keys or self.named or self.items):
            return value
        for read in self.short:
            try:
                return read(value)
            except ValueError:  # it says so where the description is validated
                continue
        return value


def _joined(one: Shape, other: Shape) -> Shape:
    return Shape(
        keys=one.keys | other.keys,
        table=one.table or other.table,
        named=one.named or other.named,
        items=one.items or other.items,
        words=one.words + other.words,
        whole=one.whole or other.whole,
        flag=one.flag or other.flag,
        text=one.text or other.text,
        quantity=one.quantity or other.quantity,
        short=one.short + other.short,
    )


def _read_by(shape: Shape, metadata: Iterable[Any]) -> Shape:
    """``shape`` with what reads its short form, which the model holds as a validator."""
    # The model's own take the value alone.
    readers = [cast(Reads, each.func) for each in metadata if isinstance(each, BeforeValidator)]
    return replace(shape, short=(*readers, *shape.short)) if readers else shape


def _of_model(table: type[BaseModel]) -> Shape:
    keys = {
        # The file says "from", Python "from_".
        info.alias or name: _read_by(_of(info.annotation), info.metadata)
        for name, info in table.model_fields.items()
    }
    if table is model.Fuse:
        keys["rating"] = Shape(text=True)  # the marking on the cap; the model holds what it stands for
    return Shape(keys=keys, table=table.__name__)


def _of(annotation: Any) -> Shape:
    origin, arguments = get_origin(annotation), get_args(annotation)
    if origin is Annotated:
        return _read_by(_of(arguments[0]), arguments[1:])
    if origin in (Union, types.UnionType):
        shape = Shape()
        for argument in arguments:
            shape = _joined(shape, _of(argument))
        return shape
    if origin is Literal:
        return Shape(words=arguments)
    if origin is tuple:
        return Shape(items=_of(arguments[0]))
    if origin is dict:
        return Shape(named=_of(arguments[1]))
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return _of_model(annotation)
    return Shape(
        whole=annotation is int, flag=annotation is bool, text=annotation is str, quantity=annotation is float
    )


@cache
def of_description() -> Shape:
    """The shape of a whole file: the tables of a supply, and the same once more under ``new``."""
    supply = _of_model(model.Supply)
    return Shape(keys={**supply.keys, "new": supply}, table="Supply")
