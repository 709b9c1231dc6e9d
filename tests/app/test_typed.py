"""Typed quantities, and text that must not reach the terminal as it is."""

from __future__ import annotations

import pytest

from fieldlog.app.shown import count, fit, pad, plain
from fieldlog.app.typed import typed_quantity
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


@pytest.mark.parametrize(
    "text", ["", "three", "flare", "3 1/0 in", "52 deg", "3 stones", "3 1/4 in flare"]
)
def test_what_is_not_a_quantity_for_this_field(text: str) -> None:
    assert typed_quantity(text, INCHES) is None


def test_parts_of_a_length_are_of_an_inch() -> None:
    assert typed_quantity("3 1/2", Quantity(8.5, Unit.CM)) == Quantity(3.5, Unit.INCH)
    assert typed_quantity("3 1/2 cm", Quantity(8.5, Unit.CM)) == Quantity(3.5, Unit.CM)
    assert typed_quantity("6 1/2", Quantity(6, Unit.GRADE)) == Quantity(6.5, Unit.GRADE)


def test_without_a_unit_anywhere_nothing_is_invented() -> None:
    assert typed_quantity("52") is None


def test_escape_codes_markup_and_direction_marks_are_harmless() -> None:
    assert plain("Bo\x1b[31mss\x07") == "Bo[31mss"
    assert plain("Star\u202ename\u200b") == "Starname"
    assert plain("two\nlines\there") == "two lines here"
    assert plain("[bold]Rosie[/]") == "[bold]Rosie[/]"
    assert len(plain("x" * 5000)) == 2000


def test_wide_letters_take_two_cells() -> None:
    """East Asian Width W counts two columns (Unicode Standard Annex 11)."""
    assert fit("馬馬馬馬", 8) == "馬馬馬馬"
    assert fit("馬馬馬馬", 6) == "馬馬…"
    assert pad("馬", 5) == "馬   "


def test_fit_and_count() -> None:
    assert fit("Juniper", 20) == "Juniper"
    assert fit("Juniper the second", 8) == "Juniper…"
    assert fit("Juniper", 0) == ""
    assert [count(n, "note") for n in (0, 1, 2)] == ["no notes", "1 note", "2 notes"]
