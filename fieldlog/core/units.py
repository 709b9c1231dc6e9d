"""The few units a farrier speaks, and exact conversion to SI-sized base units.

Lengths are kept in millimetres, angles in degrees, masses in kilograms, times in days; those are
the trade's own working sizes (millimetre and degree on the hoof gauge). UCUM codes are given for
exchange formats (source: UCUM, unitsofmeasure.org, from memory).
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum


class Dimension(StrEnum):
    """What a unit measures."""

    LENGTH = "length"
    ANGLE = "angle"
    MASS = "mass"
    TIME = "time"
    RATIO = "ratio"
    COUNT = "count"
    GRADE = "grade"


class Unit(StrEnum):
    """A unit as recorded."""

    MM = "mm"
    CM = "cm"
    M = "m"
    INCH = "in"
    FOOT = "ft"
    HAND = "hh"
    DEGREE = "deg"
    KG = "kg"
    LB = "lb"
    DAY = "d"
    WEEK = "wk"
    MONTH = "mo"
    PERCENT = "%"
    COUNT = "count"
    GRADE = "grade"


@dataclass(frozen=True, slots=True)
class UnitFacts:
    """What is fixed about a unit."""

    dimension: Dimension
    to_base: float
    """Multiply by this for mm, degrees, kg or days."""
    symbol: str
    ucum: str


UNITS: dict[Unit, UnitFacts] = {
    Unit.MM: UnitFacts(Dimension.LENGTH, 1.0, "mm", "mm"),
    Unit.CM: UnitFacts(Dimension.LENGTH, 10.0, "cm", "cm"),
    Unit.M: UnitFacts(Dimension.LENGTH, 1000.0, "m", "m"),
    Unit.INCH: UnitFacts(Dimension.LENGTH, 25.4, "in", "[in_i]"),
    Unit.FOOT: UnitFacts(Dimension.LENGTH, 304.8, "ft", "[ft_i]"),
    Unit.HAND: UnitFacts(Dimension.LENGTH, 101.6, "hh", "[hd_i]"),
    Unit.DEGREE: UnitFacts(Dimension.ANGLE, 1.0, "°", "deg"),
    Unit.KG: UnitFacts(Dimension.MASS, 1.0, "kg", "kg"),
    Unit.LB: UnitFacts(Dimension.MASS, 0.45359237, "lb", "[lb_av]"),
    Unit.DAY: UnitFacts(Dimension.TIME, 1.0, "days", "d"),
    Unit.WEEK: UnitFacts(Dimension.TIME, 7.0, "weeks", "wk"),
    Unit.MONTH: UnitFacts(Dimension.TIME, 30.4375, "months", "mo"),
    Unit.PERCENT: UnitFacts(Dimension.RATIO, 0.01, "%", "%"),
    Unit.COUNT: UnitFacts(Dimension.COUNT, 1.0, "", "1"),
    Unit.GRADE: UnitFacts(Dimension.GRADE, 1.0, "", "{score}"),
}


def to_base(value: float, unit: Unit) -> float:
    """``value`` in the base unit of its dimension (mm, degrees, kg, days, fraction)."""
    return value * UNITS[unit].to_base


def convert(value: float, source: Unit, target: Unit) -> float:
    """``value`` in another unit of the same dimension.

    Raises:
        ValueError: the two units measure different things.
    """
    if UNITS[source].dimension is not UNITS[target].dimension:
        raise ValueError(f"{source} and {target} measure different things")
    return value * UNITS[source].to_base / UNITS[target].to_base


@dataclass(frozen=True, slots=True)
class Quantity:
    """A measured value exactly as it was meant, with what was left unsaid marked."""

    value: float
    unit: Unit
    high: float | None = None
    """Upper end if a range was spoken; ``value`` is then the lower end."""
    approximate: bool = False
    """"about", "a hair under", "maybe"."""
    unit_inferred: bool = False
    """The unit was not spoken and was concluded from the kind and size."""
    qualifier: str = ""
    """Words such as ``a hair under`` or ``strong``, kept as spoken."""
    spoken: str = ""
    """The number words as spoken."""

    @property
    def base(self) -> float:
        """The value in mm, degrees, kg or days."""
        return to_base(self.value, self.unit)

    def shown(self) -> str:
        """Short text such as ``3 1/4 in`` or ``52°``, for screens and papers."""
        text = show_number(self.value, self.unit)
        if self.high is not None:
            text += f" to {show_number(self.high, self.unit)}"
        symbol = UNITS[self.unit].symbol
        joined = f"{text}{symbol}" if symbol in ("°", "%") else f"{text} {symbol}".strip()
        if self.qualifier:
            joined = f"{self.qualifier} {joined}"
        elif self.approximate:
            joined = f"about {joined}"
        return joined


def in_inches(measured: Iterable[Quantity | None], setting: str) -> bool:
    """Whether lengths that are worked out are shown in inches.

    Args:
        measured: what they come from; what is no length does not count.
        setting: the farrier's unit, ``in`` or ``mm``; if empty, the one that most were measured in,
            inches if there is none.
    """
    if setting:
        return setting == Unit.INCH
    units = [q.unit for q in measured if q and UNITS[q.unit].dimension is Dimension.LENGTH]
    metric = sum(unit in (Unit.MM, Unit.CM, Unit.M) for unit in units)
    return 2 * metric <= len(units)


def in_hands(written: float) -> float:
    """Hands as a horse's height is written: ``15.2``, fifteen hands and two inches, is 15.5 hands.

    A hand has four inches (UCUM: ``[hd_i]`` is ``4 [in_i]``); what is behind the point counts them
    (common practice, no source), so that ``15.25`` and ``15.5`` can only be decimals.
    """
    hands, inches = divmod(round(written * 100), 100)
    return hands + inches / 40 if inches in (10, 20, 30) else written


def show_number(value: float, unit: Unit) -> str:
    """A number in the trade's habit: inches as fractions to 1/32, hands with their inches behind
    the point (``15.2`` is fifteen hands two), the rest as decimals.

    Inches that are no whole number of thirty-seconds, and hands of no whole number of half inches,
    stay decimals as well.
    """
    if value < 0:
        return f"-{show_number(-value, unit)}"
    parts, halves = round(value * _INCH_PARTS), round(value * _HAND_PARTS)
    if unit is Unit.INCH and abs(value * _INCH_PARTS - parts) < 1e-6:
        return _inches(parts)
    if unit is Unit.HAND and abs(value * _HAND_PARTS - halves) < 1e-6:
        return _hands(halves)
    return f"{value:.2f}".rstrip("0").rstrip(".")


_INCH_PARTS = 32
"""The finest fraction that a tape shows."""


_HAND_PARTS = 8
"""Half inches in a hand."""


def _hands(halves: int) -> str:
    """So many half inches as hands: ``15``, ``15.2``, ``15.2 1/2``."""
    hands, rest = divmod(halves, _HAND_PARTS)
    inches, half = divmod(rest, 2)
    return f"{hands}{f'.{inches}' if rest else ''}{' 1/2' if half else ''}"


def _inches(parts: int) -> str:
    """So many thirty-seconds of an inch: ``3``, ``1/4``, ``3 7/16``."""
    whole, rest = divmod(parts, _INCH_PARTS)
    if rest == 0:
        return str(whole)
    shared = math.gcd(rest, _INCH_PARTS)
    fraction = f"{rest // shared}/{_INCH_PARTS // shared}"
    return f"{whole} {fraction}" if whole else fraction
