"""What was told of two feet, taken as the other way round."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Entry, Fact
from tests.language.said import heard, values


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    "words",
    [
        "Flip that.",
        "Swap those.",
        "No, swap them round.",
        "Wait, other way round.",
        "Sorry, wrong way about.",
        "No, vice versa.",
        "I've got that backwards.",
        "Reverse that.",
        "Other way round, actually.",
        "Other way about, sorry.",
    ],
)
def test_the_values_of_two_feet_are_swapped(
    facts: Callable[[str], list[Fact]], words: str, as_heard: bool
) -> None:
    text = f"Left front angle fifty two, right front fifty four. {words}"
    found = values(facts(heard(text) if as_heard else text))
    assert found == {("RF", "toe_angle", 52), ("LF", "toe_angle", 54)}


def feet(found: list[Fact], code: str) -> list[str]:
    return [foot.value for f in found if f.code == code for foot in f.feet]


def test_findings_are_swapped_and_both_sides_are_kept(
    entries: Callable[[str], tuple[Entry, ...]],
) -> None:
    (entry,) = entries("Thrush in the near fore, bruise in the off fore. Flip that.")
    assert feet(list(entry.facts), "thrush") == ["RF"]
    assert feet(list(entry.facts), "bruise") == ["LF"]
    (told,) = entry.corrections
    assert {f.code: f.feet[0].value for f in told.before} == {"thrush": "LF", "bruise": "RF"}
    assert {f.code: f.feet[0].value for f in told.after} == {"thrush": "RF", "bruise": "LF"}


def test_several_values_of_each_foot(facts: Callable[[str], list[Fact]]) -> None:
    found = values(facts("Left front toe three and a half, angle fifty. Right front toe three and "
                         "a quarter, angle fifty two. Swap them round."))  # fmt: skip
    assert found == {
        ("RF", "toe_length", 3.5), ("RF", "toe_angle", 50),
        ("LF", "toe_length", 3.25), ("LF", "toe_angle", 52),
    }  # fmt: skip


def test_fronts_and_hinds(facts: Callable[[str], list[Fact]]) -> None:
    found = facts("Shod the hinds, trimmed the fronts, no, other way about.")
    assert feet(found, "shoe") == ["LF", "RF"]
    assert feet(found, "trim") == ["LH", "RH"]


@pytest.mark.parametrize(
    "text",
    [
        "Thrush in the near fore. Flip that.",
        "Thrush in the near fore, bruise in the near hind. Flip that.",
        "Thrush in the near fore. The off fore's the other way round.",
        "Thrush in the near fore, bruise in the off fore. It was the other way about a year ago.",
        "Thrush in the near fore. He went over backwards.",
        "Thrush in the near fore, bruise in the off fore. That's backwards from last time.",
        "Thrush in the near fore. Shoe's on backwards on the off fore.",
    ],
)
def test_with_one_foot_or_other_words_nothing_is_swapped(
    facts: Callable[[str], list[Fact]], text: str
) -> None:
    assert feet(facts(text), "thrush") == ["LF"]


def test_a_sentence_of_its_own(facts: Callable[[str], list[Fact]]) -> None:
    found = facts("Left front angle fifty two, right front fifty four. Other way round.")
    assert values(found) == {("RF", "toe_angle", 52), ("LF", "toe_angle", 54)}


def test_put_on_the_other_way_round(entries: Callable[[str], tuple[Entry, ...]]) -> None:
    text = "Thrush in the near fore, bruise in the off fore. Put his shoe on the other way round."
    (entry,) = entries(text)
    assert not entry.corrections
