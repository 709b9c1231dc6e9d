"""Digits and short forms reach the network as they are said."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact
from fieldlog.language.opinion.digits_said import digits_said
from fieldlog.language.opinion.gist import words_of
from tests.language.said import values

SECOND_OPINION = True


@pytest.mark.parametrize(
    ("written", "spoken"),
    [
        ("3 1/4", "three and a quarter"),
        ("3-5/8", "three and five eighths"),
        ("5/8", "five eighths"),
        ("1/2", "a half"),
        ("3¼", "three and a quarter"),
        ("¾", "three quarters"),
        ("12.5", "twelve point five"),
        ("51", "fifty one"),
        ("40", "forty"),
        ("0", "nought"),
        ("130", "one hundred and thirty"),
        ("2026", ""),
        ("3/0", ""),
    ],
)
def test_a_number_as_it_is_said(written: str, spoken: str) -> None:
    assert " ".join(digits_said(written)) == spoken


def test_words_stand_at_their_digits() -> None:
    text = 'LF toe 3 1/4", RF 52°.'
    read = words_of(text)
    assert [word for word, _, _ in read] == [
        "left", "front", "toe", "three", "and", "a", "quarter", "inches", ",",
        "right", "front", "fifty", "two", "degrees", ".",
    ]  # fmt: skip
    assert {text[first:last] for word, first, last in read if word in ("quarter", "three")} == {
        "3 1/4"
    }


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (
            "Left front 51, right front 53. Hinds both 54. Toes 3 1/4 all round.",
            {("LF", "toe_angle", 51), ("RF", "toe_angle", 53), ("LH", "toe_angle", 54),
             ("RH", "toe_angle", 54), *((f, "toe_length", 3.25) for f in ("LF", "RF", "LH", "RH"))},
        ),
        (
            'Toes 3 1/4" in front, 3" behind. Angles 52° in front.',
            {("LF", "toe_length", 3.25), ("RF", "toe_length", 3.25), ("LH", "toe_length", 3),
             ("RH", "toe_length", 3), ("LF", "toe_angle", 52), ("RF", "toe_angle", 52)},
        ),
        (
            "LF toe 3 and 1/4, RF 3 and 3/8.",
            {("LF", "toe_length", 3.25), ("RF", "toe_length", 3.375)},
        ),
    ],
)  # fmt: skip
def test_what_is_typed_in_digits_is_told(
    facts: Callable[[str], list[Fact]], text: str, told: set[tuple[str, str, float]]
) -> None:
    assert values(facts(text)) == told
