"""Inside and outside of one foot together, and places that are told of the thing before."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np
import pytest

from fieldlog.core.facts import Fact
from fieldlog.language.entries.places_last import with_last_places
from fieldlog.language.opinion import weighing
from fieldlog.language.opinion.gist import words_of
from fieldlog.language.opinion.heard import Opinion

Facts = Callable[[str], list[Fact]]


def told(text: str, codes: Mapping[str, str], **manners: float) -> Opinion:
    """An opinion that hears each code at one word, and each manner everywhere with a chance."""
    words = tuple(words_of(text))
    not_said = np.zeros((len(words), len(codes)))
    for at, word in enumerate(codes.values()):
        not_said[[w for w, _, _ in words].index(word), at] = -3.0
    manner = np.tile(np.array(list(manners.values())), (len(words), 1))
    at_code = {code: at for at, code in enumerate(codes)}
    names = {f"@{name}": at for at, name in enumerate(manners)}
    return Opinion(words, not_said, at_code, manner, names)


@pytest.mark.parametrize(
    ("said", "code", "places"),
    [
        ("Wall chipped at both quarters, off fore.", "wall_broken",
         {"medial_quarter", "lateral_quarter"}),
        ("Left hind's flared, both sides.", "flare", {"medial_wall", "lateral_wall"}),
        ("Bars folded over on the near fore, both sides.", "folded_bar",
         {"medial_bar", "lateral_bar"}),
        ("Near fore has clips on both sides.", "clips", set()),
        ("Wall chipped at the outside quarter, off fore.", "wall_broken", {"lateral_quarter"}),
    ],
)  # fmt: skip
def test_both_sides_of_a_foot(facts: Facts, said: str, code: str, places: set[str]) -> None:
    (fact,) = (f for f in facts(said) if f.code == code)
    assert {*fact.places} == places


HEARD = {"places:heard": 1.0}
"""Weights by which only the network tells a place."""


@pytest.mark.parametrize(
    ("chances", "places"),
    [
        ({"medial": 0.9, "at_heel": 0.45}, ("medial_heel",)),
        ({"medial": 0.9, "at_heel": 0.25}, ("medial_wall",)),
        ({"medial": 0.9, "lateral": 0.05, "at_quarter": 0.4, "at_heel": 0.45}, ("medial_heel",)),
        ({"medial": 0.45, "lateral": 0.4, "at_quarter": 0.9},
         ("medial_quarter", "lateral_quarter")),
        ({"medial": 0.05, "lateral": 0.4, "at_quarter": 0.9}, ("lateral_quarter",)),
        ({"medial": 0.05, "lateral": 0.4, "at_frog": 0.9}, ("frog",)),
    ],
)  # fmt: skip
def test_a_side_and_its_part_are_told_together(
    facts: Facts,
    monkeypatch: pytest.MonkeyPatch,
    chances: dict[str, float],
    places: tuple[str, ...],
) -> None:
    monkeypatch.setattr(weighing, "read_data", lambda _: {"weight": HEARD})
    text = "Left front has a bruise."
    (fact,) = facts(text)
    feet = {"LF": 0.97, "RF": 0.02, "LH": 0.02, "RH": 0.02}
    # A side is told only where somebody can have said one.
    opinion = told(f"{text} Both sides.", {"bruise": "bruise"}, **feet, **chances)
    assert weighing.weighed([fact], opinion)[0].places == places


TEXT = "Off hind has a flare. Dressed it."


@pytest.mark.parametrize(("chance", "placed"), [(0.2, True), (0.02, False)])
def test_what_is_done_is_done_where_the_thing_is(facts: Facts, chance: float, placed: bool) -> None:
    flare, dressed = (replace(f, places=()) for f in facts(TEXT))
    assert (flare.code, dressed.code) == ("flare", "dress_flare")
    flare = replace(flare, places=("lateral_wall",))
    opinion = told(TEXT, {"dress_flare": "dressed"}, lateral=chance)
    found = with_last_places([flare, dressed], opinion)
    assert found == [flare, replace(dressed, places=flare.places if placed else ())]


def test_a_place_is_not_told_on_of_another_foot_nor_of_what_is_not_there(facts: Facts) -> None:
    flare, dressed = (replace(f, places=()) for f in facts(TEXT))
    opinion = told(TEXT, {"dress_flare": "dressed"}, lateral=0.9)
    mate = replace(flare, places=("lateral_wall",), feet=(flare.feet[0].mate,))
    gone = replace(flare, places=("lateral_wall",), negated=True)
    assert with_last_places([mate, dressed], opinion) == [mate, dressed]
    assert with_last_places([gone, dressed], opinion) == [gone, dressed]
