"""Ways of talking that later writers brought, each in a sentence of its own."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact, FactKind, Reporter
from fieldlog.core.feet import Foot

Facts = Callable[[str], list[Fact]]


def test_a_saying_may_have_the_foot_in_its_middle(facts: Facts) -> None:
    (fact,) = facts("The heel on the left front is crushed.")
    assert fact.feet == (Foot.LF,)
    assert "heel" in fact.code


def test_a_foot_after_a_list_is_the_foot_of_all_of_it(facts: Facts) -> None:
    found = facts("No thrush, no cracks on the right hind.")
    assert [(f.code, f.feet, f.negated) for f in found] == [
        ("thrush", (Foot.RH,), True),
        ("crack", (Foot.RH,), True),
    ]


def test_numbers_without_a_cue_follow_the_feet_before(facts: Facts) -> None:
    found = facts("Toe left front three and a half, right front three and a quarter.")
    sizes = [(f.feet, str(f.quantity)) for f in found if f.kind is FactKind.MEASUREMENT]
    assert [feet for feet, _ in sizes] == [(Foot.LF,), (Foot.RF,)]
    assert ["3.5" in sizes[0][1], "3.25" in sizes[1][1]] == [True, True]


def test_an_inch_and_three_quarters_is_one_length(facts: Facts) -> None:
    (fact,) = facts("Heel height right front inch and three quarters.")
    assert fact.quantity is not None
    assert float(fact.quantity.value) == pytest.approx(1.75)


def test_what_he_says_is_a_report_and_what_follows_it_is_not(facts: Facts) -> None:
    found = facts("Owner says he was lame on the left hind. I found thrush in the right hind.")
    by_code = {f.code: f.reporter for f in found}
    assert by_code["lameness"] is Reporter.OWNER
    assert by_code["thrush"] is Reporter.FARRIER


def test_the_same_words_without_punctuation_keep_their_feet(facts: Facts) -> None:
    found = facts("left front thrush in the frog right front bruise at the toe")
    assert [(f.code, f.feet) for f in found] == [
        ("thrush", (Foot.LF,)),
        ("bruise", (Foot.RF,)),
    ]


def test_a_fraction_that_lost_its_end_is_asked_about(facts: Facts) -> None:
    found = facts("left front toe three and three right front bruise at the toe")
    sizes = [f for f in found if f.kind is FactKind.MEASUREMENT]
    assert sizes
    assert all("competing_readings" in {d.code for d in f.doubts} for f in sizes)
    whole = facts("left front toe three and three eighths right front bruise at the toe")
    (size,) = (f for f in whole if f.kind is FactKind.MEASUREMENT)
    assert "competing_readings" not in {d.code for d in size.doubts}


@pytest.mark.parametrize(
    ("said", "asked"),
    [
        ("right front is fine toe three and a close doc trimmed all four", True),
        ("left front toe three inches and a bit of flare", False),
        ("left front toe three and a quarter and a bruise at the toe", False),
    ],
)
def test_a_fraction_that_was_heard_as_something_else_is_asked_about(
    facts: Facts, said: str, asked: bool
) -> None:
    (size,) = (f for f in facts(said) if f.kind is FactKind.MEASUREMENT)
    assert ("competing_readings" in {d.code for d in size.doubts}) is asked
