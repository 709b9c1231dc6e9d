"""One measure of one foot told twice."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact, FactKind, FootBasis
from fieldlog.core.feet import Foot
from fieldlog.core.units import Quantity, Unit
from fieldlog.language.entries.told_twice import asked_if_told_twice
from fieldlog.language.numbers.spoken import NumberSpan, find_numbers
from fieldlog.language.opinion.numbers_heard import untold
from tests.language.said import values

SECOND_OPINION = True


def told(text: str, *feet: tuple[Foot, ...], code: str = "toe_length") -> list[Fact]:
    """One measure for each number of a text, of the feet given, as it is asked about."""
    numbers = find_numbers(text)
    facts = [
        Fact(
            FactKind.MEASUREMENT, code, own, FootBasis.SAID, quantity=Quantity(n.value, Unit.MM),
            span=(n.start, n.end), rule="measure:value_after",
        )
        for n, own in zip(numbers, feet, strict=True)
    ]  # fmt: skip
    at = {f.id: f.span for f in facts}
    return asked_if_told_twice(facts, text, at)


LF, RF = (Foot.LF,), (Foot.RF,)
FRONTS = (Foot.LF, Foot.RF)


@pytest.mark.parametrize(
    ("text", "feet"),
    [
        ("toe left ninety two mil, left ninety mil again", (LF, LF)),
        ("toe left ninety two mil and fronts ninety mil", (LF, FRONTS)),
        ("fronts ninety two mil, ninety mil both", (FRONTS, FRONTS)),
    ],
)
def test_both_values_are_asked_about(text: str, feet: tuple[tuple[Foot, ...], ...]) -> None:
    assert [[d.code for d in f.doubts] for f in told(text, *feet)] == [["competing_readings"]] * 2


@pytest.mark.parametrize(
    ("text", "feet"),
    [
        ("toe left ninety two mil, brought it to eighty eight mil", (LF, LF)),
        ("toe left ninety two mil, took it back to eighty eight mil", (LF, LF)),
        ("ninety two mil left before I started and eighty eight mil after", (LF, LF)),
        ("left ninety two mil, right ninety mil", (LF, RF)),
        ("fronts ninety two mil, bar the left at ninety mil", (FRONTS, LF)),
        ("fronts ninety two mil, the left ninety mil", (FRONTS, LF)),
        ("left ninety two mil, left ninety two mil", (LF, LF)),
    ],
)
def test_values_that_can_both_hold(text: str, feet: tuple[tuple[Foot, ...], ...]) -> None:
    assert not any(f.doubts for f in told(text, *feet))


def test_of_findings_there_may_be_several() -> None:
    assert not any(f.doubts for f in told("six mil, eight mil", LF, LF, code="depth"))


def test_the_end_of_a_number_is_no_number_of_its_own(facts: Callable[[str], list[Fact]]) -> None:
    found = facts("Weighed him with the tape: girth is one eighty centimetres.")
    assert values(found) == {("-", "girth", 180)}


@pytest.mark.parametrize(
    ("spans", "left"),
    [
        (((180.0, 0, 3), (80.0, 4, 10)), []),
        (((90.0, 0, 3), (80.0, 4, 10)), [80.0]),
        (((180.0, 0, 3), (80.0, 20, 26)), [80.0]),
    ],
)
def test_what_is_left_of_a_joined_number(
    spans: tuple[tuple[float, int, int], ...], left: list[float]
) -> None:
    numbers = [NumberSpan(first, last, value) for value, first, last in spans]
    taken = {"fact": (numbers[0].start, numbers[0].end)}
    assert [n.value for n in untold([], numbers, taken)] == left


@pytest.mark.parametrize(
    ("text", "feet", "first"),
    [
        ("fronts ninety two mil, bar the left at ninety mil", (FRONTS, LF), RF),
        ("both ninety two mil, no, the right is ninety mil", (FRONTS, RF), LF),
    ],
)
def test_what_one_foot_has_of_its_own_is_not_the_pairs(
    text: str, feet: tuple[tuple[Foot, ...], ...], first: tuple[Foot, ...]
) -> None:
    found = told(text, *feet)
    assert [f.feet for f in found] == [first, feet[1]]
    assert not any(f.doubts for f in found)


def test_what_a_cut_left_of_one_foot_was_of_both_before() -> None:
    found = told("fronts ninety two mil, took the left to ninety mil", FRONTS, LF)
    assert [f.feet for f in found] == [FRONTS, LF]
