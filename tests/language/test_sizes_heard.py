"""Numbers that the network hears to be the size of something."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from fieldlog.app.editing import change
from fieldlog.core.facts import Fact, FactKind, FootBasis, SpokenCorrection
from fieldlog.core.feet import Foot
from fieldlog.core.units import Quantity, Unit
from fieldlog.language.numbers.shorthand import trade_numbers
from fieldlog.language.opinion.heard import Opinion
from fieldlog.language.opinion.numbers_heard import with_numbers
from fieldlog.language.opinion.sizes_heard import with_sizes, without_others_sizes
from tests.language.hearing import SURELY, hears

TEXT = "Off hind the crack outside, twenty eight mil, was thirty four."
NEARLY = -1.5
"""A chance of .78."""


def crack(*feet: Foot, **more: Any) -> Fact:
    more = {"span": (13, 26), "rule": "lexicon:quarter_crack", **more}
    return Fact(FactKind.FINDING, "quarter_crack", feet, FootBasis.SAID, **more)


def sized(text: str, facts: list[Fact], opinion: Opinion, *taken: str, **more: Any) -> list[Fact]:
    at = {
        fact.id: (text.index(words), text.index(words) + len(words))
        for fact, words in zip(facts, taken, strict=False)
    }
    return with_sizes(facts, opinion, trade_numbers(text), at, **more)


def test_a_size_of_earlier_is_a_fact_of_earlier_in_the_same_unit() -> None:
    now = crack(Foot.RH, quantity=Quantity(28, Unit.MM))
    opinion = hears(TEXT, ("quarter_crack", "four", {"RH": 0.9, "historical": 0.9}))
    told, was = sized(TEXT, [now], opinion, "twenty eight mil")
    assert told == now
    assert was.quantity is not None
    assert (was.quantity.value, was.quantity.unit, was.historical) == (34, Unit.MM, True)
    assert was.quantity.unit_inferred
    assert was.feet == (Foot.RH,)
    assert [d.code for d in was.doubts] == ["model_candidate"]


def test_a_finding_without_a_size_gets_the_one_that_is_heard() -> None:
    opinion = hears(TEXT, ("quarter_crack", "eight", {"RH": 0.9}))
    (told,) = sized(TEXT, [crack(Foot.RH)], opinion)
    assert told.quantity is not None
    assert (told.quantity.value, told.quantity.unit) == (28, Unit.MM)
    assert [d.code for d in told.doubts] == ["second_opinion"]


def test_only_the_foot_that_is_heard_gets_it() -> None:
    text = "Cracks in both fronts, the left an inch and a half."
    opinion = hears(text, ("quarter_crack", "half", {"LF": 0.9, "RF": 0.1}))
    sized_one, other = sized(text, [crack(Foot.LF, Foot.RF)], opinion)
    assert (sized_one.feet, other.feet) == ((Foot.LF,), (Foot.RF,))
    assert sized_one.quantity is not None
    assert other.quantity is None
    assert sized_one.id != other.id


@pytest.mark.parametrize(
    ("text", "word", "how"),
    [
        (TEXT, "eight", NEARLY),
        ("The crack, sixteen now.", "sixteen", SURELY),
        ("The crack, two days old.", "two", SURELY),
        ("The crack, thirty two pounds.", "two", SURELY),
    ],
    ids=["not sure", "no unit", "a time", "no length"],
)
def test_what_cannot_be_or_is_not_sure_is_no_size(text: str, word: str, how: float) -> None:
    before = [crack(Foot.RH)]
    opinion = hears(text, ("quarter_crack", word, {"RH": 0.9}), how=how)
    assert sized(text, before, opinion) == before


def test_a_number_that_is_told_or_was_taken_back_is_left_alone() -> None:
    opinion = hears(TEXT, ("quarter_crack", "eight", {"RH": 0.9}))
    before = [crack(Foot.RH)]
    assert sized(TEXT, before, opinion, "twenty eight mil") == before
    back = [SpokenCorrection((28, 44), "scratch")]
    assert sized(TEXT, before, opinion, corrections=back) == before
    denied = [crack(Foot.RH, negated=True)]
    assert sized(TEXT, denied, opinion) == denied


def test_the_same_size_is_not_told_twice() -> None:
    opinion = hears(TEXT, ("quarter_crack", "eight", {"RH": 0.9}))
    told = crack(Foot.RH, quantity=Quantity(28, Unit.MM), span=(13, 44))
    assert sized(TEXT, [told], opinion) == [told]


HEELS = "Off hind, heels high, forty two mil."
HIGH = Fact(
    FactKind.FINDING, "high_heel", (Foot.RH,), FootBasis.SAID, span=(0, 35),
    rule="lexicon:high_heel", quantity=Quantity(42, Unit.MM, spoken="forty two mil"),
)  # fmt: skip


def test_a_size_that_is_heard_to_be_of_something_else_is_free_again() -> None:
    opinion = hears(HEELS, ("high_heel", "high", {"RH": 0.9}))
    (bare,) = without_others_sizes([HIGH], opinion, trade_numbers(HEELS))
    assert bare.quantity is None
    assert [d.code for d in bare.doubts] == ["second_opinion"]
    back = change(bare, bare.readings[0].changes)
    assert back.quantity == HIGH.quantity
    (told,) = with_numbers([bare], opinion, trade_numbers(HEELS))[0]
    assert told == bare


def test_a_size_is_then_told_of_what_it_is_heard_to_be_of() -> None:
    opinion = hears(HEELS, ("heel_height", "mil", {"RH": 0.9}), ("high_heel", "high", {"RH": 0.9}))
    numbers = trade_numbers(HEELS)
    said = without_others_sizes([HIGH], opinion, numbers)
    (high, height), _ = with_numbers(said, opinion, numbers)
    assert (high.code, high.quantity) == ("high_heel", None)
    assert height.quantity is not None
    assert (height.code, height.quantity.value, height.feet) == ("heel_height", 42, (Foot.RH,))


@pytest.mark.parametrize("how", [{"negated": True}, {"rule": "personal:high_heel"}])
def test_what_is_heard_or_taught_keeps_its_size(how: dict[str, Any]) -> None:
    numbers = trade_numbers(HEELS)
    heard = hears(HEELS, ("high_heel", "mil", {"RH": 0.9}))
    assert without_others_sizes([HIGH], heard, numbers) == [HIGH]
    silent = hears(HEELS, ("high_heel", "high", {"RH": 0.9}))
    other = replace(HIGH, **how)
    assert without_others_sizes([other], silent, numbers) == [other]
    taken_back = SpokenCorrection((20, 22), "replace_value")
    assert without_others_sizes([HIGH], silent, numbers, [taken_back]) == [HIGH]
