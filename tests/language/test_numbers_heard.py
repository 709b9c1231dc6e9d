"""What the network hears a number to be of."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.app.editing import change
from fieldlog.core.facts import Fact, FactKind
from fieldlog.core.feet import Foot
from fieldlog.core.units import Unit
from fieldlog.language.numbers.shorthand import trade_numbers
from fieldlog.language.opinion.heard import Opinion
from fieldlog.language.opinion.numbers_heard import spans_of, with_numbers, without_counts
from fieldlog.language.words.tokens import tokenise
from tests.language.hearing import hears

Facts = Callable[[str], list[Fact]]


def of(text: str, made: list[Fact], opinion: Opinion) -> list[Fact]:
    return with_numbers(made, opinion, trade_numbers(text))[0]


def test_a_number_that_no_rule_placed_becomes_a_marked_candidate(facts: Facts) -> None:
    text = "It spans an inch and a half there, left fore."
    opinion = hears(text, ("frog_width", "half", {"LF": 0.9, "RF": 0.1, "historical": 0.1}))
    (new,) = of(text, [], opinion)
    assert (new.kind, new.code, new.feet) == (FactKind.MEASUREMENT, "frog_width", (Foot.LF,))
    assert new.quantity is not None
    assert (new.quantity.value, new.quantity.unit) == (1.5, Unit.INCH)
    assert [d.code for d in new.doubts] == ["model_candidate"]
    assert text[slice(*new.span)] == "an inch and a half"


def test_two_numbers_of_one_kind_keep_their_feet() -> None:
    text = "Fifty-one and fifty-three, near and off."
    opinion = hears(
        text,
        ("toe_angle", "fifty", {"LF": 0.9, "RF": 0.2}),
        ("toe_angle", "three", {"LF": 0.1, "RF": 0.9, "historical": 0.8}),
    )
    made = of(text, [], opinion)
    assert [(f.quantity.value, f.feet, f.historical) for f in made if f.quantity] == [
        (51.0, (Foot.LF,), False),
        (53.0, (Foot.RF,), True),
    ]


def test_a_grade_that_no_rule_placed_becomes_a_marked_score() -> None:
    text = "Pulse left fore, call it a two."
    (new,) = of(text, [], hears(text, ("pulse_grade", "two", {"LF": 0.9, "RF": 0.1})))
    assert (new.kind, new.code, new.feet) == (FactKind.SCORE, "pulse_grade", (Foot.LF,))
    assert new.quantity is not None
    assert (new.quantity.value, new.quantity.unit) == (2.0, Unit.GRADE)
    assert new.details == {"scale": "pulse_0_3"}
    assert [d.code for d in new.doubts] == ["model_candidate"]


@pytest.mark.parametrize(
    ("text", "code", "word"),
    [
        ("He took thirty of them.", "toe_length", "thirty"),  # 30 mm: no toe is that short
        ("Two degrees there.", "heel_height", "two"),
        ("He has nine of them.", "pulse_grade", "nine"),
        ("The near one is soft.", "depth", "one"),
    ],
)
def test_what_cannot_be_is_no_candidate(text: str, code: str, word: str) -> None:
    assert of(text, [], hears(text, (code, word, {}))) == []


def test_a_number_that_a_rule_placed_makes_no_second_fact(facts: Facts) -> None:
    text = "Left front toe three and a half."
    made = facts(text)
    opinion = hears(text, ("toe_length", "half", {"LF": 0.9}))
    assert of(text, made, opinion) == made


def test_what_was_measured_is_told_as_it_is_heard(facts: Facts) -> None:
    text = "Left front toe is three and a half."
    (fact,) = facts(text)
    assert fact.code == "toe_length"
    (new,) = of(text, [fact], hears(text, ("hoof_width", "half", {}), ("toe_length", "is", {})))
    assert (new.code, new.feet, new.quantity) == ("hoof_width", fact.feet, fact.quantity)
    assert "second_opinion" in {d.code for d in new.doubts}
    back = change(new, new.readings[0].changes)
    assert (back.code, back.quantity) == (fact.code, fact.quantity)


def test_a_length_heard_for_an_angle_gets_a_unit_that_fits(facts: Facts) -> None:
    text = "Right hind heel forty-three."
    (fact,) = facts(text)
    assert (fact.code, fact.quantity and fact.quantity.unit) == ("heel_angle", Unit.DEGREE)
    (new,) = of(text, [fact], hears(text, ("heel_height", "three", {})))
    assert new.quantity is not None
    assert (new.code, new.quantity.unit, new.quantity.unit_inferred) == (
        "heel_height",
        Unit.MM,
        True,
    )


def test_the_nearest_of_equal_numbers_is_a_facts_own(facts: Facts) -> None:
    text = "Left front toe fifty-two. Six weeks. Right front toe fifty-two."
    made = facts(text)
    at = spans_of(made, trade_numbers(text))
    assert [at[f.id][0] for f in made if f.quantity] == [text.index("fifty"), text.rindex("fifty")]


def test_what_is_counted_is_no_measure() -> None:
    text = "It was an inch five weeks ago, three strides, then fifty."
    measures = without_counts(trade_numbers(text), tokenise(text))
    assert [n.spoken for n in measures] == ["an inch", "fifty"]
