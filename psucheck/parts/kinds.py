"""The kinds of part that the library holds, in the words by which they are asked for."""

from __future__ import annotations

from typing import Literal, get_args

KindWord = Literal[
    "rectifiers",
    "diodes",
    "valves",
    "capacitors",
    "resistors",
    "chokes",
    "limiters",
    "fuses",
    "transformers",
    "mains",
    "tolerances",
]
KIND_WORDS: tuple[KindWord, ...] = get_args(KindWord)
