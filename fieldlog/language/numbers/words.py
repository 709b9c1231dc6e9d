"""The words that numbers are read from, and what reading them makes."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from fieldlog.core.units import Unit


@dataclass(frozen=True, slots=True)
class NumberSpan:
    """One number in a text."""

    start: int
    """First character, qualifiers and the like excluded."""
    end: int
    """One past the last character, the unit included."""
    value: float
    """The value, or the lower end of a range, in ``unit``."""
    high: float | None = None
    """Upper end of a spoken range."""
    approximate: bool = False
    qualifier: str = ""
    """Such as ``a hair under``, as spoken."""
    unit: Unit | None = None
    """None if no unit was spoken."""
    spoken: str = ""
    """The number words as spoken; for shoe sizes the written size, e.g. ``00``."""
    form: str = "plain"
    """``plain``, ``fraction``, ``shoe_size``, ``range``, ``ordinal`` or ``grade``."""


@dataclass(frozen=True, slots=True)
class NumberWord:
    """A word, a run of digits or a mark."""

    text: str
    start: int
    end: int
    wall: bool = False
    """Punctuation before this token keeps numbers apart."""


@dataclass(frozen=True, slots=True)
class BareNumber:
    """A bare number over tokens ``first`` to ``last`` (excluded)."""

    first: int
    last: int
    value: float
    form: str = "plain"
    digits: bool = False
    unit: Unit | None = None
    unit_end: int = 0
    spoken: str = ""


_PIECE = re.compile(
    r"\d+[ -]\d+/\d+|\d+/\d+|\d{1,3}(?:,\d{3})+|\d+\.\d+|\d+|[½¼¾⅛⅜⅝⅞]"
    r"|[a-z]+(?:['’][a-z]+)?|[°%\"]",
    re.IGNORECASE,
)


_WALL = re.compile(r"[.,;:!?\n()]")


@cache
def number_data() -> dict[str, Any]:
    """The words of numbers and units, from ``data/numbers.toml``."""
    text = (files("fieldlog.language") / "data" / "numbers.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


@cache
def unit_words() -> dict[str, Unit]:
    """Units by the words for them."""
    return {word: Unit(unit) for unit, words in number_data()["units"].items() for word in words}


def number_words(text: str) -> list[NumberWord]:
    """The words, digits and marks of a text that a number may be made of."""
    out: list[NumberWord] = []
    last = 0
    for piece in _PIECE.finditer(text):
        between = text[last : piece.start()]
        wall = between != " " and _WALL.search(between) is not None
        out.append(NumberWord(piece[0].lower().replace("’", "'"), piece.start(), piece.end(), wall))
        last = piece.end()
    return out


def word_at(tokens: Sequence[NumberWord], at: int, *, joined: bool = True) -> str:
    """The token at ``at``, or empty past the end or (if ``joined``) behind punctuation."""
    if not 0 <= at < len(tokens) or (joined and tokens[at].wall):
        return ""
    return tokens[at].text


@cache
def phrases(table: str, side: str) -> tuple[tuple[str, ...], ...]:
    """What may stand ``before`` or ``after`` a number, by its words, longest first."""
    split = [tuple(p.split()) for p in number_data()[table][side]]
    return tuple(sorted(split, key=len, reverse=True))
