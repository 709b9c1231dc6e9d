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
