"""One more of what was just found, at a place of its own."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact
from tests.language.said import heard


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    ("text", "code", "expected"),
    [
        ("Left hind has a bruise at the toe, right hind one at the heel.", "bruise",
         {("LH", "toe"), ("RH", "heel")}),
        ("Near fore has a corn at the inside heel, off fore has one at the outside heel.", "corn",
         {("LF", "medial_heel"), ("RF", "lateral_heel")}),
        ("Soft spot at the toe left hind, and one at the heel right hind.", "soft_spot",
         {("LH", "toe"), ("RH", "heel")}),
    ],
)  # fmt: skip
def test_one_more_has_its_own_foot_and_place(
    facts: Callable[[str], list[Fact]],
    text: str,
    code: str,
    expected: set[tuple[str, str]],
    as_heard: bool,
) -> None:
    found = [f for f in facts(heard(text) if as_heard else text) if f.code == code]
    assert {(foot.value, place) for f in found for foot in f.feet for place in f.places} == expected


def test_a_crack_is_named_by_its_own_place(facts: Callable[[str], list[Fact]]) -> None:
    found = facts("Crack at the toe left front, one at the quarter right front.")
    told = {(f.code, f.feet[0].value) for f in found}
    assert told == {("toe_crack", "LF"), ("quarter_crack", "RF")}


@pytest.mark.parametrize(
    "text",
    [
        "There is a bruise on the left one at the toe.",
        "Bruise at the toe of the left front. The right one at the heel is sore.",
    ],
)
def test_a_foot_called_one_is_no_second_finding(
    facts: Callable[[str], list[Fact]], text: str
) -> None:
    assert len([f for f in facts(text) if f.code == "bruise"]) == 1
