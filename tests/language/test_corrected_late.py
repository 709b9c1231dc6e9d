"""What is put right after a "no" and some words, or told of the foot itself after "the same"."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact, FactKind
from tests.language.said import heard, values


def feet(found: list[Fact], code: str) -> list[str]:
    return [foot.value for f in found if f.code == code for foot in f.feet]


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    "text",
    [
        "Near fore toe eighty-eight, no, get it flat, eighty-six mil.",
        "Near fore toe eighty-eight, no, I'm lying to you there, eighty-six.",
        "Near fore toe eighty-eight, no, hang on a minute, eighty-six.",
        "Near fore toe eighty-eight, no, eighty-six.",
    ],
)
def test_a_number_behind_no_and_some_words_takes_the_place_of_the_one_before(
    facts: Callable[[str], list[Fact]], text: str, as_heard: bool
) -> None:
    found = values(facts(heard(text.replace("-", " ")) if as_heard else text))
    assert found == {("LF", "toe_length", 86)}


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Near fore toe eighty-eight, no heat, off fore eighty-six.",
         {("LF", "toe_length", 88), ("RF", "toe_length", 86)}),
        ("Left fore angle fifty, no, right fifty two.",
         {("LF", "toe_angle", 50), ("RF", "toe_angle", 52)}),
        ("Near fore toe eighty-eight, no, he wouldn't stand, so thirty minutes.",
         {("LF", "toe_length", 88)}),
    ],
)  # fmt: skip
def test_a_no_before_something_else_changes_no_number(
    facts: Callable[[str], list[Fact]], text: str, expected: set[object]
) -> None:
    assert values(facts(text)) == expected


def test_a_sentence_of_its_own_puts_a_number_right(facts: Callable[[str], list[Fact]]) -> None:
    assert values(facts("Left fore toe angle fifty. No. Fifty two.")) == {("LF", "toe_angle", 52)}


@pytest.mark.parametrize(
    ("text", "code", "foot"),
    [
        ("Thrush in the left back. No, right back that was.", "thrush", ["RH"]),
        ("Thrush in the left back. No. Right back.", "thrush", ["RH"]),
        ("New shoes on the fronts. No. Hinds.", "shoe", ["LH", "RH"]),
    ],
)
def test_a_foot_behind_no_takes_the_place_of_the_one_before(
    facts: Callable[[str], list[Fact]], text: str, code: str, foot: list[str]
) -> None:
    assert feet(facts(text), code) == foot


def test_a_number_put_right_that_no_job_has_changes_no_other_job(
    facts: Callable[[str], list[Fact]],
) -> None:
    found = facts("Off hind, dropped the heels a quarter, and set it all back a half, "
                  "no, an eighth.")  # fmt: skip
    (job,) = [f for f in found if f.code == "lower_heel"]
    assert job.quantity is not None
    assert job.quantity.value == 0.25


def test_a_value_of_its_own_is_no_copy(facts: Callable[[str], list[Fact]]) -> None:
    found = values(facts("Left front toe three and a quarter, fifty-one degrees. "
                         "Right front the same, only fifty-two."))  # fmt: skip
    assert found == {
        ("LF", "toe_length", 3.25), ("LF", "toe_angle", 51),
        ("RF", "toe_length", 3.25), ("RF", "toe_angle", 52),
    }  # fmt: skip


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    "text",
    [
        "Grass crack right front, maybe three quarters of an inch tall, no blood.",
        "Seedy toe off hind, no smell, ten mil deep.",
    ],
)
def test_what_is_not_there_has_no_size(
    facts: Callable[[str], list[Fact]], text: str, as_heard: bool
) -> None:
    found = facts(heard(text) if as_heard else text)
    denied = [f for f in found if f.negated]
    assert denied
    assert not any(f.quantity for f in denied)
    assert any(f.quantity for f in found)


@pytest.mark.parametrize(
    ("text", "due"),
    [
        ("Four weeks, and no grass.", {("next_trim", "P4W"), ("owner_care", None)}),
        ("Eight weeks and keep handling him every day.",
         {("next_trim", "P8W"), ("owner_care", None)}),
        ("Two weeks, box rest.", {("owner_care", "P2W")}),
        ("Trimmed all four. Five weeks, not a day more.", {("next_trim", "P5W")}),
        ("You can't leave a cob fourteen weeks.", set()),
        ("I'd not leave him past seven weeks.", {("next_trim", "P7W")}),
    ],
)  # fmt: skip
def test_whose_period_it_is(
    facts: Callable[[str], list[Fact]], text: str, due: set[tuple[str, str | None]]
) -> None:
    found = [f for f in facts(text) if f.kind is FactKind.FOLLOW_UP]
    assert {(f.code, f.due.period if f.due else None) for f in found} == due


def test_each_job_behind_its_foot(facts: Callable[[str], list[Fact]]) -> None:
    found = facts("left front reset right front reset left hind new one")
    assert feet(found, "reset") == ["LF", "RF"]


def test_what_he_has_been_wearing_is_of_earlier(facts: Callable[[str], list[Fact]]) -> None:
    (pad,) = [f for f in facts("He's in pads six weeks now.") if f.code == "pad"]
    assert pad.historical
