"""What is measured today beside the same of an earlier visit."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fieldlog.core.facts import Comparison, Fact, FactKind, FootBasis, Trend
from fieldlog.core.feet import Foot
from fieldlog.core.units import Quantity, Unit
from fieldlog.language.entries.than_before import compared_with_before, of_today
from fieldlog.language.numbers.spoken import find_numbers
from fieldlog.language.opinion.heard import Opinion
from tests.language.hearing import hears

TEXT = "Off hind the crack, outside, seven, was nine."
SILENT = hears(TEXT, ("quarter_crack", "crack", {"RH": 0.9}))


def crack(value: float, **more: object) -> Fact:
    fact = Fact(
        FactKind.FINDING, "quarter_crack", (Foot.RH,), FootBasis.SAID, span=(0, 34),
        rule="lexicon:quarter_crack", quantity=Quantity(value, Unit.MM),
    )  # fmt: skip
    return replace(fact, **more)  # type: ignore[arg-type]


WAS = crack(9, historical=True)


@pytest.mark.parametrize(
    ("now", "opinion", "trend"),
    [
        (crack(7), SILENT, Trend.SMALLER),
        (crack(12), SILENT, Trend.LARGER),
        (crack(9), SILENT, Trend.SAME),
        (crack(7), hears(TEXT, ("quarter_crack", "crack", {"growing_out": 0.8})),
         Trend.GROWING_OUT),
        (crack(7), hears(TEXT, ("quarter_crack", "crack", {"worse": 0.8})), Trend.SMALLER),
    ],
)  # fmt: skip
def test_the_numbers_compare_where_no_word_does(now: Fact, opinion: Opinion, trend: Trend) -> None:
    assert compared_with_before([now, WAS], opinion) == [
        replace(now, comparison=Comparison(trend)),
        WAS,
    ]


def test_a_fault_that_is_less_is_better() -> None:
    now, was = (replace(fact, code="sheared_heel") for fact in (crack(7), WAS))
    told, _ = compared_with_before([now, was], hears(TEXT, ("sheared_heel", "crack", {})))
    assert told.comparison == Comparison(Trend.BETTER)


def test_a_measure_is_not_compared_by_its_numbers_alone() -> None:
    now, was = (
        replace(fact, kind=FactKind.MEASUREMENT, code="toe_length") for fact in (crack(7), WAS)
    )
    told, _ = compared_with_before([now, was], hears(TEXT, ("toe_length", "crack", {})))
    assert told.comparison is None


@pytest.mark.parametrize(
    ("now", "was"),
    [
        (crack(7, feet=(Foot.LH,)), WAS),
        (crack(7, code="toe_crack"), WAS),
        (crack(7, quantity=Quantity(7, Unit.INCH)), WAS),
        (crack(7, places=("medial_quarter",)), replace(WAS, places=("lateral_quarter",))),
        (crack(7, comparison=Comparison(Trend.WORSE)), WAS),
        (crack(7, planned=True), WAS),
        (crack(7), crack(9)),
    ],
)
def test_only_the_same_thing_of_earlier_is_compared_with(now: Fact, was: Fact) -> None:
    assert compared_with_before([now, was], SILENT) == [now, was]


@pytest.mark.parametrize(
    "text",
    [
        "Heel left front forty mil last visit, forty four mil now.",
        "Heel left front forty mil in September, forty four mil today.",
        "Heel left front last time forty mil, forty four mil this time",
    ],
)
def test_the_number_before_now_is_of_today(text: str) -> None:
    first, second = find_numbers(text)
    was = Fact(
        FactKind.MEASUREMENT, "heel_length", (Foot.LF,), FootBasis.SAID, historical=True,
        quantity=Quantity(40, Unit.MM), span=(first.start, first.end), rule="measure:place_cue",
    )  # fmt: skip
    now = replace(was, id="now", quantity=Quantity(44, Unit.MM), span=(second.start, second.end))
    at = {was.id: (first.start, first.end), now.id: (second.start, second.end)}
    told = of_today([was, now], text, at, [first, second])
    assert [f.historical for f in told] == [True, False]


def test_now_may_begin_what_follows() -> None:
    text = "Last time the heel was forty mil, now it's forty four mil."
    first, second = find_numbers(text)
    was = Fact(
        FactKind.MEASUREMENT, "heel_length", (Foot.LF,), FootBasis.SAID, historical=True,
        quantity=Quantity(40, Unit.MM), span=(first.start, first.end), rule="measure:place_cue",
    )  # fmt: skip
    (told,) = of_today([was], text, {was.id: (first.start, first.end)}, [first, second])
    assert told.historical
