"""Values that somebody wants are no measurements; whose a value of near and off is."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact, FactKind
from tests.language.said import heard, values


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    "text",
    [
        "Left front angle fifty two, should be fifty four.",
        "Left front angle fifty two, wants to be fifty four.",
        "Left front angle fifty two. Vet wants the angle at fifty four.",
        "Left front angle fifty two. Fifty four she wants.",
        "Left front angle fifty two. Aim for fifty four.",
        "Left front angle fifty two, I'd like fifty four.",
        "Left front angle fifty two, it ought to be nearer fifty four.",
    ],
)
def test_a_value_that_is_wanted_is_not_measured(
    facts: Callable[[str], list[Fact]], text: str, as_heard: bool
) -> None:
    found = values(facts(heard(text) if as_heard else text))
    assert found == {("LF", "toe_angle", 52)}


@pytest.mark.parametrize(
    "text",
    [
        "Vet wants a two degree wedge. Left front angle fifty two.",
        "He wants the toes back. Left front angle fifty two.",
        "Left front angle fifty two, she wants him trimmed again.",
    ],
)
def test_a_value_beside_another_wish_stays(facts: Callable[[str], list[Fact]], text: str) -> None:
    assert ("LF", "toe_angle", 52) in values(facts(text))


def test_the_wrong_one_is_no_number(facts: Callable[[str], list[Fact]]) -> None:
    found = values(facts("Near hind angle fifty four and the off hind is the wrong one."))
    assert found == {("LH", "toe_angle", 54)}


def test_near_and_off_toes_in_turn_without_stops(facts: Callable[[str], list[Fact]]) -> None:
    found = values(facts("near toe ninety six mil heel forty one off toe ninety four"))
    assert found == {("LF", "toe_length", 96), ("LF", "heel_length", 41), ("RF", "toe_length", 94)}


@pytest.mark.parametrize(
    "text", ["Vet's been rung and he's on his road.", "Vet's been called, on her way."]
)  # fmt: skip
def test_a_vet_on_the_way_comes_today(facts: Callable[[str], list[Fact]], text: str) -> None:
    (visit,) = [f for f in facts(text) if f.kind is FactKind.FOLLOW_UP]
    assert visit.code == "vet_visit"
    assert visit.due is not None
    assert visit.due.on is not None
