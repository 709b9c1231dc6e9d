"""Whole numbers and parts of an inch in words: "fifty one", "three and seven sixteenths"."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache

from fieldlog.core.units import Unit
from fieldlog.language.numbers.words import (
    BareNumber,
    NumberWord,
    number_data,
    phrases,
    unit_words,
    word_at,
)

ONE_OF = frozenset(
    {"inch", "degree", "millimetre", "millimeter", "centimetre", "centimeter", "mil"}
)
"""Units of which one may go without its number: "an inch"."""
ARTICLES = frozenset({"a", "an", "another"})
_SOME = frozenset({"few", "couple", "several", "many", "some", "half", "a"})
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
REGION_AFTER = frozenset(
    {"crack", "cracks", "flare", "flares", "clip", "clips", "horse", "horses", "of", "is", "on",
     "and", "wall", "looks", "has", "inside", "outside"}
)  # fmt: skip
"""Behind a quarter that is a region of the hoof."""


def whole_number(tokens: Sequence[NumberWord], at: int) -> tuple[int, int] | None:
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
        if rest is not None and not (skip and part_of_inch(tokens, end + skip + 1)):
            number, end = number + rest[0], rest[1]
    elif word_at(tokens, end) == "thousand" and 0 < number < 10:
        number, end = number * 1000, end + 1
        rest = whole_number(tokens, end + (word_at(tokens, end) == "and"))
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
    """``fifty one``, ``ninety``: value and the token after it."""
    word = word_at(tokens, at, joined=not first)
    tens = number_data()["tens"].get(word)
    if tens is not None:
        unit = small_number(word_at(tokens, at + 1))
        if unit is not None and 0 < unit < 10:
            return tens + unit, at + 2
        mended = _homophone(tokens, at + 1)
        if mended is not None and mended < 10 and unit_at(tokens, at + 2) is not None:
            return tens + mended, at + 2
        return tens, at + 1
    small = small_number(word)
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
    if and_fraction(tokens, at + 1) is not None:
        return True
    unit = unit_at(tokens, at + 1)
    return unit is not None and word_at(tokens, at + 1) not in ("in", "hand", "m")


def _homophone(tokens: Sequence[NumberWord], at: int) -> int | None:
    meant = number_data()["homophones"].get(word_at(tokens, at))
    return small_number(meant) if meant else None


def small_number(word: str) -> int | None:
    """A word up to "nineteen"; None for any other."""
    value = number_data()["small"].get(word)
    return int(value) if value is not None else None


def decimal_part(
    tokens: Sequence[NumberWord], first: int, whole: float, point: int
) -> BareNumber | None:
    """``three point two five``, from the token ``first`` on; ``point`` is where "point" stands."""
    digits, end = "", point + 1
    while True:
        word = word_at(tokens, end)
        small = 0 if word in ("oh", "o") else small_number(word)
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


def part_of_inch(tokens: Sequence[NumberWord], at: int) -> tuple[int, int] | None:
    """``sixteenths``, ``thirty seconds``: the denominator and the token after it."""
    word = word_at(tokens, at)
    if word == "thirty" and word_at(tokens, at + 1) in ("second", "seconds"):
        return 32, at + 2
    below = number_data()["denominators"].get(word)
    return (int(below), at + 1) if below is not None else None


_INCH_PART = re.compile(r"(\d+)/(2|3|4|8|16|32)")
"""A part of an inch as it is typed; fifths and tenths are grades."""


def and_fraction(tokens: Sequence[NumberWord], at: int) -> tuple[float, int] | None:
    """``and a half``, ``and seven sixteenths``, ``and 5/8``: value and the token after it."""
    if word_at(tokens, at) not in ("and", "n", "an"):
        return None
    skip = at + 1
    typed = _INCH_PART.fullmatch(word_at(tokens, skip))
    if typed is not None and 0 < int(typed[1]) < int(typed[2]):
        return int(typed[1]) / int(typed[2]), skip + 1
    if word_at(tokens, skip) in ("a", "an"):
        below = part_of_inch(tokens, skip + 1)
        return (1 / below[0], below[1]) if below is not None else None
    counted = _below_hundred(tokens, skip)
    if counted is None and (mended := _homophone(tokens, skip)) is not None:
        counted = (mended, skip + 1)
    below = part_of_inch(tokens, counted[1]) if counted is not None else None
    if counted is not None and below is not None and 0 < counted[0] < below[0]:
        return counted[0] / below[0], below[1]
    bare = part_of_inch(tokens, skip)
    if bare is not None and bare[0] in (2, 4, 8, 16) and word_at(tokens, at) == "and":
        after = word_at(tokens, bare[1])
        if bare[0] != 4 or after not in REGION_AFTER:
            return 1 / bare[0], bare[1]
    return None


def plain_fraction_after(
    tokens: Sequence[NumberWord], at: int, whole: float
) -> tuple[float, int] | None:
    """``three seven sixteenths``: a whole number with its fraction, the "and" swallowed."""
    above = small_number(word_at(tokens, at))
    if above is None or whole > 20:
        return None
    below = part_of_inch(tokens, at + 1)
    if below is None or not 0 < above < below[0]:
        return None
    return above / below[0], below[1]


def bare_fraction(tokens: Sequence[NumberWord], at: int) -> BareNumber | None:
    """``half inch``, ``a quarter of an inch``, ``an eighth``, ``a good eighth``; ``, eighth.``"""
    word = word_at(tokens, at, joined=False)
    start, behind = at, at - 1
    article = word in ARTICLES
    if article:
        at += 1
        word = word_at(tokens, at)
    elif _qualified(tokens, at):
        article, behind = True, at - 3
    elif word in ("eighth", "sixteenth") and at > 0 and tokens[at].wall:
        article = word_at(tokens, at + 1) == ""  # no day of the month stands by itself
    if word not in number_data()["denominators"] and word != "thirty":
        return None
    below = _denominator_free(tokens, at) if start == at else part_of_inch(tokens, at)
    if below is None:
        return None
    size, end = below
    measured = unit_at(tokens, end) is not None or of_a_unit(tokens, end) is not None
    before = word_at(tokens, behind, joined=False)
    moved_by = before in _MOVED_BY and word_at(tokens, end) not in _HALF_OF
    closes = word_at(tokens, end) in ("", "off") or moved_by or _second_amount(tokens, start, end)
    led = start == 0 or tokens[start].wall or before in ("and", "took", "take")
    taken = led and word_at(tokens, end) == "off" and word_at(tokens, end + 1) in _OFF_WHAT
    if size == 2 and not measured and not (article and closes) and not taken:
        return None
    compared = word_at(tokens, end) in _THAN
    if size == 4 and not measured and not (article and compared):
        after = word_at(tokens, end)
        amount = before in _BEFORE_QUARTER and after in _AFTER_QUARTER
        moved = before in _MOVED and after in _AFTER_MOVED
        moved = moved or _second_amount(tokens, start, end)
        if not (article and (amount or moved or after == "off")):
            return None
    if size not in (2, 4) and not measured and not article:
        return None
    if size in (3, 10) and not measured:
        return None
    return BareNumber(start, end, 1 / size, "fraction")


_OF_FEET = frozenset({"left", "right", "near", "off", "front", "fronts", "hind", "hinds", "back",
                      "backs", "other", "fores"})  # fmt: skip
_AMOUNTS = frozenset({"quarter", "half", "eighth", "eighths", "sixteenth", "sixteenths", "inch"})
_LATELY = 16


def _second_amount(tokens: Sequence[NumberWord], start: int, end: int) -> bool:
    """ "Three eighths on the near fore and a half on the off": an amount like the one before it."""
    if word_at(tokens, start - 1, joined=False) not in ("and", "but") and not tokens[start].wall:
        return False
    if word_at(tokens, end) not in ("on", "off", "from"):
        return False
    beside = {word_at(tokens, end + 1), word_at(tokens, end + 2)}
    earlier = {word_at(tokens, at, joined=False) for at in range(max(0, start - _LATELY), start)}
    return bool(beside & _OF_FEET) and bool(earlier & _AMOUNTS)


def one_unit(tokens: Sequence[NumberWord], at: int) -> BareNumber | None:
    """``an inch``, ``a degree``, ``an inch and a half``, ``a full inch``."""
    word = word_at(tokens, at, joined=False)
    if word in ONE_OF and _qualified(tokens, at):
        more = and_fraction(tokens, at + 1)
        value, form = (1.0, "plain") if more is None else (1 + more[0], "fraction")
        end = at + 1 if more is None else more[1]
        return BareNumber(at, at + 1, value, form, unit=unit_words()[word], unit_end=end)
    if word == "inch":
        before = word_at(tokens, at - 1, joined=False)
        sized = word_at(tokens, at + 1) in ("long", "wide", "deep", "thick", "tall", "high")
        if sized and not _is_number_word(before) and before not in ("of", "per", "an", "each"):
            return BareNumber(at, at + 1, 1.0, "plain", unit=Unit.INCH, unit_end=at + 1)
        # "inch and three quarters" without its article
        bare = and_fraction(tokens, at + 1)
        alone = at == 0 or tokens[at].wall or not _is_number_word(tokens[at - 1].text)
        if bare is None or not alone:
            return None
        return BareNumber(at, at + 1, 1 + bare[0], "fraction", unit=Unit.INCH, unit_end=bare[1])
    if word not in ("a", "an"):
        return None
    if word_at(tokens, at + 1) not in ONE_OF:
        return None
    unit = unit_words()[word_at(tokens, at + 1)]
    part = and_fraction(tokens, at + 2)
    if part is None:
        return BareNumber(at, at + 1, 1.0, "plain", unit=unit, unit_end=at + 2)
    return BareNumber(at, at + 1, 1 + part[0], "fraction", unit=unit, unit_end=part[1])


def _qualified(tokens: Sequence[NumberWord], at: int) -> bool:
    """Whether an article and a word for a large or small amount stand before it: a good eighth."""
    if at < 2 or tokens[at].wall or tokens[at - 1].wall:
        return False
    return tokens[at - 1].text in _ample() and tokens[at - 2].text in ARTICLES


@cache
def _ample() -> frozenset[str]:
    """Words between an article and its amount: the qualifiers', and two that say exactly."""
    pairs = (phrase for phrase in phrases("qualifiers", "before") if len(phrase) == 2)
    return frozenset(word for article, word in pairs if article == "a") | {"full", "whole", "solid"}


