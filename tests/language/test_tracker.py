"""The state machine of the foot in hand, row by row of its table."""

from __future__ import annotations

import pytest

from fieldlog.core.facts import FootBasis
from fieldlog.core.feet import ALL_FEET, FRONTS, HINDS, LEFTS, Foot
from fieldlog.language.feet.tracker import FootTracker
from fieldlog.language.words.tokens import tokenise


def after(*means: str) -> FootTracker:
    tracker = FootTracker()
    for word in means:
        tracker.name(word, word)
    return tracker


@pytest.mark.parametrize(
    ("before", "means", "feet", "basis"),
    [
        ((), "LF", (Foot.LF,), FootBasis.SAID),
        (("RH",), "LF+RF", FRONTS, FootBasis.SAID),
        (("RH",), "left", (Foot.LH,), FootBasis.SAID),
        (("LH+RH",), "right", (Foot.RH,), FootBasis.SAID),
        ((), "left", (Foot.LF,), FootBasis.ASSUMED),
        (("LF+RF+LH+RH",), "left", (Foot.LF,), FootBasis.ASSUMED),
        (("LF",), "other", (Foot.RF,), FootBasis.OTHER_OF_PAIR),
        (("LF+RF",), "other", (), FootBasis.UNSTATED),
        ((), "other", (), FootBasis.UNSTATED),
        (("LH",), "both", HINDS, FootBasis.SAID),
        ((), "both", FRONTS, FootBasis.ASSUMED),
        ((), "diagonals", ALL_FEET, FootBasis.ASSUMED),
        (("LF+LH",), "hind_one", (Foot.LH,), FootBasis.SAID),
        (("RH",), "in_hand", (Foot.RH,), FootBasis.CARRIED),
        ((), "in_hand", (), FootBasis.UNSTATED),
        (("RH",), "bad_one", (Foot.RH,), FootBasis.CARRIED),
    ],
)
def test_naming(
    before: tuple[str, ...], means: str, feet: tuple[Foot, ...], basis: FootBasis
) -> None:
    found = after(*before).name(means, means)
    assert (found.feet, found.basis) == (feet, basis)
    assert found.why


def test_carrying() -> None:
    assert after("LH").carry().feet == (Foot.LH,)
    assert after("LH").carry().basis is FootBasis.CARRIED
    assert after("left").carry().basis is FootBasis.ASSUMED
    assert after().carry().basis is FootBasis.UNSTATED
    assert after("LF+LH").carry().feet == LEFTS


def test_all_four_of_a_job_carries_only_to_jobs() -> None:
    tracker = after("LF+RF+LH+RH")
    tracker.for_job_only = True
    assert tracker.carry().basis is FootBasis.UNSTATED
    assert tracker.carry(job=True).feet == ALL_FEET


def test_new_horse_forgets() -> None:
    tracker = after("LH")
    tracker.forget()
    assert tracker.carry().basis is FootBasis.UNSTATED


def test_compared_foot_is_not_taken_in_hand() -> None:
    tracker = after("RH")
    assert tracker.name("left", "left", take=False).feet == (Foot.LH,)
    assert tracker.in_hand == (Foot.RH,)


@pytest.mark.parametrize(
    ("heard", "meant"),
    [
        ("near four", "fore"),
        ("an access", "abscess"),
        ("the soul", "sole"),
        ("wide line", "white"),
        ("left heal", "heel"),
        ("new worse clementine", "horse"),
        ("end of hoarse", "horse"),
    ],
)
def test_mended_words(heard: str, meant: str) -> None:
    """Mis-hearings listed in the project's trade notes (its own judgement)."""
    assert meant in [t.norm for t in tokenise(heard)]


def test_words_that_are_right_stay() -> None:
    assert "worse" in [t.norm for t in tokenise("something new worse than before")]
    assert "four" in [t.norm for t in tokenise("left four inches")]
    assert [t.norm for t in tokenise("it's don't")] == ["it", "'s", "don't"]
