"""What is typed by hand: a number with its unit, the way it is written on a shoe box.

Words ("three and a quarter", "flare on the outside quarter") go through the understanding that
reads notes; this module only knows digits. Fields and searches read them alike.
"""

from __future__ import annotations

import math
import re

from fieldlog.core.units import UNITS, Dimension, Quantity, Unit, in_hands

_VULGAR = {
    "¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
    "⅓": "1/3", "⅔": "2/3",
}  # fmt: skip
UNIT_WORDS: dict[str, Unit] = {
    '"': Unit.INCH, "''": Unit.INCH, "in": Unit.INCH, "inch": Unit.INCH, "inches": Unit.INCH,
    "mm": Unit.MM, "mil": Unit.MM, "millimetres": Unit.MM, "millimeters": Unit.MM,
    "cm": Unit.CM, "m": Unit.M, "ft": Unit.FOOT, "hh": Unit.HAND, "hands": Unit.HAND,
    "°": Unit.DEGREE, "deg": Unit.DEGREE, "degree": Unit.DEGREE, "degrees": Unit.DEGREE,
    "kg": Unit.KG, "lb": Unit.LB, "lbs": Unit.LB, "%": Unit.PERCENT, "percent": Unit.PERCENT,
    "d": Unit.DAY, "day": Unit.DAY, "days": Unit.DAY, "wk": Unit.WEEK, "week": Unit.WEEK,
    "weeks": Unit.WEEK, "mo": Unit.MONTH, "month": Unit.MONTH, "months": Unit.MONTH,
}  # fmt: skip
"""Each way of writing a unit behind a number, in small letters."""
NUMBER = r"(?:\d+/\d+|\d+(?:\.\d+)?(?:[ -]+\d+/\d+)?|\.\d+)"
"""A pattern for what ``number`` reads; signs such as ¼ are spelt out before, by ``spelt_out``."""
_QUANTITY = re.compile(
    rf"(?P<about>about|ca\.?|~)?\s*(?P<low>{NUMBER})"
    rf"(?:\s*(?:to|–|\.\.)\s*(?P<high>{NUMBER}))?\s*(?P<unit>[a-z\"'°%]*)",
    re.IGNORECASE,
)


class NoNumber(ValueError):
    """Digits that state no number; its text is a sentence that says why."""


def spelt_out(text: str) -> str:
    """``text`` with signs such as ¼ as digits: ``3¼`` becomes ``3 1/4``."""
    for sign, written in _VULGAR.items():
        text = re.sub(rf"(?<=\d){sign}", f" {written}", text).replace(sign, written)
    return text


def number(text: str) -> float:
    """The value of ``3``, ``3.25``, ``3 1/4``, ``3-1/4`` or ``5/8``.

    Raises:
        NoNumber: not digits, a fraction over zero, or more than can be counted.
    """
    total = 0.0
    try:
        for piece in re.split(r"[ -]+", text.strip()):
            top, line, bottom = piece.partition("/")
            total += float(top) / float(bottom) if line else float(top)
    except ZeroDivisionError:
        raise NoNumber("A fraction cannot have 0 below the line.") from None
    except ValueError:
        raise NoNumber("A number is written as 3, 3.25, 3 1/4 or 5/8.") from None
    if not math.isfinite(total):
        raise NoNumber("That number is too large.")
    return total


def typed_quantity(text: str, like: Quantity | None = None) -> Quantity | None:
    """The quantity that ``text`` states in digits, or None if it is not just a quantity.

    Args:
        text: ``3 1/4 in``, ``3¼"``, ``84 mm``, ``52``, ``about 6.5``, ``3 to 3 1/4``.
        like: what stood in the field; its unit is kept if none is typed, but parts like 1/4 of a
            length are of an inch. A unit of another dimension is refused with None, because the
            field would no longer mean the same.

    Raises:
        NoNumber: it is just a quantity, but its digits state no number.
    """
    found = _QUANTITY.fullmatch(spelt_out(text).strip())
    if found is None:
        return None
    word = found["unit"].lower()
    if word and word not in UNIT_WORDS:
        return None
    unit = UNIT_WORDS[word] if word else (like.unit if like else None)
    parts = "/" in text and unit is not None and UNITS[unit].dimension is Dimension.LENGTH
    if parts and not word:
        unit = Unit.INCH
    if unit is None:
        return None
    if like is not None and UNITS[unit].dimension is not UNITS[like.unit].dimension:
        return None
    low = _value(found["low"], unit)
    high = _value(found["high"], unit) if found["high"] else None
    return Quantity(value=low, unit=unit, high=high, approximate=bool(found["about"]))


def _value(text: str, unit: Unit) -> float:
    """A typed number; of hands ``15.2 1/2`` is fifteen hands and two and a half inches."""
    hands, _, half = text.strip().partition(" ")
    if unit is not Unit.HAND or "." not in hands:
        return number(text)
    return in_hands(number(hands)) + (number(half) / 4 if half.strip() else 0.0)


def says_unit(text: str) -> bool:
    """Whether what is typed ends in a unit."""
    found = _QUANTITY.fullmatch(spelt_out(text).strip())
    return found is not None and bool(found["unit"])


UNITS_OF: dict[Dimension, tuple[Unit, ...]] = {
    Dimension.LENGTH: (Unit.INCH, Unit.MM, Unit.CM),
    Dimension.ANGLE: (Unit.DEGREE,),
    Dimension.MASS: (Unit.KG, Unit.LB),
    Dimension.TIME: (Unit.DAY, Unit.WEEK, Unit.MONTH),
}
"""Units worth offering when the one shown is wrong."""