def _is_number_word(word: str) -> bool:
    return (
        small_number(word) is not None
        or word in number_data()["tens"]
        or word in number_data()["denominators"]
        or word[:1].isdigit()
        or word in ("a", "an", "hundred")
    )


def _denominator_free(tokens: Sequence[NumberWord], at: int) -> tuple[int, int] | None:
    below = number_data()["denominators"].get(word_at(tokens, at, joined=False))
    return (int(below), at + 1) if below is not None else None


def unit_at(tokens: Sequence[NumberWord], at: int) -> Unit | None:
    """The unit that one token is, if it is one."""
    return unit_words().get(word_at(tokens, at))


def of_a_unit(tokens: Sequence[NumberWord], at: int) -> tuple[Unit, int] | None:
    """``of an inch``, ``an inch`` after a fraction."""
    if word_at(tokens, at) in ("of", "o", "off"):
        at += 1
    elif word_at(tokens, at) not in ("a", "an"):
        return None
    if word_at(tokens, at) in ("a", "an"):
        at += 1
    unit = unit_at(tokens, at)
    return (unit, at + 1) if unit is not None and word_at(tokens, at) != "in" else None


def amount_closes(tokens: Sequence[NumberWord], at: int) -> bool:
    """Whether "in" before the token is inches: "2 in", not "2 in front"."""
    following = word_at(tokens, at)
    return not following or not re.fullmatch(r"front|the|his|her|\d.*|\w+ing", following)
