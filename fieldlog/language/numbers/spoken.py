"""Spoken numbers and units of the trade, found in text: pure, no model, no guessing of units.

``three and seven sixteenths``, ``eighty-four mil``, ``fifty one and a half degrees``, ``double
aught``, ``a hair under three and a quarter``, ``two to three inches``: each becomes one
``NumberSpan`` with its value, its unit if one was spoken, and the words as they were. Two numbers
that merely stand side by side (``three and a quarter fifty two degrees``) stay two.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from functools import cache

from fieldlog.core.units import Unit
from fieldlog.language.numbers.parts import (
    ARTICLES,
    ONE_OF,
    REGION_AFTER,
    amount_closes,
    and_fraction,
    bare_fraction,
    decimal_part,
    of_a_unit,
    one_unit,
    part_of_inch,
    plain_fraction_after,
    small_number,
    unit_at,
    whole_number,
)
from fieldlog.language.numbers.spans import finished
from fieldlog.language.numbers.words import (
    BareNumber,
    NumberSpan,
    NumberWord,
    number_data,
    number_words,
    word_at,
)

__all__ = ["NumberSpan", "find_numbers"]

_MARKS = {"½": 1 / 2, "¼": 1 / 4, "¾": 3 / 4, "⅛": 1 / 8, "⅜": 3 / 8, "⅝": 5 / 8, "⅞": 7 / 8}
_AUGHT = frozenset({"aught", "ought", "naught", "nought", "oh", "o", "zero"})
_TIMES = {"double": 2, "triple": 3}


def find_numbers(text: str) -> list[NumberSpan]:
    """All numbers of ``text``, in order, never overlapping.

    Args:
        text: punctuated or not, spoken words or digits or both.

    Returns:
        Spans whose characters cover number and unit. Qualifiers are read but not covered.
    """
    tokens = number_words(text)
    found: list[BareNumber] = []
    at = 0
    while at < len(tokens):
        number = _number_at(tokens, at)
        if number is None:
            at += 1
            continue
        found.append(number)
        at = max(number.last, number.unit_end)
    return finished(text, tokens, found)


@cache
def _first_words() -> frozenset[str]:
    """Words that a number may begin with, beside digits."""
    tables = ("small", "tens", "denominators", "ordinals", "homophones")
    named = {word for table in tables for word in number_data()[table]}
    return frozenset(named | {"hundred", "point", *_MARKS, *_AUGHT, *_TIMES, *ARTICLES, *ONE_OF})


def _number_at(tokens: Sequence[NumberWord], at: int) -> BareNumber | None:
    """The number that begins at a token, with its unit; None if none does."""
    first = tokens[at].text
    if first not in _first_words() and not first[0].isdigit():
        return None
    number = (
        _shoe_size(tokens, at)
        or _hands(tokens, at)
        or _digits(tokens, at)
        or bare_fraction(tokens, at)
        or one_unit(tokens, at)
        or _ordinal(tokens, at)
        or _spoken(tokens, at)
    )
    return _with_unit(tokens, number) if number is not None else None


def _shoe_size(tokens: Sequence[NumberWord], at: int) -> BareNumber | None:
    first = word_at(tokens, at, joined=False)
    after_size = word_at(tokens, at - 1, joined=False) in ("size", "sizes") and not tokens[at].wall
    if first in _TIMES and word_at(tokens, at + 1) in _AUGHT:
        return BareNumber(at, at + 2, 0.0, "shoe_size", spoken="0" * _TIMES[first])
    if first in ("aught", "ought", "naught", "nought") and (
        after_size or first in ("aught", "naught", "nought")
    ):
        return BareNumber(at, at + 1, 0.0, "shoe_size", spoken="0")
    if after_size:
        if re.fullmatch(r"0+", first):
            return BareNumber(at, at + 1, 0.0, "shoe_size", spoken=first)
        small = small_number(first)
        if small is not None:
            return BareNumber(at, at + 1, float(small), "shoe_size", spoken=str(small))
        if first.isdigit() and len(first) <= 2:
            return BareNumber(at, at + 1, float(first), "shoe_size", spoken=first)
    if re.fullmatch(r"00+", first):
        return BareNumber(at, at + 1, 0.0, "shoe_size", spoken=first)
    return None


def _hands(tokens: Sequence[NumberWord], at: int) -> BareNumber | None:
    """``fifteen two hands`` is 15 hands and 2 inches, each hand 4 inches."""
    hands, inches = whole_number(tokens, at), None
    if hands is None or not 8 <= hands[0] <= 20:
        return None
    end = hands[1]
    inches = small_number(word_at(tokens, end))
    if inches is None or inches > 3 or word_at(tokens, end + 1) not in ("hands", "hand", "hh"):
        return None
    return BareNumber(at, end + 1, hands[0] + inches / 4, "plain")


def _digits(tokens: Sequence[NumberWord], at: int) -> BareNumber | None:
    text = tokens[at].text
    if text in _MARKS:
        return BareNumber(at, at + 1, _MARKS[text], "fraction", digits=True)
    mixed = re.fullmatch(r"(?:(\d+)[ -])?(\d+)/(\d+)", text)
    if mixed is not None:
        below = int(mixed[3])
        if below == 0:
            return None
        value = int(mixed[1] or 0) + int(mixed[2]) / below
        return BareNumber(at, at + 1, value, "fraction", digits=True)
    if not text[0].isdigit():
        return None
    value = float(text.replace(",", ""))
    following = word_at(tokens, at + 1)
    if following in _MARKS:
        return BareNumber(at, at + 2, value + _MARKS[following], "fraction", digits=True)
    part = and_fraction(tokens, at + 1)
    if part is not None:
        return BareNumber(at, part[1], value + part[0], "fraction", digits=True)
    if following in ("st", "nd", "rd", "th"):
        return BareNumber(at, at + 2, value, "ordinal", digits=True)
    return BareNumber(at, at + 1, value, "plain", digits=True)


def _spoken(tokens: Sequence[NumberWord], at: int) -> BareNumber | None:
    whole = whole_number(tokens, at)
    if whole is None:
        if word_at(tokens, at, joined=False) == "point":
            return decimal_part(tokens, at, 0, at)
        return None
    value, end = whole
    if word_at(tokens, end) == "point":
        decimal = decimal_part(tokens, at, value, end)
        if decimal is not None:
            return decimal
    part = and_fraction(tokens, end) or plain_fraction_after(tokens, end, value)
    if part is not None:
        return BareNumber(at, part[1], value + part[0], "fraction")
    below = part_of_inch(tokens, end)
    # "three quarters", but not "one quarter" of a hoof unless something is measured.
    if below is not None and 0 < value < below[0] and _is_amount(tokens, below, value):
        return BareNumber(at, below[1], value / below[0], "fraction")
    form = "grade" if word_at(tokens, at - 1, joined=False) == "grade" else "plain"
    return BareNumber(at, end, float(value), form)


def _is_amount(tokens: Sequence[NumberWord], below: tuple[int, int], value: float) -> bool:
    size, end = below
    if size != 4 or unit_at(tokens, end) is not None:
        return True
    return value == 3 or word_at(tokens, end) not in REGION_AFTER


def _ordinal(tokens: Sequence[NumberWord], at: int) -> BareNumber | None:
    word = word_at(tokens, at, joined=False)
    ordinals = number_data()["ordinals"]
    tens = number_data()["tens"].get(word)
    if tens is not None and word_at(tokens, at + 1) in ordinals:
        unit = ordinals[word_at(tokens, at + 1)]
        if unit < 10:
            return BareNumber(at, at + 2, float(tens + unit), "ordinal")
    if word in ordinals:
        return BareNumber(at, at + 1, float(ordinals[word]), "ordinal")
    return None


def _with_unit(tokens: Sequence[NumberWord], number: BareNumber) -> BareNumber:
    if number.unit is not None or number.form in ("shoe_size", "ordinal", "grade"):
        return number
    unit, end = unit_at(tokens, number.last), number.last + 1
    if unit is None:
        behind = of_a_unit(tokens, number.last) if number.form == "fraction" else None
        if behind is None:
            return number
        unit, end = behind
    # "in" is a preposition unless it follows digits ("3.25in") or ends its clause.
    if word_at(tokens, number.last) == "in" and not (number.digits and amount_closes(tokens, end)):
        return number
    if unit is Unit.HAND and number.value < 8:
        return number
    if (
        number.form == "plain"
        and word_at(tokens, end) == "and"
        and unit in (Unit.INCH, Unit.HAND, Unit.MM, Unit.CM)
    ):
        part = and_fraction(tokens, end)
        if part is not None and word_at(tokens, end + 1) in ("a", "an"):
            # "an inch and a half", "two inches and a quarter"
            return replace(
                number, value=number.value + part[0], form="fraction", unit=unit, unit_end=part[1]
            )
    return replace(number, unit=unit, unit_end=end)
