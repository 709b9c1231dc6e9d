"""Ways of saying that were read wrongly and so surely that nobody was asked.

Found in notes that no rule and no network had seen (tests/gold/dev_ag.txt to dev_ar.txt); here in
other words.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact
from tests.language.said import heard, values

Facts = Callable[[str], list[Fact]]


def told(found: list[Fact], code: str) -> list[tuple[str, float | None]]:
    """Each foot that a code is told of, with its value."""
    return [
        (foot.value, f.quantity.value if f.quantity else None)
        for f in found
        if f.code == code and not f.negated
        for foot in f.feet
    ]


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    ("text", "code", "feet"),
    [
        ("Left front, right front, left hind, all trimmed.", "trim", ["LF", "RF", "LH"]),
        ("Near hind and off hind, all trimmed.", "trim", ["LH", "RH"]),
        ("Thrush right hind. All trimmed.", "trim", ["LF", "RF", "LH", "RH"]),
        ("Shod in front, and behind he has nothing.", "shoe", ["LF", "RF"]),
        ("Near fore had a new shoe, and behind she has nothing.", "shoe", ["LF"]),
        ("Shod in front and behind.", "shoe", ["LF", "RF", "LH", "RH"]),
    ],
)
def test_feet_that_are_counted_up_or_have_nothing(
    facts: Facts, text: str, code: str, feet: list[str], as_heard: bool
) -> None:
    found = facts(heard(text) if as_heard else text)
    assert [foot for foot, _ in told(found, code)] == feet


def test_what_has_nothing_is_barefoot(facts: Facts) -> None:
    found = facts("Shod in front, and behind he has nothing.")
    assert [foot for foot, _ in told(found, "barefoot")] == ["LH", "RH"]


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    ("text", "amount"),
    [
        ("Feet are long, two inches came off the toes in front.", 2.0),
        ("Fronts are long, a half inch came off the toes.", 0.5),
    ],
)
def test_what_came_off_is_the_jobs(facts: Facts, text: str, amount: float, as_heard: bool) -> None:
    found = facts(heard(text) if as_heard else text)
    assert told(found, "shorten_toe") == [("LF", amount), ("RF", amount)]
    assert not values(found)


def test_a_number_that_cannot_be_of_it_puts_nothing_right(facts: Facts) -> None:
    found = facts("Mare tapes a thousand and forty pounds, call it a five and a half on condition.")
    assert ("-", "weight", 1040) in values(found)
    found = facts("Mare tapes a thousand and forty pounds, no, call it a thousand and fifty.")
    assert values(found) == {("-", "weight", 1050)}
