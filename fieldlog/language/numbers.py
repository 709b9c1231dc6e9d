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
from fieldlog.language.number_spans import finished
from fieldlog.language.number_words import (
    BareNumber,
    NumberSpan,
    NumberWord,
    number_data,
    number_words,
    phrases,
    unit_words,
    word_at,
)

__all__ = ["NumberSpan", "find_numbers"]

_ONE_OF = frozenset(
    {"inch", "degree", "millimetre", "millimeter", "centimetre", "centimeter", "mil"}
)
_ARTICLES = frozenset({"a", "an", "another"})
_MARKS = {"½": 1 / 2, "¼": 1 / 4, "¾": 3 / 4, "⅛": 1 / 8, "⅜": 3 / 8, "⅝": 5 / 8, "⅞": 7 / 8}
_SOME = frozenset({"few", "couple", "several", "many", "some", "half", "a"})
_AUGHT = frozenset({"aught", "ought", "naught", "nought", "oh", "o", "zero"})
_TIMES = {"double": 2, "triple": 3}
_OFF_WHAT = frozenset({"the", "both", "each", "his", "her", "all"})
"""What "half off" half an inch comes off."""
_MOVED_BY = frozenset({"back", "by", "down"})
_HALF_OF = frozenset({"hour", "day", "turn", "dozen", "size", "mile", "set", "year", "week",
                      "month", "bag", "hole", "nail"})  # fmt: skip
"""What else there may be half of: "toes back a half" is half an inch."""
_MOVED = frozenset({"back", "by", "down", "up", "took", "take", "taken", "cut", "nipped"})
"""What is told by how much, not where: back a quarter on the left."""
_BEFORE_QUARTER = _MOVED | frozenset(
    {"about", "maybe", "off", "under", "another", "around", "only", "was", "it's", "its", "now",
     "it", "to", "right", "left", "toe", "toes", "heel", "heels", "fronts", "hinds"}
)  # fmt: skip
_THAN = frozenset({"longer", "shorter", "higher", "lower", "deeper", "wider", "narrower", "thinner",
                   "thicker", "taller"})  # fmt: skip
_AFTER_QUARTER = frozenset({"", "off", "longer", "shorter", "higher", "lower", "deep", "and", "so",
                            "then", "today", "each", "but", "this", "now"})  # fmt: skip
_AFTER_MOVED = frozenset({"on", "left", "right", "both", "from", "in", "of", "behind", "all"})
_REGION_AFTER = frozenset(
    {"crack", "cracks", "flare", "flares", "clip", "clips", "horse", "horses", "of", "is", "on",
     "and", "wall", "looks", "has", "inside", "outside"}
)  # fmt: skip


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
    return frozenset(named | {"hundred", "point", *_MARKS, *_AUGHT, *_TIMES, *_ARTICLES, *_ONE_OF})


