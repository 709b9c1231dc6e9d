"""A pair that is named behind the sides it is of."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact
from tests.language.said import heard, values

FRONTS = {("LF", "toe_length", 82), ("RF", "toe_length", 84)}
HINDS = {("LH", "toe_angle", 50), ("RH", "toe_angle", 52)}


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Left eighty two, right eighty four, that's the fronts.", FRONTS),
        ("Near eighty two, off eighty four, those are the fronts.", FRONTS),
        ("Left eighty two, right eighty four. That was the fronts.", FRONTS),
        ("Left eighty two, right eighty four, so that's your fronts done.", FRONTS),
        ("Left fifty, right fifty two, and that's the hinds.", HINDS),
        ("Left fifty, right fifty two, hinds those.", HINDS),
        ("Left fifty, right fifty two, hinds that was.", HINDS),
        ("Right fifty two, left fifty, that's behind.", HINDS),
    ],
)
def test_a_pair_named_behind_its_sides_is_theirs(
    facts: Callable[[str], list[Fact]], text: str, expected: set[object], as_heard: bool
) -> None:
    assert values(facts(heard(text) if as_heard else text)) == expected


@pytest.mark.parametrize("as_heard", [False, True])
def test_each_pair_closes_its_own_sides(facts: Callable[[str], list[Fact]], as_heard: bool) -> None:
    text = "Left front fifty four, right fifty five. Left fifty, right fifty two, that's the hinds."
    found = values(facts(heard(text) if as_heard else text))
    assert found == {("LF", "toe_angle", 54), ("RF", "toe_angle", 55), *HINDS}


def test_two_pairs_in_turn(facts: Callable[[str], list[Fact]]) -> None:
    text = "Near eighty two, off eighty four, that's the fronts. Near eighty, off eighty one, "
    found = values(facts(text + "those are the hinds."))
    assert found == {*FRONTS, ("LH", "toe_length", 80), ("RH", "toe_length", 81)}


def test_what_follows_without_a_stop_leaves_the_pair_to_its_sides(
    facts: Callable[[str], list[Fact]],
) -> None:
    found = values(facts("left fifty right fifty two that's the hinds toes three and a quarter"))
    assert found >= HINDS


def test_both_are_of_the_pair_that_is_named_behind(facts: Callable[[str], list[Fact]]) -> None:
    (fact,) = facts("Toes three and a quarter both, that's the hinds.")
    assert [foot.value for foot in fact.feet] == ["LH", "RH"]


@pytest.mark.parametrize(
    "text",
    [
        "Left eighty two, right eighty four. The hinds are trimmed.",
        "Left eighty two, right eighty four, trimmed the hinds.",
        "Left front eighty two, right front eighty four, that's the hinds to do.",
    ],
)
def test_a_pair_that_is_not_pointed_back_with_leaves_the_sides(
    facts: Callable[[str], list[Fact]], text: str
) -> None:
    assert {v for v in values(facts(text)) if v[1] == "toe_length"} == FRONTS
