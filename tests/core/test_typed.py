"""Numbers and quantities as they are typed, in a field and in a search alike."""

from __future__ import annotations

import pytest

from fieldlog.core.typed import NoNumber, number, says_unit, typed_quantity
from fieldlog.core.units import Quantity, Unit

INCHES = Quantity(3.0, Unit.INCH)


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("3 1/4 in", 3.25, Unit.INCH),
        ("3-1/4", 3.25, Unit.INCH),
        ("3¼", 3.25, Unit.INCH),
        ('3 7/16"', 3.4375, Unit.INCH),
        ("5/8 inch", 0.625, Unit.INCH),
        (".5", 0.5, Unit.INCH),
        ("84 mm", 84, Unit.MM),
        ("84mm", 84, Unit.MM),
        ("8.4 cm", 8.4, Unit.CM),
    ],
)
def test_lengths(text: str, value: float, unit: Unit) -> None:
    got = typed_quantity(text, INCHES)
    assert got is not None
    assert (got.value, got.unit) == (value, unit)
    assert not got.unit_inferred


def test_angle_grade_range_and_about() -> None:
    assert typed_quantity("52°", Quantity(50, Unit.DEGREE)) == Quantity(52, Unit.DEGREE)
    assert typed_quantity("6.5", Quantity(6, Unit.GRADE)) == Quantity(6.5, Unit.GRADE)
    assert typed_quantity("3 to 3 1/4", INCHES) == Quantity(3, Unit.INCH, high=3.25)
    assert typed_quantity("about 3", INCHES) == Quantity(3, Unit.INCH, approximate=True)


@pytest.mark.parametrize("text", ["", "three", "flare", "52 deg", "3 stones", "3 1/4 in flare"])
def test_what_is_not_a_quantity_for_this_field(text: str) -> None:
    assert typed_quantity(text, INCHES) is None


def test_parts_of_a_length_are_of_an_inch() -> None:
    assert typed_quantity("3 1/2", Quantity(8.5, Unit.CM)) == Quantity(3.5, Unit.INCH)
    assert typed_quantity("3 1/2 cm", Quantity(8.5, Unit.CM)) == Quantity(3.5, Unit.CM)
    assert typed_quantity("6 1/2", Quantity(6, Unit.GRADE)) == Quantity(6.5, Unit.GRADE)


def test_without_a_unit_anywhere_nothing_is_invented() -> None:
    assert typed_quantity("52") is None


@pytest.mark.parametrize(
    ("text", "value"), [("3", 3), ("3.25", 3.25), ("3 1/4", 3.25), ("3-1/4", 3.25), ("5/8", 0.625)]
)
def test_numbers(text: str, value: float) -> None:
    assert number(text) == value


@pytest.mark.parametrize(
    ("text", "words"),
    [("3 1/0", "0 below the line"), ("three", "is written as"), ("9" * 400, "too large")],
)
def test_what_is_no_number_says_why(text: str, words: str) -> None:
    with pytest.raises(NoNumber, match=words):
        number(text)


def test_a_quantity_over_nought_is_refused_and_not_read_as_words() -> None:
    for text in ("3 1/0 in", "1/0", "3 to 3 1/0"):
        with pytest.raises(NoNumber, match="0 below the line"):
            typed_quantity(text, INCHES)


def test_a_unit_is_seen_behind_a_sign_too() -> None:
    assert says_unit('3¼"')
    assert not says_unit("3¼")


@pytest.mark.parametrize(
    ("text", "hands"),
    [("15.2 hh", 15.5), ("14.1 hands", 14.25), ("16 hh", 16), ("15.2 1/2 hh", 15.625),
     ("15 1/2 hh", 15.5)],
)  # fmt: skip
def test_hands_and_inches_behind_a_point(text: str, hands: float) -> None:
    """Four inches to a hand (UCUM, [hd_i]); so written by common practice, no source."""
    found = typed_quantity(text)
    assert found is not None
    assert found.unit is Unit.HAND
    assert found.value == pytest.approx(hands)
    assert typed_quantity(found.shown()) == found
