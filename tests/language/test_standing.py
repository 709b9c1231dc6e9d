"""What is said so plainly that it is asked about though the network hardly hears it."""

from __future__ import annotations

import numpy as np
import pytest

from fieldlog.core.facts import Comparison, Due, Fact, FactKind, FootBasis, Trend
from fieldlog.core.feet import Foot
from fieldlog.language.opinion.gist import words_of
from fieldlog.language.opinion.heard import Opinion
from fieldlog.language.opinion.standing import set_aside


def hearing(text: str, code: str, chance: float) -> Opinion:
    """An opinion that hears a code with a chance spread evenly over the words of a text."""
    words = tuple(words_of(text))
    return Opinion(words, np.full((len(words), 1), np.log1p(-chance) / len(words)), {code: 0})


def stays(text: str, fact: Fact, chance: float = 0.01) -> bool:
    """Whether a fact that the network hardly hears is told nevertheless."""
    kept, aside = set_aside([fact], hearing(text, fact.code, chance))
    assert len(kept) + len(aside) == 1
    return bool(kept)


def finding(text: str, code: str, named: str) -> Fact:
    return Fact(
        FactKind.FINDING, code, (Foot.LH,), FootBasis.SAID, span=(0, len(text)),
        rule=f"lexicon:{code}", why_foot=f"“{named}” was said.",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("left hind flare", "left hind"),
        ("Flare left hind", "left hind"),
        ("LH flare", "LH"),
        ("Left hind, flare", "Left hind"),
    ],
)
def test_a_foot_and_a_name(text: str, named: str) -> None:
    assert stays(f"{text}, call the vet tomorrow", finding(text, "flare", named))


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("left hind he could have a flare", "flare"),
        ("left hind was flare", "flare"),
        ("left hind good", "normal"),
    ],
)
def test_more_than_a_foot_and_a_name(text: str, code: str) -> None:
    assert not stays(f"{text}, call the vet tomorrow", finding(text, code, "left hind"))


@pytest.mark.parametrize(
    ("lead", "expected"),
    [
        ("See it in a week if it's wet, otherwise ", True),
        ("In a week if it's wet, if not in ", True),
        ("He was shod at ", False),
    ],
)
def test_the_visit_behind_otherwise(lead: str, expected: bool) -> None:
    visit = Fact(
        FactKind.FOLLOW_UP, "next_trim", due=Due(period="P6W"), rule="time:alone",
        span=(len(lead), len(lead) + 3),
    )  # fmt: skip
    assert stays(f"{lead}six", visit, chance=0.02) is expected


@pytest.mark.parametrize(
    ("text", "places", "expected"),
    [
        ("left hind toe shorter than last time", ("toe",), True),
        ("left hind smaller than last time", (), False),
        ("left hind toe shorter than the right", ("toe",), False),
    ],
)
def test_a_part_beside_the_last_visit(text: str, places: tuple[str, ...], expected: bool) -> None:
    change = Fact(
        FactKind.FINDING, "change", (Foot.LH,), FootBasis.SAID, places=places, span=(0, len(text)),
        comparison=Comparison(Trend.SMALLER), rule="compare:smaller", why_foot="“left hind”",
    )  # fmt: skip
    assert stays(text, change) is expected


@pytest.mark.parametrize(("chance", "expected"), [(0.2, True), (0.03, False)])
def test_a_call_for_a_vet_is_asked_about(chance: float, expected: bool) -> None:
    text = "she is ringing the vet"
    call = Fact(FactKind.FOLLOW_UP, "vet_visit", span=(7, len(text)), rule="lexicon:vet_visit")
    assert stays(text, call, chance) is expected


@pytest.mark.parametrize(
    ("text", "day", "expected"),
    [
        ("next appointment january fifth at nine", "january fifth", True),
        ("Next visit is Friday, about ten.", "Friday", True),
        ("next trim in six weeks unless it rains", "in six weeks", True),
        ("next shoeing no change in a month", "in a month", False),
        ("the next appointment they cancelled, january fifth", "january fifth", False),
    ],
)
def test_a_next_visit_and_its_day_stay_whatever_stands_behind(
    text: str, day: str, expected: bool
) -> None:
    """A day that is only offered is not on the list, and the horse waits."""
    visit = Fact(
        FactKind.FOLLOW_UP, "next_trim", span=(0, len(text)), rule="lexicon:next_trim",
        due=Due(spoken=day),
    )  # fmt: skip
    assert stays(text, visit) is expected