def _number_at(tokens: Sequence[NumberWord], at: int) -> BareNumber | None:
    first = tokens[at].text
    if first not in _first_words() and not first[0].isdigit():
        return None
    number = (
        _shoe_size(tokens, at)
        or _hands(tokens, at)
        or _digits(tokens, at)
        or _bare_fraction(tokens, at)
        or _one_unit(tokens, at)
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
        small = _small(first)
        if small is not None:
            return BareNumber(at, at + 1, float(small), "shoe_size", spoken=str(small))
        if first.isdigit() and len(first) <= 2:
            return BareNumber(at, at + 1, float(first), "shoe_size", spoken=first)
    if re.fullmatch(r"00+", first):
        return BareNumber(at, at + 1, 0.0, "shoe_size", spoken=first)
    return None


def _hands(tokens: Sequence[NumberWord], at: int) -> BareNumber | None:
    """``fifteen two hands`` is 15 hands and 2 inches, each hand 4 inches."""
    hands, inches = _whole(tokens, at), None
    if hands is None or not 8 <= hands[0] <= 20:
        return None
    end = hands[1]
    inches = _small(word_at(tokens, end))
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
    part = _and_fraction(tokens, at + 1)
    if part is not None:
        return BareNumber(at, part[1], value + part[0], "fraction", digits=True)
    if following in ("st", "nd", "rd", "th"):
        return BareNumber(at, at + 2, value, "ordinal", digits=True)
    return BareNumber(at, at + 1, value, "plain", digits=True)


def _spoken(tokens: Sequence[NumberWord], at: int) -> BareNumber | None:
    whole = _whole(tokens, at)
    if whole is None:
        if word_at(tokens, at, joined=False) == "point":
            return _decimals(tokens, at, 0, at)
        return None
    value, end = whole
    if word_at(tokens, end) == "point":
        decimal = _decimals(tokens, at, value, end)
        if decimal is not None:
            return decimal
    part = _and_fraction(tokens, end) or _plain_fraction_after(tokens, end, value)
    if part is not None:
        return BareNumber(at, part[1], value + part[0], "fraction")
    below = _denominator(tokens, end)
    # "three quarters", but not "one quarter" of a hoof unless something is measured.
    if below is not None and 0 < value < below[0] and _is_amount(tokens, at, below, value):
        return BareNumber(at, below[1], value / below[0], "fraction")
    form = "grade" if word_at(tokens, at - 1, joined=False) == "grade" else "plain"
    return BareNumber(at, end, float(value), form)


def _is_amount(tokens: Sequence[NumberWord], at: int, below: tuple[int, int], value: float) -> bool:
    size, end = below
    if size != 4 or _unit_at(tokens, end) is not None:
        return True
    return value == 3 or word_at(tokens, end) not in _REGION_AFTER


def _whole(tokens: Sequence[NumberWord], at: int) -> tuple[int, int] | None:
    """A cardinal up to 9,999 in words: value and the token after it."""
    value = _below_hundred(tokens, at, first=True) or _bare_hundred(tokens, at)
    if value is None:
        return None
    number, end = value
    bare = end == at
    if (bare or word_at(tokens, end) == "hundred") and 0 < number < 100:
        number, end = number * 100, end + 1
        skip = 1 if word_at(tokens, end) == "and" else 0
        rest = _below_hundred(tokens, end + skip)
        if rest is not None and not (skip and _denominator(tokens, end + skip + 1)):
            number, end = number + rest[0], rest[1]
    elif word_at(tokens, end) == "thousand" and 0 < number < 10:
        number, end = number * 1000, end + 1
        rest = _whole(tokens, end + (word_at(tokens, end) == "and"))
        if rest is not None and rest[0] < 1000:
            number, end = number + rest[0], rest[1]
    return number, end


def _bare_hundred(tokens: Sequence[NumberWord], at: int) -> tuple[int, int] | None:
    """ "Hundred and forty across": one, and the hundred that follows."""
    if word_at(tokens, at, joined=False) != "hundred" or word_at(tokens, at - 1) in _SOME:
        return None
    rest = at + 1 + (word_at(tokens, at + 1) == "and")
    return (1, at) if _below_hundred(tokens, rest) is not None else None


def _below_hundred(
    tokens: Sequence[NumberWord], at: int, *, first: bool = False
) -> tuple[int, int] | None:
    word = word_at(tokens, at, joined=not first)
    tens = number_data()["tens"].get(word)
    if tens is not None:
        unit = _small(word_at(tokens, at + 1))
        if unit is not None and 0 < unit < 10:
            return tens + unit, at + 2
        mended = _homophone(tokens, at + 1)
        if mended is not None and mended < 10 and _unit_at(tokens, at + 2) is not None:
            return tens + mended, at + 2
        return tens, at + 1
    small = _small(word)
    if small is not None:
        return small, at + 1
    if first:
        mended = _homophone(tokens, at)
        if mended is not None and _makes_number(tokens, at):
            return mended, at + 1
    if word == "a" and word_at(tokens, at + 1) in ("hundred", "thousand"):
        return 1, at + 1
    return None


def _makes_number(tokens: Sequence[NumberWord], at: int) -> bool:
    """Whether "for", "to" and the like stand where only a number fits.

    "for and a half" and "to degrees" do; "for inches of mud" hardly occurs, "for two weeks" does
    and is not one.
    """
    if _and_fraction(tokens, at + 1) is not None:
        return True
    unit = _unit_at(tokens, at + 1)
    return unit is not None and word_at(tokens, at + 1) not in ("in", "hand", "m")


def _homophone(tokens: Sequence[NumberWord], at: int) -> int | None:
    meant = number_data()["homophones"].get(word_at(tokens, at))
    return _small(meant) if meant else None


def _small(word: str) -> int | None:
    value = number_data()["small"].get(word)
    return int(value) if value is not None else None


def _decimals(
    tokens: Sequence[NumberWord], first: int, whole: float, point: int
) -> BareNumber | None:
    digits, end = "", point + 1
    while True:
        word = word_at(tokens, end)
        small = 0 if word in ("oh", "o") else _small(word)
        if small is None or small > 9 or len(digits) >= 4:
            break
        if digits and word_at(tokens, end + 1) == "point":
            break  # "eight point seven, four point one"
        digits, end = digits + str(small), end + 1
    if not digits:
        tail = _below_hundred(tokens, point + 1)
        if tail is None:
            return None
        digits, end = str(tail[0]), tail[1]
    return BareNumber(first, end, float(f"{whole:g}.{digits}"), "plain")


def _denominator(tokens: Sequence[NumberWord], at: int) -> tuple[int, int] | None:
    word = word_at(tokens, at)
    if word == "thirty" and word_at(tokens, at + 1) in ("second", "seconds"):
        return 32, at + 2
    below = number_data()["denominators"].get(word)
    return (int(below), at + 1) if below is not None else None


_INCH_PART = re.compile(r"(\d+)/(2|3|4|8|16|32)")
"""A part of an inch as it is typed; fifths and tenths are grades."""


def _and_fraction(tokens: Sequence[NumberWord], at: int) -> tuple[float, int] | None:
    """``and a half``, ``and seven sixteenths``, ``and 5/8``: value and the token after it."""
    if word_at(tokens, at) not in ("and", "n", "an"):
        return None
    skip = at + 1
    typed = _INCH_PART.fullmatch(word_at(tokens, skip))
    if typed is not None and 0 < int(typed[1]) < int(typed[2]):
        return int(typed[1]) / int(typed[2]), skip + 1
    if word_at(tokens, skip) in ("a", "an"):
        below = _denominator(tokens, skip + 1)
        return (1 / below[0], below[1]) if below is not None else None
    counted = _below_hundred(tokens, skip)
    if counted is None and (mended := _homophone(tokens, skip)) is not None:
        counted = (mended, skip + 1)
    below = _denominator(tokens, counted[1]) if counted is not None else None
    if counted is not None and below is not None and 0 < counted[0] < below[0]:
        return counted[0] / below[0], below[1]
    bare = _denominator(tokens, skip)
    if bare is not None and bare[0] in (2, 4, 8, 16) and word_at(tokens, at) == "and":
        after = word_at(tokens, bare[1])
        if bare[0] != 4 or after not in _REGION_AFTER:
            return 1 / bare[0], bare[1]
    return None


def _plain_fraction_after(
    tokens: Sequence[NumberWord], at: int, whole: float
) -> tuple[float, int] | None:
    """``three seven sixteenths``: a whole number with its fraction, the "and" swallowed."""
    above = _small(word_at(tokens, at))
    if above is None or whole > 20:
        return None
    below = _denominator(tokens, at + 1)
    if below is None or not 0 < above < below[0]:
        return None
    return above / below[0], below[1]


def _bare_fraction(tokens: Sequence[NumberWord], at: int) -> BareNumber | None:
    """``half inch``, ``a quarter of an inch``, ``an eighth``, ``a good eighth``; ``, eighth.``"""
    word = word_at(tokens, at, joined=False)
    start, behind = at, at - 1
    article = word in _ARTICLES
    if article:
        at += 1
        word = word_at(tokens, at)
    elif _qualified(tokens, at):
        article, behind = True, at - 3
    elif word in ("eighth", "sixteenth") and at > 0 and tokens[at].wall:
        article = word_at(tokens, at + 1) == ""  # no day of the month stands by itself
    if word not in number_data()["denominators"] and word != "thirty":
        return None
    below = _denominator_free(tokens, at) if start == at else _denominator(tokens, at)
    if below is None:
        return None
    size, end = below
    measured = _unit_at(tokens, end) is not None or _of_a_unit(tokens, end) is not None
    before = word_at(tokens, behind, joined=False)
    moved_by = before in _MOVED_BY and word_at(tokens, end) not in _HALF_OF
    closes = word_at(tokens, end) in ("", "off") or moved_by
    led = start == 0 or tokens[start].wall or before in ("and", "took", "take")
    taken = led and word_at(tokens, end) == "off" and word_at(tokens, end + 1) in _OFF_WHAT
    if size == 2 and not measured and not (article and closes) and not taken:
        return None
    compared = word_at(tokens, end) in _THAN
    if size == 4 and not measured and not (article and compared):
        after = word_at(tokens, end)
        amount = before in _BEFORE_QUARTER and after in _AFTER_QUARTER
        moved = before in _MOVED and after in _AFTER_MOVED
        if not (article and (amount or moved or after == "off")):
            return None
    if size not in (2, 4) and not measured and not article:
        return None
    if size in (3, 10) and not measured:
        return None
    return BareNumber(start, end, 1 / size, "fraction")


def _one_unit(tokens: Sequence[NumberWord], at: int) -> BareNumber | None:
    """``an inch``, ``a degree``, ``an inch and a half``, ``a full inch``."""
    word = word_at(tokens, at, joined=False)
    if word in _ONE_OF and _qualified(tokens, at):
        more = _and_fraction(tokens, at + 1)
        value, form = (1.0, "plain") if more is None else (1 + more[0], "fraction")
        end = at + 1 if more is None else more[1]
        return BareNumber(at, at + 1, value, form, unit=unit_words()[word], unit_end=end)
    if word == "inch":
        before = word_at(tokens, at - 1, joined=False)
        sized = word_at(tokens, at + 1) in ("long", "wide", "deep", "thick", "tall", "high")
        if sized and not _is_number_word(before) and before not in ("of", "per", "an", "each"):
            return BareNumber(at, at + 1, 1.0, "plain", unit=Unit.INCH, unit_end=at + 1)
        # "inch and three quarters" without its article
        bare = _and_fraction(tokens, at + 1)
        alone = at == 0 or tokens[at].wall or not _is_number_word(tokens[at - 1].text)
        if bare is None or not alone:
            return None
        return BareNumber(at, at + 1, 1 + bare[0], "fraction", unit=Unit.INCH, unit_end=bare[1])
    if word not in ("a", "an"):
        return None
    if word_at(tokens, at + 1) not in _ONE_OF:
        return None
    unit = unit_words()[word_at(tokens, at + 1)]
    part = _and_fraction(tokens, at + 2)
    if part is None:
        return BareNumber(at, at + 1, 1.0, "plain", unit=unit, unit_end=at + 2)
    return BareNumber(at, at + 1, 1 + part[0], "fraction", unit=unit, unit_end=part[1])


def _qualified(tokens: Sequence[NumberWord], at: int) -> bool:
    """Whether an article and a word for a large or small amount stand before it: a good eighth."""
    if at < 2 or tokens[at].wall or tokens[at - 1].wall:
        return False
    return tokens[at - 1].text in _ample() and tokens[at - 2].text in _ARTICLES


@cache
def _ample() -> frozenset[str]:
    """Words between an article and its amount: the qualifiers', and two that say exactly."""
    pairs = (phrase for phrase in phrases("qualifiers", "before") if len(phrase) == 2)
    return frozenset(word for article, word in pairs if article == "a") | {"full", "whole", "solid"}


def _is_number_word(word: str) -> bool:
    return (
        _small(word) is not None
        or word in number_data()["tens"]
        or word in number_data()["denominators"]
        or word[:1].isdigit()
        or word in ("a", "an", "hundred")
    )


def _denominator_free(tokens: Sequence[NumberWord], at: int) -> tuple[int, int] | None:
    below = number_data()["denominators"].get(word_at(tokens, at, joined=False))
    return (int(below), at + 1) if below is not None else None


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


def _unit_at(tokens: Sequence[NumberWord], at: int) -> Unit | None:
    return unit_words().get(word_at(tokens, at))


def _of_a_unit(tokens: Sequence[NumberWord], at: int) -> tuple[Unit, int] | None:
    """``of an inch``, ``an inch`` after a fraction."""
    if word_at(tokens, at) in ("of", "o", "off"):
        at += 1
    elif word_at(tokens, at) not in ("a", "an"):
        return None
    if word_at(tokens, at) in ("a", "an"):
        at += 1
    unit = _unit_at(tokens, at)
    return (unit, at + 1) if unit is not None and word_at(tokens, at) != "in" else None


def _with_unit(tokens: Sequence[NumberWord], number: BareNumber) -> BareNumber:
    if number.unit is not None or number.form in ("shoe_size", "ordinal", "grade"):
        return number
    unit, end = _unit_at(tokens, number.last), number.last + 1
    if unit is None:
        behind = _of_a_unit(tokens, number.last) if number.form == "fraction" else None
        if behind is None:
            return number
        unit, end = behind
    # "in" is a preposition unless it follows digits ("3.25in") or ends its clause.
    if word_at(tokens, number.last) == "in" and not (number.digits and _closes(tokens, end)):
        return number
    if unit is Unit.HAND and number.value < 8:
        return number
    if (
        number.form == "plain"
        and word_at(tokens, end) == "and"
        and unit in (Unit.INCH, Unit.HAND, Unit.MM, Unit.CM)
    ):
        part = _and_fraction(tokens, end)
        if part is not None and word_at(tokens, end + 1) in ("a", "an"):
            # "an inch and a half", "two inches and a quarter"
            return replace(
                number, value=number.value + part[0], form="fraction", unit=unit, unit_end=part[1]
            )
    return replace(number, unit=unit, unit_end=end)


def _closes(tokens: Sequence[NumberWord], at: int) -> bool:
    following = word_at(tokens, at)
    return not following or not re.fullmatch(r"front|the|his|her|\d.*|\w+ing", following)
