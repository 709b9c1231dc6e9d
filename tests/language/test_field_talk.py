"""Told of but not so, told of then, and of whose foot: wordings of the fallow notes' kinds."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact
from tests.language.said import heard


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    "words",
    [
        "He wings in on the right front, the left one he carries straight.",
        "Paddles on the right fore, left fore goes straight.",
        "He swings out on the off fore. The near fore goes true.",
    ],
)
def test_the_foot_that_goes_straight_does_not_swing(
    facts: Callable[[str], list[Fact]], words: str, as_heard: bool
) -> None:
    found = facts(heard(words) if as_heard else words)
    gaits = [f for f in found if f.code in ("winging", "paddling")]
    assert {(f.negated, *(x.value for x in f.feet)) for f in gaits} == {
        (False, "RF"),
        (True, "LF"),
    }


def test_a_foot_that_goes_straight_by_itself_denies_nothing(
    facts: Callable[[str], list[Fact]],
) -> None:
    assert not any(f.negated for f in facts("Trotted him up. Left front goes straight."))


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    "words",
    ["I've said nothing to the owner, she will.", "I told nobody.", "I have said nothing to them."],
)
def test_who_was_told_nothing_was_not_spoken_to(
    facts: Callable[[str], list[Fact]], words: str, as_heard: bool
) -> None:
    text = f"Thrush left hind. {words}"
    assert "spoke_to" not in {f.code for f in facts(heard(text) if as_heard else text)}


FILMS = "Left front sole depth eleven, palmar angle three."


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    ("words", "then"),
    [
        ("The doctor took pictures last month.", True),
        ("The vet shot films of him two weeks ago.", True),
        ("Vet had x-rays done last spring.", True),
        ("The vet took films this morning.", False),
        ("The doctor took pictures last month. Today's new ones, here they are.", False),
    ],
)
def test_what_films_of_then_show_is_of_then(
    facts: Callable[[str], list[Fact]], words: str, then: bool, as_heard: bool
) -> None:
    text = f"{words} {FILMS}"
    found = facts(heard(text) if as_heard else text)
    shown = [f.historical for f in found if f.code in ("sole_depth", "palmar_angle")]
    assert shown == [then, then]


def compared(found: list[Fact], code: str) -> set[tuple[str, str | None, str | None]]:
    return {
        (
            foot.value,
            *((f.comparison.trend.value, f.comparison.against) if f.comparison else (None, None)),
        )
        for f in found
        if f.code == code
        for foot in f.feet
    }


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    "words",
    [
        "Thrush in the near hind, same on the off but not so bad.",
        "Thrush in the near hind, the off hind's the same only not half as bad.",
        "Thrush near hind. Off hind the same but not so bad.",
    ],
)
def test_the_same_but_not_so_bad_is_better_than_the_foot_before(
    facts: Callable[[str], list[Fact]], words: str, as_heard: bool
) -> None:
    found = facts(heard(words) if as_heard else words)
    assert compared(found, "thrush") == {("LH", None, None), ("RH", "better", "LH")}


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    "words", ["Toed out on both fronts, more the left.", "Toed out both fronts, more on the left."]
)
def test_more_the_left_is_worse_there(
    facts: Callable[[str], list[Fact]], words: str, as_heard: bool
) -> None:
    found = facts(heard(words) if as_heard else words)
    assert compared(found, "toed_out") == {("RF", None, None), ("LF", "worse", "RF")}


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    "words",
    [
        "Thrush near hind, less of it than last visit.",
        "Thrush near hind, less of it than there was last time.",
    ],
)
def test_less_of_it_is_better(
    facts: Callable[[str], list[Fact]], words: str, as_heard: bool
) -> None:
    found = facts(heard(words) if as_heard else words)
    assert compared(found, "thrush") == {("LH", "better", "last_visit")}


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    ("words", "reporter"),
    [
        ("Lame on the off fore Sunday, per the owner.", "owner"),
        ("Lame on the off fore Sunday, per the groom.", "other"),
        ("Off fore lame, five per cent lame.", "farrier"),
    ],
)
def test_who_stands_behind_per_says_so(
    facts: Callable[[str], list[Fact]], words: str, reporter: str, as_heard: bool
) -> None:
    found = facts(heard(words) if as_heard else words)
    assert {f.reporter.value for f in found if f.code == "lameness"} == {reporter}
