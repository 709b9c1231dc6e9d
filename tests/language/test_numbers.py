"""Spoken numbers of the trade, against spelled-out truth, text2num and pint."""
# ruff: noqa: SIM905

from __future__ import annotations

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st
from text_to_num import text2num

from fieldlog.core.units import UNITS, Unit, to_base
from fieldlog.language.numbers.spoken import NumberSpan, find_numbers

SMALL = tuple(
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen "
    "fifteen sixteen seventeen eighteen nineteen".split()
)
TENS = tuple("twenty thirty forty fifty sixty seventy eighty ninety".split())
BELOW = {2: "half", 4: "quarter", 8: "eighth", 16: "sixteenth", 32: "thirty second"}


def spell(n: int) -> str:
    if n < 20:
        return SMALL[n]
    if n < 100:
        return TENS[n // 10 - 2] + (f" {SMALL[n % 10]}" if n % 10 else "")
    rest = f" and {spell(n % 100)}" if n % 100 else ""
    return f"{SMALL[n // 100]} hundred{rest}"


def spell_fraction(above: int, below: int) -> str:
    if above == 1:
        return f"{'an' if below == 8 else 'a'} {BELOW[below]}"
    return f"{spell(above)} {BELOW[below]}s"


def only(text: str) -> NumberSpan:
    found = find_numbers(text)
    assert len(found) == 1, found
    return found[0]


@given(st.integers(0, 999))
def test_a_spelled_cardinal_is_found_whole(n: int) -> None:
    assert only(f"about {spell(n)} mil").value == n


@given(st.integers(0, 999))
def test_cardinals_agree_with_text2num(n: int) -> None:
    """Outside reference: the text2num library."""
    words = spell(n)
    assert only(words).value == text2num(words, "en")


@given(st.integers(1, 99))
def test_a_hundred_may_stand_without_its_one(n: int) -> None:
    assert only(f"across, hundred and {spell(n)} today").value == 100 + n
    assert [s.value for s in find_numbers(f"a couple hundred and {spell(n)}")] == [n]


@given(st.integers(1, 20), st.sampled_from([2, 4, 8, 16, 32]), st.data())
def test_mixed_fractions_to_thirty_seconds(whole: int, below: int, data: st.DataObject) -> None:
    above = data.draw(st.integers(1, below - 1).filter(lambda a: a % 2 == 1))
    number = only(f"{spell(whole)} and {spell_fraction(above, below)} inches")
    assert number.value == whole + above / below
    assert number.unit is Unit.INCH


@given(st.integers(0, 99), st.integers(0, 99))
def test_numbers_with_a_word_between_stay_two(a: int, b: int) -> None:
    assert [n.value for n in find_numbers(f"{spell(a)} against {spell(b)}")] == [a, b]


@given(st.text(max_size=60))
def test_any_text_gives_ordered_disjoint_spans(text: str) -> None:
    at = 0
    for number in find_numbers(text):
        assert at <= number.start < number.end <= len(text)
        at = number.end


SPOKEN_UNITS = {
    "mil": "millimeter",
    "millimetres": "millimeter",
    "centimetres": "centimeter",
    "inches": "inch",
    "degrees": "degree",
    "pounds": "pound",
    "kilos": "kilogram",
    "hands": "hand",
}


@pytest.mark.parametrize(("spoken", "name"), SPOKEN_UNITS.items())
def test_units_agree_with_pint(spoken: str, name: str) -> None:
    """Outside reference: the pint library."""
    number = only(f"fifteen {spoken}")
    assert number.unit is not None
    base = {"length": "mm", "angle": "degree", "mass": "kg"}[UNITS[number.unit].dimension]
    expected = pint.UnitRegistry().Quantity(15, name).to(base).magnitude
    assert to_base(number.value, number.unit) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("three and a quarter fifty two degrees", [3.25, 52]),
        ("three and seven sixteenths", [3.4375]),
        ("two and five eighths", [2.625]),
        ("three seven sixteenths", [3.4375]),
        ("half inch to go", [0.5]),
        ("half an inch", [0.5]),
        ("three quarters of an inch", [0.75]),
        ("an inch and a half", [1.5]),
        ("set it back an eighth", [0.125]),
        ("frog's two wide by three and a quarter", [2, 3.25]),
        ("three and a quarter, three and an eighth", [3.25, 3.125]),
        ("3 1/4 in and 84mm", [3.25, 84]),
        ("3¼", [3.25]),
        ("one point two five", [1.25]),
        ("fifteen two hands", [15.5]),
        ("two out of five", [2, 5]),
        ("quarter crack on the inside quarter", []),
        ("both quarters are flared", []),
        ("took a quarter off the toe", [0.25]),
        ("left half an inch deep, right only a quarter.", [0.5, 0.25]),
        ("brought the toes back a quarter on the left", [0.25]),
        ("last time that was a quarter.", [0.25]),
        ("a crack in a quarter, left hind", []),
        ("a hole like a quarter on the left", []),
        ("overgrown a solid inch", [1]),
        ("for the vet to see", []),
        ("twenty fore degrees", [24]),
        ("for and a half inches", [4.5]),
        ("six weeks make it five", [6, 5]),
    ],
)
def test_values(text: str, values: list[float]) -> None:
    assert [n.value for n in find_numbers(text)] == values


@pytest.mark.parametrize(
    ("text", "size"),
    [("double aught", "00"), ("triple ought", "000"), ("aught", "0"), ("size one", "1")],
)
def test_shoe_sizes_stay_text(text: str, size: str) -> None:
    """Makers' sizes differ, so a size is never a dimension (wowhorses.com size chart)."""
    number = only(text)
    assert (number.form, number.spoken) == ("shoe_size", size)


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("two to three inches", 2, 3),
        ("five and a half six maybe", 5.5, 6),
        ("five and a half, six maybe", 5.5, 6),
        ("three or four weeks", 3, 4),
    ],
)
def test_ranges(text: str, low: float, high: float) -> None:
    number = only(text)
    assert (number.value, number.high) == (low, high)


@pytest.mark.parametrize(
    ("text", "qualifier"),
    [
        ("a hair under three and a quarter", "a hair under"),
        ("strong three", "strong"),
        ("about a quarter inch", ""),
        ("maybe fifty", ""),
    ],
)
def test_approximate_numbers_say_so(text: str, qualifier: str) -> None:
    number = only(text)
    assert number.approximate
    assert number.qualifier == qualifier


def test_run_under_is_no_qualifier() -> None:
    assert only("heels run under forty six").qualifier == ""


@pytest.mark.parametrize(
    ("said", "value", "qualifier"),
    [
        ("Took the heel down a good eighth.", 0.125, "a good"),
        ("a bare sixteenth off the toe", 0.0625, "a bare"),
        ("I took off a short quarter.", 0.25, "a short"),
        ("a full inch", 1.0, ""),
        ("it's a good inch and a half deep", 1.5, "a good"),
        ("Took a bit of heel down, eighth.", 0.125, ""),
    ],
)
def test_an_amount_with_a_word_for_a_little_more_or_less(
    said: str, value: float, qualifier: str
) -> None:
    (number,) = find_numbers(said)
    assert (number.value, number.qualifier) == (value, qualifier)


def test_an_eighth_day_and_a_bare_foot_are_no_amounts() -> None:
    assert [n.value for n in find_numbers("Back on the eighth.")] == [8.0]
    assert find_numbers("He goes on a bare foot, a good quarter behind.") == []
