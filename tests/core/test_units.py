"""Unit conversion against pint, and the trade's way of writing numbers."""

from __future__ import annotations

from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.core.units import (
    UNITS,
    Dimension,
    Quantity,
    Unit,
    convert,
    in_hands,
    in_inches,
    show_number,
    to_base,
)

PINT_NAMES = {
    Unit.MM: "millimeter",
    Unit.CM: "centimeter",
    Unit.M: "meter",
    Unit.INCH: "inch",
    Unit.FOOT: "foot",
    Unit.HAND: "hand",
    Unit.DEGREE: "degree",
    Unit.KG: "kilogram",
    Unit.LB: "pound",
    Unit.DAY: "day",
    Unit.WEEK: "week",
    Unit.MONTH: "month",
}
BASES = {
    Dimension.LENGTH: "millimeter",
    Dimension.ANGLE: "degree",
    Dimension.MASS: "kilogram",
    Dimension.TIME: "day",
}


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry[float]:
    return pint.UnitRegistry()


@pytest.mark.parametrize("unit", list(PINT_NAMES))
def test_every_unit_agrees_with_pint(unit: Unit, registry: pint.UnitRegistry[float]) -> None:
    """Outside reference: the pint library's unit table."""
    base = BASES[UNITS[unit].dimension]
    expected = registry.Quantity(1.0, PINT_NAMES[unit]).to(base).magnitude
    assert to_base(1.0, unit) == pytest.approx(expected, rel=1e-9)


@given(st.floats(0.01, 1000), st.sampled_from([Unit.MM, Unit.CM, Unit.INCH, Unit.HAND]))
def test_conversion_there_and_back(value: float, unit: Unit) -> None:
    assert convert(convert(value, unit, Unit.MM), Unit.MM, unit) == pytest.approx(value)


def test_a_length_is_not_an_angle() -> None:
    with pytest.raises(ValueError, match="different things"):
        convert(1, Unit.INCH, Unit.DEGREE)


@pytest.mark.parametrize(
    ("value", "shown"),
    [(3.25, "3 1/4"), (0.125, "1/8"), (3.4375, "3 7/16"), (3.0, "3"), (0.03125, "1/32")],
)
def test_inches_are_written_as_fractions(value: float, shown: str) -> None:
    assert show_number(value, Unit.INCH) == shown


def test_less_than_nothing_is_written_as_its_size_with_a_minus() -> None:
    """What was worked out may be negative: half an inch less is no minus one and a half."""
    assert show_number(-0.5, Unit.INCH) == "-1/2"
    assert show_number(-3.25, Unit.INCH) == "-3 1/4"
    assert show_number(-2.5, Unit.MM) == "-2.5"


@given(st.integers(0, 3200))
def test_a_fraction_of_an_inch_is_the_value_in_lowest_terms(parts: int) -> None:
    """Against Python's own fractions."""
    whole, _, part = show_number(parts / 32, Unit.INCH).rpartition(" ")
    shown = Fraction(part) + (Fraction(whole) if whole else 0)
    assert shown == Fraction(parts, 32)
    if "/" in part:
        assert part == str(Fraction(part)), "no 2/4"
        assert Fraction(part) < 1


def test_an_inch_value_off_the_thirty_seconds_stays_decimal() -> None:
    assert show_number(3.3, Unit.INCH) == "3.3"


@pytest.mark.parametrize(
    ("quantity", "shown"),
    [
        (Quantity(52, Unit.DEGREE), "52°"),
        (Quantity(3.25, Unit.INCH), "3 1/4 in"),
        (Quantity(2, Unit.INCH, high=3), "2 to 3 in"),
        (Quantity(84, Unit.MM, approximate=True), "about 84 mm"),
        (Quantity(3.1875, Unit.INCH, qualifier="a hair under"), "a hair under 3 3/16 in"),
    ],
)
def test_quantities_in_plain_writing(quantity: Quantity, shown: str) -> None:
    assert quantity.shown() == shown


@pytest.mark.parametrize(
    ("units", "setting", "inches"),
    [
        ((), "", True),
        ((Unit.MM, Unit.CM, Unit.INCH), "", False),
        ((Unit.INCH, Unit.INCH, Unit.MM), "", True),
        ((Unit.MM, Unit.DEGREE, Unit.DEGREE), "", False),
        ((Unit.MM,), "in", True),
        ((Unit.INCH,), "mm", False),
    ],
)
def test_what_is_worked_out_is_in_the_unit_that_was_measured_in(
    units: tuple[Unit, ...], setting: str, inches: bool
) -> None:
    measured = [None, *(Quantity(80, unit) for unit in units)]
    assert in_inches(measured, setting) is inches


@pytest.mark.parametrize(
    ("hands", "shown"),
    [(15.5, "15.2 hh"), (16.0, "16 hh"), (15.25, "15.1 hh"), (15.625, "15.2 1/2 hh")],
)
def test_hands_are_shown_with_their_inches_behind_the_point(hands: float, shown: str) -> None:
    """UCUM: a hand ([hd_i]) is 4 inches; the way of writing is common practice, no source."""
    assert Quantity(hands, Unit.HAND).shown() == shown


@pytest.mark.parametrize(
    ("written", "hands"), [(15.2, 15.5), (15.1, 15.25), (14.3, 14.75), (15.0, 15.0), (15.5, 15.5)]
)
def test_hands_as_they_are_written(written: float, hands: float) -> None:
    assert in_hands(written) == pytest.approx(hands)
