"""Spoken numbers and units of the trade, found in text: pure, no model, no guessing of units.

``three and seven sixteenths``, ``eighty-four mil``, ``fifty one and a half degrees``, ``double
aught``, ``a hair under three and a quarter``, ``two to three inches``: each becomes one
``NumberSpan`` with its value, its unit if one was spoken, and the words as they were. Two numbers
that merely stand side by side (``three and a quarter fifty two degrees``) stay two.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from itertools import pairwise
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
class _Token:
    text: str
    start: int
    end: int
    wall: bool = False
    """Punctuation before this token keeps numbers apart."""


@dataclass(frozen=True, slots=True)
class _Number:
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
_ONE_OF = frozenset(
    {"inch", "degree", "millimetre", "millimeter", "centimetre", "centimeter", "mil"}
)
_ARTICLES = frozenset({"a", "an", "another"})
_AMPLE = frozenset({"good", "full", "bare", "strong", "short", "fat", "scant", "heavy", "light",
                    "shy", "big", "generous", "whole"})  # fmt: skip
"""Words for a little more or less, between the article and its amount."""
_MARKS = {"½": 1 / 2, "¼": 1 / 4, "¾": 3 / 4, "⅛": 1 / 8, "⅜": 3 / 8, "⅝": 5 / 8, "⅞": 7 / 8}
_SOME = frozenset({"few", "couple", "several", "many", "some", "half", "a"})
_AUGHT = frozenset({"aught", "ought", "naught", "nought", "oh", "o", "zero"})
_TIMES = {"double": 2, "triple": 3}
_RANGE_JOINERS = ("to", "or", "through", "till")
_BEFORE_QUARTER = frozenset({"about", "maybe", "back", "by", "off", "under", "another", "around"})
_MOVED = frozenset({"up", "down", "come", "came", "gone", "went", "raised", "lowered", "dropped",
                    "brought", "changed", "moved", "improved", "took", "taken", "him", "her",
                    "it", "them", "back"})  # fmt: skip
_THAN = frozenset({"longer", "shorter", "higher", "lower", "deeper", "wider", "narrower", "thinner",
                   "thicker", "taller"})  # fmt: skip
_AFTER_QUARTER = frozenset({"", "off", "longer", "shorter", "higher", "lower", "deep", "and", "so",
                            "then", "today", "each", "but", "this", "now"})  # fmt: skip
_REGION_AFTER = frozenset(
    {"crack", "cracks", "flare", "flares", "clip", "clips", "horse", "horses", "of", "is", "on",
     "and", "wall", "looks", "has", "inside", "outside"}
)  # fmt: skip


@cache
def _data() -> dict[str, Any]:
    text = (files("fieldlog.language") / "data" / "numbers.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


@cache
def _units() -> dict[str, Unit]:
    return {word: Unit(unit) for unit, words in _data()["units"].items() for word in words}


def find_numbers(text: str) -> list[NumberSpan]:
    """All numbers of ``text``, in order, never overlapping.

    Args:
        text: punctuated or not, spoken words or digits or both.

    Returns:
        Spans whose characters cover number and unit. Qualifiers are read but not covered.
    """
    tokens = _tokens(text)
    found: list[_Number] = []
    at = 0
    while at < len(tokens):
        number = _number_at(tokens, at)
        if number is None:
            at += 1
            continue
        found.append(number)
        at = max(number.last, number.unit_end)
    return _finished(text, tokens, found)


def _tokens(text: str) -> list[_Token]:
    out: list[_Token] = []
    last = 0
    for piece in _PIECE.finditer(text):
        between = text[last : piece.start()]
        wall = bool(re.search(r"[.,;:!?\n()]", between))
        out.append(_Token(piece[0].lower().replace("’", "'"), piece.start(), piece.end(), wall))
        last = piece.end()
    return out


def _word(tokens: Sequence[_Token], at: int, *, joined: bool = True) -> str:
    """The token at ``at``, or empty past the end or (if ``joined``) behind punctuation."""
    if not 0 <= at < len(tokens) or (joined and tokens[at].wall):
        return ""
    return tokens[at].text


def _number_at(tokens: Sequence[_Token], at: int) -> _Number | None:
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


def _shoe_size(tokens: Sequence[_Token], at: int) -> _Number | None:
    first = _word(tokens, at, joined=False)
    after_size = _word(tokens, at - 1, joined=False) in ("size", "sizes") and not tokens[at].wall
    if first in _TIMES and _word(tokens, at + 1) in _AUGHT:
        return _Number(at, at + 2, 0.0, "shoe_size", spoken="0" * _TIMES[first])
    if first in ("aught", "ought", "naught", "nought") and (
        after_size or first in ("aught", "naught", "nought")
    ):
        return _Number(at, at + 1, 0.0, "shoe_size", spoken="0")
    if after_size:
        if re.fullmatch(r"0+", first):
            return _Number(at, at + 1, 0.0, "shoe_size", spoken=first)
        small = _small(first)
        if small is not None:
            return _Number(at, at + 1, float(small), "shoe_size", spoken=str(small))
        if first.isdigit() and len(first) <= 2:
            return _Number(at, at + 1, float(first), "shoe_size", spoken=first)
    if re.fullmatch(r"00+", first):
        return _Number(at, at + 1, 0.0, "shoe_size", spoken=first)
    return None


def _hands(tokens: Sequence[_Token], at: int) -> _Number | None:
    """``fifteen two hands`` is 15 hands and 2 inches, each hand 4 inches."""
    hands, inches = _whole(tokens, at), None
    if hands is None or not 8 <= hands[0] <= 20:
        return None
    end = hands[1]
    inches = _small(_word(tokens, end))
    if inches is None or inches > 3 or _word(tokens, end + 1) not in ("hands", "hand", "hh"):
        return None
    return _Number(at, end + 1, hands[0] + inches / 4, "plain")


def _digits(tokens: Sequence[_Token], at: int) -> _Number | None:
    text = tokens[at].text
    if text in _MARKS:
        return _Number(at, at + 1, _MARKS[text], "fraction", digits=True)
    mixed = re.fullmatch(r"(?:(\d+)[ -])?(\d+)/(\d+)", text)
    if mixed is not None:
        below = int(mixed[3])
        if below == 0:
            return None
        value = int(mixed[1] or 0) + int(mixed[2]) / below
        return _Number(at, at + 1, value, "fraction", digits=True)
    if not text[0].isdigit():
        return None
    value = float(text.replace(",", ""))
    following = _word(tokens, at + 1)
    if following in _MARKS:
        return _Number(at, at + 2, value + _MARKS[following], "fraction", digits=True)
    part = _and_fraction(tokens, at + 1)
    if part is not None:
        return _Number(at, part[1], value + part[0], "fraction", digits=True)
    if following in ("st", "nd", "rd", "th"):
        return _Number(at, at + 2, value, "ordinal", digits=True)
    return _Number(at, at + 1, value, "plain", digits=True)


def _spoken(tokens: Sequence[_Token], at: int) -> _Number | None:
    whole = _whole(tokens, at)
    if whole is None:
        if _word(tokens, at, joined=False) == "point":
            return _decimals(tokens, at, 0, at)
        return None
    value, end = whole
    if _word(tokens, end) == "point":
        decimal = _decimals(tokens, at, value, end)
        if decimal is not None:
            return decimal
    part = _and_fraction(tokens, end) or _plain_fraction_after(tokens, end, value)
    if part is not None:
        return _Number(at, part[1], value + part[0], "fraction")
    below = _denominator(tokens, end)
    # "three quarters", but not "one quarter" of a hoof unless something is measured.
    if below is not None and 0 < value < below[0] and _is_amount(tokens, at, below, value):
        return _Number(at, below[1], value / below[0], "fraction")
    form = "grade" if _word(tokens, at - 1, joined=False) == "grade" else "plain"
    return _Number(at, end, float(value), form)


def _is_amount(tokens: Sequence[_Token], at: int, below: tuple[int, int], value: float) -> bool:
    size, end = below
    if size != 4 or _unit_at(tokens, end) is not None:
        return True
    return value == 3 or _word(tokens, end) not in _REGION_AFTER


def _whole(tokens: Sequence[_Token], at: int) -> tuple[int, int] | None:
    """A cardinal up to 9,999 in words: value and the token after it."""
    value = _below_hundred(tokens, at, first=True) or _bare_hundred(tokens, at)
    if value is None:
        return None
    number, end = value
    bare = end == at
    if (bare or _word(tokens, end) == "hundred") and 0 < number < 100:
        number, end = number * 100, end + 1
        skip = 1 if _word(tokens, end) == "and" else 0
        rest = _below_hundred(tokens, end + skip)
        if rest is not None and not (skip and _denominator(tokens, end + skip + 1)):
            number, end = number + rest[0], rest[1]
    elif _word(tokens, end) == "thousand" and 0 < number < 10:
        number, end = number * 1000, end + 1
        rest = _whole(tokens, end + (_word(tokens, end) == "and"))
        if rest is not None and rest[0] < 1000:
            number, end = number + rest[0], rest[1]
    return number, end


def _bare_hundred(tokens: Sequence[_Token], at: int) -> tuple[int, int] | None:
    """ "Hundred and forty across": one, and the hundred that follows."""
    if _word(tokens, at, joined=False) != "hundred" or _word(tokens, at - 1) in _SOME:
        return None
    rest = at + 1 + (_word(tokens, at + 1) == "and")
    return (1, at) if _below_hundred(tokens, rest) is not None else None


def _below_hundred(
    tokens: Sequence[_Token], at: int, *, first: bool = False
) -> tuple[int, int] | None:
    word = _word(tokens, at, joined=not first)
    tens = _data()["tens"].get(word)
    if tens is not None:
        unit = _small(_word(tokens, at + 1))
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
    if word == "a" and _word(tokens, at + 1) in ("hundred", "thousand"):
        return 1, at + 1
    return None


def _makes_number(tokens: Sequence[_Token], at: int) -> bool:
    """Whether "for", "to" and the like stand where only a number fits.

    "for and a half" and "to degrees" do; "for inches of mud" hardly occurs, "for two weeks" does
    and is not one.
    """
    if _and_fraction(tokens, at + 1) is not None:
        return True
    unit = _unit_at(tokens, at + 1)
    return unit is not None and _word(tokens, at + 1) not in ("in", "hand", "m")


def _homophone(tokens: Sequence[_Token], at: int) -> int | None:
    meant = _data()["homophones"].get(_word(tokens, at))
    return _small(meant) if meant else None


def _small(word: str) -> int | None:
    value = _data()["small"].get(word)
    return int(value) if value is not None else None


def _decimals(tokens: Sequence[_Token], first: int, whole: float, point: int) -> _Number | None:
    digits, end = "", point + 1
    while True:
        word = _word(tokens, end)
        small = 0 if word in ("oh", "o") else _small(word)
        if small is None or small > 9 or len(digits) >= 4:
            break
        if digits and _word(tokens, end + 1) == "point":
            break  # "eight point seven, four point one"
        digits, end = digits + str(small), end + 1
    if not digits:
        tail = _below_hundred(tokens, point + 1)
        if tail is None:
            return None
        digits, end = str(tail[0]), tail[1]
    return _Number(first, end, float(f"{whole:g}.{digits}"), "plain")


def _denominator(tokens: Sequence[_Token], at: int) -> tuple[int, int] | None:
    word = _word(tokens, at)
    if word == "thirty" and _word(tokens, at + 1) in ("second", "seconds"):
        return 32, at + 2
    below = _data()["denominators"].get(word)
    return (int(below), at + 1) if below is not None else None


def _and_fraction(tokens: Sequence[_Token], at: int) -> tuple[float, int] | None:
    """``and a half``, ``and seven sixteenths``: value and the token after it."""
    if _word(tokens, at) not in ("and", "n", "an"):
        return None
    skip = at + 1
    if _word(tokens, skip) in ("a", "an"):
        below = _denominator(tokens, skip + 1)
        return (1 / below[0], below[1]) if below is not None else None
    counted = _below_hundred(tokens, skip)
    if counted is None and (mended := _homophone(tokens, skip)) is not None:
        counted = (mended, skip + 1)
    below = _denominator(tokens, counted[1]) if counted is not None else None
    if counted is not None and below is not None and 0 < counted[0] < below[0]:
        return counted[0] / below[0], below[1]
    bare = _denominator(tokens, skip)
    if bare is not None and bare[0] in (2, 4, 8, 16) and _word(tokens, at) == "and":
        after = _word(tokens, bare[1])
        if bare[0] != 4 or after not in _REGION_AFTER:
            return 1 / bare[0], bare[1]
    return None


def _plain_fraction_after(
    tokens: Sequence[_Token], at: int, whole: float
) -> tuple[float, int] | None:
    """``three seven sixteenths``: a whole number with its fraction, the "and" swallowed."""
    above = _small(_word(tokens, at))
    if above is None or whole > 20:
        return None
    below = _denominator(tokens, at + 1)
    if below is None or not 0 < above < below[0]:
        return None
    return above / below[0], below[1]


def _bare_fraction(tokens: Sequence[_Token], at: int) -> _Number | None:
    """``half inch``, ``a quarter of an inch``, ``an eighth``, ``a good eighth``; ``, eighth.``"""
    word = _word(tokens, at, joined=False)
    start, behind = at, at - 1
    article = word in _ARTICLES
    if article:
        at += 1
        word = _word(tokens, at)
    elif _qualified(tokens, at):
        article, behind = True, at - 3
    elif word in ("eighth", "sixteenth") and at > 0 and tokens[at].wall:
        article = _word(tokens, at + 1) == ""  # no day of the month stands by itself
    if word not in _data()["denominators"] and word != "thirty":
        return None
    below = _denominator_free(tokens, at) if start == at else _denominator(tokens, at)
    if below is None:
        return None
    size, end = below
    measured = _unit_at(tokens, end) is not None or _of_a_unit(tokens, end) is not None
    before = _word(tokens, behind, joined=False)
    if size == 2 and not measured and not (article and _word(tokens, end) in ("", "off")):
        return None
    compared = _word(tokens, end) in _THAN
    if size == 4 and not measured and not (article and compared):
        at_end = _word(tokens, end) in _AFTER_QUARTER
        if not (article and before in _BEFORE_QUARTER and at_end):
            return None
    if size not in (2, 4) and not measured and not article:
        return None
    if size in (3, 10) and not measured:
        return None
    return _Number(start, end, 1 / size, "fraction")


def _one_unit(tokens: Sequence[_Token], at: int) -> _Number | None:
    """``an inch``, ``a degree``, ``an inch and a half``, ``a full inch``."""
    word = _word(tokens, at, joined=False)
    if word in _ONE_OF and _qualified(tokens, at):
        more = _and_fraction(tokens, at + 1)
        value, form = (1.0, "plain") if more is None else (1 + more[0], "fraction")
        end = at + 1 if more is None else more[1]
        return _Number(at, at + 1, value, form, unit=_units()[word], unit_end=end)
    if word == "inch":
        before = _word(tokens, at - 1, joined=False)
        sized = _word(tokens, at + 1) in ("long", "wide", "deep", "thick", "tall", "high")
        if sized and not _is_number_word(before) and before not in ("of", "per", "an", "each"):
            return _Number(at, at + 1, 1.0, "plain", unit=Unit.INCH, unit_end=at + 1)
        # "inch and three quarters" without its article
        bare = _and_fraction(tokens, at + 1)
        alone = at == 0 or tokens[at].wall or not _is_number_word(tokens[at - 1].text)
        if bare is None or not alone:
            return None
        return _Number(at, at + 1, 1 + bare[0], "fraction", unit=Unit.INCH, unit_end=bare[1])
    if word not in ("a", "an"):
        return None
    if _word(tokens, at + 1) not in _ONE_OF:
        return None
    unit = _units()[_word(tokens, at + 1)]
    part = _and_fraction(tokens, at + 2)
    if part is None:
        return _Number(at, at + 1, 1.0, "plain", unit=unit, unit_end=at + 2)
    return _Number(at, at + 1, 1 + part[0], "fraction", unit=unit, unit_end=part[1])


def _qualified(tokens: Sequence[_Token], at: int) -> bool:
    """Whether an article and a word for a large or small amount stand before it: a good eighth."""
    if at < 2 or tokens[at].wall or tokens[at - 1].wall:
        return False
    return tokens[at - 1].text in _AMPLE and tokens[at - 2].text in _ARTICLES


def _is_number_word(word: str) -> bool:
    return (
        _small(word) is not None
        or word in _data()["tens"]
        or word in _data()["denominators"]
        or word[:1].isdigit()
        or word in ("a", "an", "hundred")
    )


def _denominator_free(tokens: Sequence[_Token], at: int) -> tuple[int, int] | None:
    below = _data()["denominators"].get(_word(tokens, at, joined=False))
    return (int(below), at + 1) if below is not None else None


def _ordinal(tokens: Sequence[_Token], at: int) -> _Number | None:
    word = _word(tokens, at, joined=False)
    ordinals = _data()["ordinals"]
    tens = _data()["tens"].get(word)
    if tens is not None and _word(tokens, at + 1) in ordinals:
        unit = ordinals[_word(tokens, at + 1)]
        if unit < 10:
            return _Number(at, at + 2, float(tens + unit), "ordinal")
    if word in ordinals:
        return _Number(at, at + 1, float(ordinals[word]), "ordinal")
    return None


def _unit_at(tokens: Sequence[_Token], at: int) -> Unit | None:
    return _units().get(_word(tokens, at))


def _of_a_unit(tokens: Sequence[_Token], at: int) -> tuple[Unit, int] | None:
    """``of an inch``, ``an inch`` after a fraction."""
    if _word(tokens, at) in ("of", "o", "off"):
        at += 1
    elif _word(tokens, at) not in ("a", "an"):
        return None
    if _word(tokens, at) in ("a", "an"):
        at += 1
    unit = _unit_at(tokens, at)
    return (unit, at + 1) if unit is not None and _word(tokens, at) != "in" else None


def _with_unit(tokens: Sequence[_Token], number: _Number) -> _Number:
    if number.unit is not None or number.form in ("shoe_size", "ordinal", "grade"):
        return number
    unit, end = _unit_at(tokens, number.last), number.last + 1
    if unit is None:
        behind = _of_a_unit(tokens, number.last) if number.form == "fraction" else None
        if behind is None:
            return number
        unit, end = behind
    # "in" is a preposition unless it follows digits ("3.25in") or ends its clause.
    if _word(tokens, number.last) == "in" and not (number.digits and _closes(tokens, end)):
        return number
    if unit is Unit.HAND and number.value < 8:
        return number
    if (
        number.form == "plain"
        and _word(tokens, end) == "and"
        and unit in (Unit.INCH, Unit.HAND, Unit.MM, Unit.CM)
    ):
        part = _and_fraction(tokens, end)
        if part is not None and _word(tokens, end + 1) in ("a", "an"):
            # "an inch and a half", "two inches and a quarter"
            return replace(
                number, value=number.value + part[0], form="fraction", unit=unit, unit_end=part[1]
            )
    return replace(number, unit=unit, unit_end=end)


def _closes(tokens: Sequence[_Token], at: int) -> bool:
    following = _word(tokens, at)
    return not following or not re.fullmatch(r"front|the|his|her|\d.*|\w+ing", following)


def _finished(text: str, tokens: Sequence[_Token], found: list[_Number]) -> list[NumberSpan]:
    spans: list[NumberSpan] = []
    at = 0
    while at < len(found):
        number = found[at]
        end = max(number.last, number.unit_end)
        upper = found[at + 1] if at + 1 < len(found) else None
        high: float | None = None
        unit, form, maybe = number.unit, number.form, False
        if upper is not None and number.form in ("plain", "fraction", "grade"):
            joined = _ranged(tokens, end, upper, number)
            if joined is not None:
                high, unit, maybe = upper.value, upper.unit or number.unit, joined
                end = max(upper.last, upper.unit_end)
                form = "range" if number.form != "grade" else "grade"
                at += 1
        start_char, end_char = tokens[number.first].start, tokens[end - 1].end
        qualifier, about = _before(tokens, number.first)
        about = about or maybe or _after(tokens, end) or bool(qualifier)
        spans.append(
            NumberSpan(
                start=start_char,
                end=end_char,
                value=number.value,
                high=high,
                approximate=about,
                qualifier=qualifier,
                unit=unit,
                spoken=number.spoken or text[start_char:end_char],
                form=form,
            )
        )
        at += 1
    return spans


def _ranged(tokens: Sequence[_Token], end: int, upper: _Number, lower: _Number) -> bool | None:
    """Whether two numbers are one range; True if the second came as a doubt ("six maybe")."""
    if upper.form not in ("plain", "fraction") or upper.value <= lower.value:
        return None
    if lower.unit is not None and upper.unit is not None and lower.unit is not upper.unit:
        return None
    between = [_word(tokens, i, joined=False) for i in range(end, upper.first)]
    lead = [t.text for t in tokens[max(0, lower.first - 2) : lower.first]]
    moved = any(
        one.text in _MOVED and two.text == "from" for one, two in pairwise(tokens[: lower.first])
    )
    if between == ["to"] and lead[1:] == ["from"] and moved:
        # "up from forty-eight to fifty-one" is two values
        return None
    half = not between and lower.value >= 1 and lower.value % 1 == 0
    if half and upper.value == lower.value + 0.5 and lower.form == "plain":
        return False  # "a six, six and a half"
    if any(t.wall for t in tokens[end : upper.first + 1]):
        close = upper.value - lower.value <= 1
        doubt = "maybe" in between or _word(tokens, max(upper.last, upper.unit_end)) == "maybe"
        return True if close and doubt and len(between) <= 1 else None
    if len(between) == 1 and between[0] in _RANGE_JOINERS:
        return between[0] == "or"
    if between == ["or", "maybe"] or between == ["maybe"]:
        return True if upper.value - lower.value <= 2 else None
    if not between and _word(tokens, max(upper.last, upper.unit_end)) == "maybe":
        return True if upper.value - lower.value <= 1 else None
    if not between and lower.form == "plain" and upper.value == lower.value + 1 <= 12:
        # "three four weeks"
        return True if _word(tokens, upper.last) in ("weeks", "days", "inches") else None
    return None


def _before(tokens: Sequence[_Token], first: int) -> tuple[str, bool]:
    words = [t.text for t in tokens[max(0, first - 4) : first]]
    if tokens[first].wall:
        return "", False
    for phrase in _phrases("qualifiers", "before"):
        if words[-len(phrase) :] == list(phrase):
            joined = " ".join(phrase)
            if joined in ("under", "over") and words[-2:-1] in (["run"], ["running"], ["folded"]):
                return "", False
            return joined, True
    return "", any(words[-len(p) :] == list(p) for p in _phrases("approximate", "before"))


def _after(tokens: Sequence[_Token], end: int) -> bool:
    words = [t.text for t in tokens[end : end + 3]]
    if end < len(tokens) and tokens[end].wall:
        return False
    return any(words[: len(p)] == list(p) for p in _phrases("approximate", "after"))


@cache
def _phrases(table: str, side: str) -> tuple[tuple[str, ...], ...]:
    split = [tuple(p.split()) for p in _data()[table][side]]
    return tuple(sorted(split, key=len, reverse=True))
