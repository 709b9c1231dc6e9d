"""Digits and short forms as they would be said: "3 1/4" as three and a quarter, "LF" as left front.

The network learnt from spoken words only; what is typed or written down by a reader that likes
digits has to reach it as words, or it takes a note of "left front 51" for one without a number.
"""

from __future__ import annotations

from functools import cache

from fieldlog.core.typed import spelt_out

DIGITS = r"(?:\d+[ -])?\d+/\d+|\d+\.\d+|\d+ ?[¼½¾⅛⅜⅝⅞⅓⅔]|[¼½¾⅛⅜⅝⅞⅓⅔]|\d+"
"""A pattern for what ``digits_said`` says."""
SIGNS = r"[\"°]|(?<=\d)(?:in|hh)\b"
"""A pattern for units that are no words, or other words."""
SHORT: dict[str, tuple[str, ...]] = {
    '"': ("inches",), "°": ("degrees",), "deg": ("degrees",), "mm": ("mil",),
    "cm": ("centimetres",), "hh": ("hands",), "wk": ("week",), "wks": ("weeks",),
    "lf": ("left", "front"), "rf": ("right", "front"), "lh": ("left", "hind"),
    "rh": ("right", "hind"),
}  # fmt: skip
"""Short forms and the words that they stand for."""
_SMALL = [
    "nought", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
    "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen",
    "nineteen",
]  # fmt: skip
_TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
_BELOW = {2: "half", 3: "third", 4: "quarter", 8: "eighth", 16: "sixteenth"}
_MOST = 999
"""Larger numbers are years or sums of money, of which nothing is told."""


@cache
def digits_said(digits: str) -> tuple[str, ...]:
    """The words of a number, as ``DIGITS`` finds it; none of one that nobody measures.

    >>> digits_said("3 1/4")
    ('three', 'and', 'a', 'quarter')
    >>> digits_said("52"), digits_said("12.5")
    (('fifty', 'two'), ('twelve', 'point', 'five'))
    """
    digits = spelt_out(digits)
    if "/" in digits:
        whole, _, part = digits.replace("-", " ").rpartition(" ")
        above, below = part.split("/")
        return _mixed(whole, int(above), int(below))
    whole, _, decimals = digits.partition(".")
    said = _whole(int(whole))
    tail = [_SMALL[int(digit)] for digit in decimals]
    return (*said, *(["point", *tail] if said and tail else []))


def _mixed(whole: str, above: int, below: int) -> tuple[str, ...]:
    """ "Three and a quarter", "five eighths"."""
    name = _BELOW.get(below)
    if name is None or not 0 < above < below:
        return ()
    one = above == 1
    part = ("a" if one else _SMALL[above], name if one else f"{name}s")
    return (*_whole(int(whole)), "and", *part) if whole else part


def _whole(number: int) -> tuple[str, ...]:
    if number > _MOST:
        return ()
    if number < len(_SMALL):
        return (_SMALL[number],)
    hundreds, rest = divmod(number, 100)
    if hundreds:
        return (_SMALL[hundreds], "hundred", *(("and", *_whole(rest)) if rest else ()))
    tens, ones = divmod(number, 10)
    return (_TENS[tens - 2], *([_SMALL[ones]] if ones else []))
