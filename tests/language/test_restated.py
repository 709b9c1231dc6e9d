"""What is put right without a word that says so, and what is taken back by its name."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact
from tests.language.said import heard, values


def dues(found: list[Fact]) -> list[str | None]:
    return [f.due.period for f in found if f.code == "next_trim" and f.due is not None]


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    ("words", "weeks"),
    [
        ("Ten weeks is silly and I've said so. Six.", "P6W"),
        ("Ten weeks is just daft, so seven from now on.", "P7W"),
        ("Eight weeks was far too long, make it five.", "P5W"),
    ],
)
def test_of_a_period_that_is_waved_away_and_another_the_other_holds(
    facts: Callable[[str], list[Fact]], words: str, weeks: str, as_heard: bool
) -> None:
    text = f"New fronts, hinds refitted. {words}"
    assert dues(facts(heard(text) if as_heard else text)) == [weeks]


def test_a_period_that_is_waved_away_alone_asks_for_no_visit(
    facts: Callable[[str], list[Fact]],
) -> None:
    assert dues(facts("Flare on both fronts, rasped it. Twelve weeks is too long for those.")) == []


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    "words",
    [
        "Correction, I have said front left toe seventy nine, it's eighty nine.",
        "I said left front toe seventy nine millimetres, it's eighty nine.",
        "I've put left front toe seventy nine, it was eighty nine.",
    ],
)
def test_a_number_that_i_said_wrongly_is_replaced(
    facts: Callable[[str], list[Fact]], words: str, as_heard: bool
) -> None:
    found = values(facts(heard(words) if as_heard else words))
    assert found == {("LF", "toe_length", 89)}


def test_what_another_said_is_not_put_right(facts: Callable[[str], list[Fact]]) -> None:
    found = values(facts("Left front angle fifty two last time, it's fifty four."))
    assert ("LF", "toe_angle", 54) in found
    assert ("LF", "toe_angle", 52) in found


@pytest.mark.parametrize("as_heard", [False, True])
def test_what_is_said_again_of_what_was_swapped_is_of_no_job_behind_it(
    facts: Callable[[str], list[Fact]], as_heard: bool
) -> None:
    text = (
        "Left front three and a quarter, right front three and three eighths. No wait, swap those, "
        "right is the quarter and left is the three eighths. Took an eighth off the left toe."
    )
    found = facts(heard(text) if as_heard else text)
    assert values(found) == {("RF", "toe_length", 3.25), ("LF", "toe_length", 3.375)}
    assert [f.quantity.value for f in found if f.code == "shorten_toe" and f.quantity] == [0.125]


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    "words",
    ["leave out the no blood, there was a spot of it.", "scratch the no blood, it did bleed."],
)
def test_a_denial_that_is_taken_back_is_none(
    facts: Callable[[str], list[Fact]], words: str, as_heard: bool
) -> None:
    text = f"Quarter crack off fore, an inch long, no blood. No, {words}"
    found = facts(heard(text) if as_heard else text)
    assert not any(f.negated for f in found if f.code == "bleeding")


def test_what_was_told_of_the_wrong_foot_is_the_others(
    facts: Callable[[str], list[Fact]],
) -> None:
    found = facts("Corn near fore. Thrush off hind. Scratch the near fore, that's the off.")
    assert {(f.code, *(x.value for x in f.feet)) for f in found} == {
        ("corn", "RF"),
        ("thrush", "RH"),
    }


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    "words",
    [
        "Sole's thin on the near fore. Scratch that, that's the bay's.",
        "Packed the sole of it, no, erase that, that was the mare.",
    ],
)
def test_what_was_scratched_is_not_heard_again(
    facts: Callable[[str], list[Fact]], words: str, as_heard: bool
) -> None:
    text = f"Off fore low in the heel. {words}"
    found = facts(heard(text) if as_heard else text)
    assert not {"thin_sole", "packing"} & {f.code for f in found}
