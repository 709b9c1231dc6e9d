"""Feet that are told of by what is left or by number."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact
from tests.language.said import heard


def feet(found: list[Fact], code: str) -> list[str]:
    return [foot.value for f in found if f.code == code for foot in f.feet]


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    ("text", "code", "rest"),
    [
        ("Fronts shod, rest trimmed.", "trim", ["LH", "RH"]),
        ("Fronts reset, rest just a trim.", "trim", ["LH", "RH"]),
        ("Left hind trimmed, others shod.", "shoe", ["LF", "RF", "RH"]),
        ("Left front thrush, rest good.", "normal", ["RF", "LH", "RH"]),
    ],
)
def test_the_rest_without_an_article(
    facts: Callable[[str], list[Fact]], text: str, code: str, rest: list[str], as_heard: bool
) -> None:
    assert feet(facts(heard(text) if as_heard else text), code) == rest


@pytest.mark.parametrize(
    "text",
    ["Trimmed the fronts. Rest him a week.", "Trimmed the fronts. Box rest.",
     "Trimmed the fronts. She has two others trimmed by the lad."],
)  # fmt: skip
def test_other_rests_and_others_are_no_feet(facts: Callable[[str], list[Fact]], text: str) -> None:
    found = facts(text)
    assert feet(found, "trim")[:2] == ["LF", "RF"]
    assert not {"LH", "RH"} & {foot.value for f in found for foot in f.feet}


@pytest.mark.parametrize(
    "text", ["One of the hinds has thrush.", "Thrush in one of his hinds.",
             "There's thrush in one of the fronts."]
)  # fmt: skip
def test_one_of_a_pair_is_not_both(facts: Callable[[str], list[Fact]], text: str) -> None:
    (thrush,) = facts(text)
    assert not thrush.feet
    assert thrush.needs_look


@pytest.mark.parametrize(
    ("text", "both"), [("Neither one of the hinds has thrush.", ["LH", "RH"]),
                       ("Both of the hinds have thrush.", ["LH", "RH"])]
)  # fmt: skip
def test_neither_and_both_of_a_pair(
    facts: Callable[[str], list[Fact]], text: str, both: list[str]
) -> None:
    assert feet(facts(text), "thrush") == both


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    ("text", "code", "expected"),
    [
        ("Three of them are fine. Right hind has thrush.", "normal", ["LF", "RF", "LH"]),
        ("Three of 'em are fine. Left front has thrush.", "normal", ["RF", "LH", "RH"]),
        ("Trimmed three of them, then she snatched the off hind off me, so that one's not done.",
         "trim", ["LF", "RF", "LH"]),
        ("Nothing wrong in three of them. It's the off hind, a bruise at the toe.", "normal",
         ["LF", "RF", "LH"]),
        ("Rolled the toes on three of his feet, the near fore has no toe to roll.", "roll_toe",
         ["RF", "LH", "RH"]),
    ],
)  # fmt: skip
def test_three_of_them_are_all_but_the_one_named_next(
    facts: Callable[[str], list[Fact]], text: str, code: str, expected: list[str], as_heard: bool
) -> None:
    found = [f for f in facts(heard(text) if as_heard else text) if f.code == code and f.feet]
    assert [foot.value for foot in found[0].feet] == expected


@pytest.mark.parametrize(
    ("text", "code", "expected"),
    [
        ("Clenches are up on the right fore, three of them. Near fore is tight.", "clench_risen",
         ["RF"]),
        ("Clinches up, left hind, three of them snapped. Right hind good.", "clench_risen",
         ["LH"]),
        ("Thrush in three of them, not the left front.", "thrush", ["RF", "LH", "RH"]),
    ],
)  # fmt: skip
def test_three_nails_are_no_feet(
    facts: Callable[[str], list[Fact]], text: str, code: str, expected: list[str]
) -> None:
    told = [f for f in facts(text) if f.code == code and not f.negated]
    assert feet(told, code) == expected
