"""A finding's size beside the one that it had."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact, FactKind
from tests.language.said import heard

Told = set[tuple[str, float | None, bool, str | None]]


def sizes(found: list[Fact]) -> Told:
    return {
        (f.code, f.quantity.value if f.quantity else None, f.historical,
         f.comparison.trend.value if f.comparison else None)
        for f in found if f.kind is FactKind.FINDING
    }  # fmt: skip


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    "text",
    [
        "Crack right front thirty mil, down from forty.",
        "Crack in the right front thirty mil, down from forty mil last time.",
        "Crack right front is down from forty mil to thirty.",
        "Crack right front thirty mil, was forty.",
        "Crack right front down from forty to thirty.",
        "Crack right front, thirty mil now and it was forty.",
    ],
)
def test_what_it_was_is_of_earlier_and_what_it_is_compared(
    facts: Callable[[str], list[Fact]], text: str, as_heard: bool
) -> None:
    found = facts(heard(text) if as_heard else text)
    assert sizes(found) == {("crack", 30, False, "smaller"), ("crack", 40, True, None)}
    assert {foot.value for f in found for foot in f.feet} == {"RF"}


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    "text",
    [
        "Toe crack left front was forty mil last time and it's thirty mil now.",
        "Toe crack on the left front was forty mil in August, now it's thirty mil.",
        "The toe crack left front was forty mil, it's down to thirty mil.",
    ],
)
def test_what_it_was_stands_first(
    facts: Callable[[str], list[Fact]], text: str, as_heard: bool
) -> None:
    """The second opinion, which hears "was", makes nothing of now a thing of earlier."""
    found = facts(heard(text) if as_heard else text)
    assert sizes(found) == {("toe_crack", 30, False, "smaller"), ("toe_crack", 40, True, None)}


def test_only_the_size_of_before_was_said(facts: Callable[[str], list[Fact]]) -> None:
    found = facts("Crack, right front, down from forty mil.")
    assert sizes(found) == {("crack", None, False, "smaller"), ("crack", 40, True, None)}


def test_it_has_grown(facts: Callable[[str], list[Fact]]) -> None:
    found = facts("White line stretched left front, twelve mil, up from eight.")
    assert sizes(found) == {
        ("white_line_stretched", 12, False, "larger"), ("white_line_stretched", 8, True, None)
    }  # fmt: skip


@pytest.mark.parametrize(
    "text",
    [
        "Crack right front thirty mil from the ground.",
        "Crack right front thirty mil up from the ground.",
        "Crack right front thirty mil. Toe was forty mil.",
        "Crack right front, deep enough for a pick, fifteen mil, and it was twenty.",
        "Crack right front thirty mil, shoe was on five weeks.",
    ],
)
def test_other_numbers_are_no_size_of_before(facts: Callable[[str], list[Fact]], text: str) -> None:
    assert not any(f.historical for f in facts(text) if f.code == "crack")


@pytest.mark.parametrize(
    "text", ["Crack left front, grown a quarter since.", "Crack left front a quarter longer."]
)
def test_a_quarter_that_it_grew_is_no_place(facts: Callable[[str], list[Fact]], text: str) -> None:
    (crack,) = [f for f in facts(text) if "crack" in f.code]
    assert crack.code == "crack"
    assert not crack.places


def test_left_before_a_foot_is_no_verb(facts: Callable[[str], list[Fact]]) -> None:
    (thrush,) = facts("Thrush left hind not as bad as it was.")
    assert [foot.value for foot in thrush.feet] == ["LH"]
    assert thrush.comparison is not None
    assert thrush.comparison.trend.value == "better"


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    "text",
    [
        "White line eight mil left front, was twelve.",
        "White line left front is eight mil, was twelve.",
        "White line on the left front eight mil, down from twelve.",
        "White line stretch left front eight mil, was twelve.",
    ],
)
def test_how_wide_the_white_line_is_and_was(
    facts: Callable[[str], list[Fact]], text: str, as_heard: bool
) -> None:
    found = facts(heard(text) if as_heard else text)
    assert sizes(found) == {
        ("white_line_stretched", 8, False, "smaller"), ("white_line_stretched", 12, True, None)
    }  # fmt: skip


@pytest.mark.parametrize(
    "text", ["Hole in the white line left front eight mil deep.", "White line left front is good."]
)
def test_no_width_of_the_white_line(facts: Callable[[str], list[Fact]], text: str) -> None:
    assert "white_line_stretched" not in {f.code for f in facts(text)}
