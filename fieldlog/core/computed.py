"""Numbers computed from what was measured, shown as computed; no verdict where sources disagree.

Lengths in mm, angles in degrees, masses in kg unless a name says otherwise.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from fieldlog.core.units import UNITS, Unit

UNDERRUN_DEGREES = 5.0
"""Heel angle this much under the toe angle is called underrun (Turner, equipodiatry.com/hoofbal).
Exactly 5 fits both "5 less" and "within 5", so only more than 5 is flagged."""

LENGTH_TOLERANCE_MM = 1.0
"""Repeatability of a tape or gauge (common practice, no source)."""

ANGLE_TOLERANCE_DEGREES = 1.0
"""Repeatability of a hoof gauge (common practice, no source)."""

GROWTH_MM_PER_MONTH = (6.0, 10.0)
"""Adult hoof growth (horsesport.com, nutrition for healthy hooves)."""

DAYS_PER_MONTH = UNITS[Unit.MONTH].to_base
"""A twelfth of a year of 365.25 days."""


@dataclass(frozen=True, slots=True)
class HeelToe:
    """Heel angle against toe angle of one foot."""

    difference: float
    """Toe angle minus heel angle, degrees."""
    underrun: bool
    """Whether it is more than ``UNDERRUN_DEGREES``."""
    boundary: bool
    """Exactly on the limit: sources differ, nothing is flagged."""


def heel_toe(toe_angle: float, heel_angle: float) -> HeelToe:
    """Compare heel and toe angle (degrees)."""
    difference = round(toe_angle - heel_angle, 6)
    return HeelToe(difference, difference > UNDERRUN_DEGREES, difference == UNDERRUN_DEGREES)


def left_right(left: float, right: float) -> float:
    """Left minus right, in the unit of both."""
    return left - right


def frog_ratio(width: float, length: float) -> float:
    """Frog width over length as a fraction; no verdict, since published limits contradict.

    Raises:
        ValueError: a length of zero or less.
    """
    if length <= 0:
        raise ValueError("a frog has a length")
    return width / length


def weight_lb(girth_in: float, length_in: float) -> float:
    """Pounds from girth and length in inches: girth squared times length over 330.

    An adult's estimate only, never for a drug dose: that is a veterinarian's.
    Source: M. Russell, Equine Extension (paperzz.com/doc/9305901).
    """
    return girth_in**2 * length_in / 330


def weight_kg(girth_cm: float, length_cm: float) -> float:
    """Kilograms from girth and length in cm: girth squared times length over 11,900.

    An adult's estimate only, never for a drug dose: that is a veterinarian's.
    Source: Carroll & Huntington, Equine Vet J 1988;20:41 (r2 0.90, n = 281).
    """
    return girth_cm**2 * length_cm / 11_900


@dataclass(frozen=True, slots=True)
class Growth:
    """Change of a length per week between two visits, with what the measuring leaves open."""

    per_week: float
    """mm per week."""
    low: float
    """The same if both readings were off in the way that makes it least."""
    high: float
    weeks: float
    """Between the two readings."""


def growth(
    after_trim_mm: float,
    before_trim_mm: float,
    trimmed: date,
    measured: date,
    tolerance_mm: float = LENGTH_TOLERANCE_MM,
) -> Growth:
    """Growth from the length left at the last trim to the length found before the next.

    Args:
        after_trim_mm: length left at the last trim.
        before_trim_mm: length found at the next visit, before anything was taken off.
        trimmed: day of the trim.
        measured: day of the next reading.
        tolerance_mm: by which either reading may be off; the interval says what that does.

    Raises:
        ValueError: ``measured`` is not after ``trimmed``.
    """
    days = (measured - trimmed).days
    if days <= 0:
        raise ValueError("growth needs two different days, the later one second")
    weeks = days / 7
    change = before_trim_mm - after_trim_mm
    return Growth(
        change / weeks,
        (change - 2 * tolerance_mm) / weeks,
        (change + 2 * tolerance_mm) / weeks,
        weeks,
    )


@dataclass(frozen=True, slots=True)
class GrowOut:
    """When a mark at the hairline may have reached the ground."""

    soonest_months: float
    latest_months: float


def grow_out(distance_mm: float) -> GrowOut:
    """Months for ``distance_mm`` of wall to grow, at the published 10 and 6 mm a month.

    Raises:
        ValueError: a negative distance.
    """
    if distance_mm < 0:
        raise ValueError("a distance to grow cannot be negative")
    slow, fast = GROWTH_MM_PER_MONTH
    return GrowOut(distance_mm / fast, distance_mm / slow)
