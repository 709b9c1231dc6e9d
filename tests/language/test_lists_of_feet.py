"""Short lists in which one thing has a foot of its own, and feet that are left out of a copy."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact


def told(found: list[Fact]) -> set[tuple[str, str, bool]]:
    return {(f.code, "+".join(foot.value for foot in f.feet), f.negated) for f in found}


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Clenches risen, near fore loose.", {("clench_risen", ""), ("shoe_loose", "LF")}),
        ("Clenches up, off hind loose, near hind sprung.",
         {("clench_risen", ""), ("shoe_loose", "RH"), ("shoe_sprung", "LH")}),
        ("Shoes worn thin, clenches up, off fore sprung.",
         {("shoe_worn", ""), ("clench_risen", ""), ("shoe_sprung", "RF")}),
        ("Long toes, low heels, left front cracked.",
         {("long_toe", ""), ("low_heel", ""), ("crack", "LF")}),
        ("Near fore's loose and the off hind is sprung.",
         {("shoe_loose", "LF"), ("shoe_sprung", "RH")}),
    ],
)  # fmt: skip
def test_a_foot_before_the_last_is_its_own(
    facts: Callable[[str], list[Fact]], text: str, expected: set[tuple[str, str]]
) -> None:
    assert {(code, feet) for code, feet, _ in told(facts(text))} == expected


@pytest.mark.parametrize(
    "text", ["Clenches risen and cracks, left front.", "Clenches up and cracks in the left front."]
)
def test_a_foot_behind_the_last_is_of_all(facts: Callable[[str], list[Fact]], text: str) -> None:
    assert {feet for _, feet, _ in told(facts(text))} == {"LF"}


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Thrush and a crack in the near hind. Off hind the same without the crack.",
         {("thrush", "LH", False), ("crack", "LH", False), ("thrush", "RH", False),
          ("crack", "RH", True)}),
        ("Pad on the near fore. Off fore the same but no pad.",
         {("pad", "LF", False), ("pad", "RF", True)}),
        ("Left front thrush. Right front same but no thrush.",
         {("thrush", "LF", False), ("thrush", "RF", True)}),
    ],
)  # fmt: skip
def test_what_the_other_foot_has_not(
    facts: Callable[[str], list[Fact]], text: str, expected: set[tuple[str, str, bool]]
) -> None:
    assert told(facts(text)) == expected


@pytest.mark.parametrize("how", ["but no bar", "without the bar", "just no bar", "minus the bar"])
def test_the_name_of_what_it_has_not_is_cut_short(
    facts: Callable[[str], list[Fact]], how: str
) -> None:
    found = facts(f"Bar shoe near fore. Off fore same {how}.")
    assert {feet for code, feet, _ in told(found) if code == "bar_shoe"} == {"LF"}


@pytest.mark.parametrize(
    ("text", "feet"),
    [
        ("No heat on either front.", "LF+RF"),
        ("No heat in either hind.", "LH+RH"),
        ("No heat on either fore foot.", "LF+RF"),
    ],
)
def test_either_of_a_named_pair_is_no_guess(
    facts: Callable[[str], list[Fact]], text: str, feet: str
) -> None:
    (fact,) = facts(text)
    assert told([fact]) == {("heat", feet, True)}
    assert not fact.doubts
